package recheck

import (
	"cmp"
	"context"
	"encoding/json"
	"reflect"
	"slices"

	"rillmark/domain/method"
	"rillmark/domain/sheet"
)

// compareSheet looks that every row that was evaluated is there as it was. Rows that came
// after it are no finding.
func (c *check) compareSheet(ctx context.Context, v kept, evaluated sheet.Sheet) error {
	now, err := c.Observed(ctx, v.TaskID)
	if err != nil {
		return err
	}
	there := rowsOf(now)
	for key, was := range rowsOf(evaluated) {
		switch is, known := there[key]; {
		case !known:
			c.found(RowGone.At(v.name(), key.table, key.id))
		case is != was:
			c.found(RowChanged.At(v.name(), key.table, key.id))
		}
	}
	return nil
}

// rowKey names a row of a work sheet.
type rowKey struct{ table, id string }

// rowsOf is each row of the sheet as JSON, by the name of its list and its id.
func rowsOf(s sheet.Sheet) map[rowKey]string {
	rows := map[rowKey]string{}
	lists := reflect.ValueOf(s)
	for i := range lists.NumField() {
		name := lists.Type().Field(i).Tag.Get("json")
		for j := range lists.Field(i).Len() {
			row := lists.Field(i).Index(j)
			rows[rowKey{name, row.FieldByName("ID").Interface().(interface{ String() string }).String()}] = rowText(row.Interface())
		}
	}
	return rows
}

func rowText(row any) string {
	if r, reads := row.(sheet.Reading); reads {
		r.Indications = slices.Clone(r.Indications)
		slices.SortFunc(r.Indications, func(a, b sheet.Shown) int { return cmp.Compare(a.IndicationID.String(), b.IndicationID.String()) })
		row = r
	}
	text, err := json.Marshal(row)
	if err != nil {
		return err.Error() // a number that no JSON holds: other than what was evaluated
	}
	return string(text)
}

// methodHash is the hash of a method edition's content as it stands.
func methodHash(text string) (string, error) {
	content, err := method.Parse([]byte(text))
	if err != nil {
		return "", err
	}
	return content.Hash()
}
