package capture

import (
	"context"
	"fmt"
	"reflect"
	"slices"
	"time"

	"rillmark/domain"
	"rillmark/domain/audit"
	"rillmark/domain/sheet"
	"rillmark/service/store"
)

// pen writes the rows of one capture.
type pen struct {
	*store.Tx
	task     taskRow
	by       domain.PersonID
	captured time.Time
}

// stamp says whose a row is, who captured it and when.
func (p *pen) stamp() sheet.Stamp {
	return sheet.Stamp{ClientID: p.task.ClientID, TaskID: p.task.ID, By: p.by, CapturedAt: p.captured, ReceivedAt: p.Now}
}

// next returns the number after the highest that the query finds.
func (p *pen) next(ctx context.Context, query string, args ...any) (int, error) {
	found, err := store.Scalars[int](ctx, p, query, args...)
	if err != nil || len(found) == 0 {
		return 1, err
	}
	return found[0] + 1, nil
}

// wrote notes a new row in the trail.
func (p *pen) wrote(kind audit.Kind, id fmt.Stringer, row any) {
	p.Changed(kind, id, 1, nil, told(kind, row))
}

// named are the columns that hold names of people: the trail keeps them erasable.
var named = []string{"isolated_by", "done_by", "permission"}

// untold are columns that say nothing in a history: whose the row is and who wrote it, which
// the event says, and long inputs of calculations.
var untold = []string{"id", "client_id", "task_id", "by", "received_at", "basis"}

// told returns the row as a struct of the same columns with the trail's tags: the rows of
// a sheet are the domain's, and what the trail may hold is decided here.
func told(kind audit.Kind, row any) any {
	var fields []reflect.StructField
	var values []reflect.Value
	var gather func(v reflect.Value)
	gather = func(v reflect.Value) {
		for i := range v.NumField() {
			field, column := v.Type().Field(i), v.Type().Field(i).Tag.Get("db")
			switch {
			case field.Anonymous && column == "":
				gather(v.Field(i))
			case column == "" || column == "-" || slices.Contains(untold, column):
			default:
				how := "text"
				if slices.Contains(named, column) {
					how = "private"
				}
				if column == "kind" { // of what it is the kind; a piece of kit has one too
					column = string(kind) + "_kind"
				}
				fields = append(fields, reflect.StructField{Name: field.Name, Type: field.Type,
					Tag: reflect.StructTag(fmt.Sprintf("db:%q audit:%q", column, how))})
				values = append(values, v.Field(i))
			}
		}
	}
	gather(reflect.ValueOf(row))
	copied := reflect.New(reflect.StructOf(fields)).Elem()
	for i, v := range values {
		copied.Field(i).Set(v)
	}
	return copied.Interface()
}
