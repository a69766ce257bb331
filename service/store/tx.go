package store

import (
	"context"
	"fmt"
	"reflect"
	"strconv"
	"strings"
	"time"

	"github.com/google/uuid"
	"github.com/jackc/pgx/v5"

	"rillmark/domain"
	"rillmark/domain/audit"
)

// Tx is a transaction inside Write. It keeps what the audit event will say.
type Tx struct {
	pgx.Tx
	Now time.Time // the database's, in UTC, to the microsecond

	ids      domain.IDs
	changes  []audit.Change
	subjects []audit.Subject
	private  map[uuid.UUID]string
}

// NewID makes an identifier for a row that nobody outside has named.
func (tx *Tx) NewID() uuid.UUID { return tx.ids() }

// Concerns names a further thing whose history the event belongs to: a site's client.
func (tx *Tx) Concerns(kind audit.Kind, id fmt.Stringer) {
	tx.subjects = append(tx.subjects, audit.Subject{Kind: kind, ID: id.String()})
}

// Changed notes a row that was written: before is nil for a new row. Both are structs of
// the same type; their fields with an audit tag are compared. "text" goes into the trail
// as it is, "private" as a reference to a text that can be erased; another tag panics.
func (tx *Tx) Changed(kind audit.Kind, id fmt.Stringer, version int64, before, after any) {
	c := audit.Change{Kind: kind, ID: id.String(), Version: version, Fields: []audit.Field{}}
	now := reflect.ValueOf(after)
	for i := range now.NumField() {
		field := now.Type().Field(i)
		how := field.Tag.Get("audit")
		switch how {
		case "":
			continue
		case "text", "private":
		default: // a name must not get into the trail by a slip of the pen
			panic("store: field " + field.Name + " has the unknown audit tag " + how)
		}
		was := ""
		if before != nil {
			was = fieldText(reflect.ValueOf(before).Field(i))
		}
		is := fieldText(now.Field(i))
		if was == is {
			continue
		}
		c.Fields = append(c.Fields, audit.Field{Name: field.Tag.Get("db"), Before: tx.value(how, was), After: tx.value(how, is)})
	}
	tx.changes = append(tx.changes, c)
}

func (tx *Tx) value(how, text string) *audit.Value {
	if text == "" {
		return nil
	}
	if how != "private" {
		return &audit.Value{Text: &text}
	}
	if tx.private == nil {
		tx.private = map[uuid.UUID]string{}
	}
	id := tx.ids()
	tx.private[id] = text
	ref := id.String()
	return &audit.Value{Private: &ref}
}

// fieldText is a field's value as the trail tells it; empty and absent are the same.
func fieldText(v reflect.Value) string {
	if v.Kind() == reflect.Pointer {
		if v.IsNil() {
			return ""
		}
		v = v.Elem()
	}
	switch x := v.Interface().(type) {
	case string:
		return x
	case []string:
		return strings.Join(x, ", ")
	case time.Time:
		return x.UTC().Format(time.RFC3339Nano)
	case float64:
		return strconv.FormatFloat(x, 'g', -1, 64)
	case fmt.Stringer:
		return x.String()
	}
	return fmt.Sprint(v.Interface())
}

// Run executes a statement and maps its error.
func (tx *Tx) Run(ctx context.Context, sql string, args ...any) error {
	_, err := tx.Tx.Exec(ctx, sql, args...)
	return mapError(err)
}
