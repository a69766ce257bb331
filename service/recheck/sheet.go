package recheck

import (
	"cmp"
	"context"
	"encoding/json"
	"reflect"
	"slices"

	"rillmark/domain/evaluation"
	"rillmark/domain/method"
	"rillmark/domain/sheet"
)

// compareFacts looks that every row that was evaluated is there as it was. Rows that came
// after it are no finding.
func (c *check) compareFacts(ctx context.Context, v kept, evaluated evaluation.Facts) error {
	now, err := c.Observed(ctx, evaluated)
	if err != nil {
		return err
	}
	there := groundOf(now)
	for key, was := range groundOf(evaluated) {
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

// groundOf is each row of the sheet, each calibration, and the agreement.
func groundOf(f evaluation.Facts) map[rowKey]string {
	rows := rowsOf(f.Sheet)
	for _, c := range f.Calibrations {
		rows[rowKey{"calibration", c.ID.String()}] = rowText(c)
	}
	rows[rowKey{"agreement", f.Agreement.ID.String()}] = rowText(f.Agreement)
	return rows
}

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
