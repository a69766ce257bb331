package part_test

import (
	"testing"

	"rillmark/service/web/part"
)

func TestStepStandsOnTheTape(t *testing.T) {
	for _, row := range []struct {
		step     part.Step
		permille int
		late     bool
	}{
		{part.Step{Place: 1, Of: 6}, 83, false},
		{part.Step{Place: 3, Of: 6}, 416, false},
		{part.Step{Place: 6, Of: 6}, 916, true},
		{part.Step{Place: 1, Of: 1}, 500, false},
		{part.Step{}, 0, false},
	} {
		if got := row.step.Permille(); got != row.permille || row.step.Late() != row.late {
			t.Errorf("%d of %d: %d, late %v", row.step.Place, row.step.Of, got, row.step.Late())
		}
	}
}

func TestFieldDescribesItself(t *testing.T) {
	f := part.Field{Name: "wall", Unit: "mm", Wrong: []string{"No bore is left."}, Source: "gauged"}
	if got, want := f.Described(), "f-wall-wrong f-wall-unit f-wall-source"; got != want {
		t.Errorf("Described() = %q, want %q", got, want)
	}
	if got := (part.Field{Name: "a", ID: "b"}).Ident(); got != "b" {
		t.Errorf("Ident() = %q", got)
	}
}

func TestFieldPicksTheKeypad(t *testing.T) {
	for _, row := range []struct {
		kind                   part.Kind
		kindOfInput, mode, aut string
	}{
		{part.Text, "text", "", "off"}, {part.Number, "text", "decimal", "off"}, {part.Count, "text", "numeric", "off"},
		{part.Email, "email", "email", "off"}, {part.Phone, "tel", "tel", "off"}, {part.Password, "password", "", "off"},
		{part.Search, "search", "search", "off"}, {part.Date, "date", "", "off"}, {part.At, "datetime-local", "", "off"}, {part.File, "file", "", "off"},
	} {
		f := part.Field{Kind: row.kind}
		if f.InputType() != row.kindOfInput || f.InputMode() != row.mode || f.Autocomplete() != row.aut {
			t.Errorf("%s: %s %s %s", row.kind, f.InputType(), f.InputMode(), f.Autocomplete())
		}
	}
}

func TestChosen(t *testing.T) {
	one := part.Field{Value: "a"}
	several := part.Field{Several: true, Value: "c", Values: []string{"a", "b"}}
	if !one.Chosen("a") || one.Chosen("b") || !several.Chosen("b") || several.Chosen("c") {
		t.Error("Chosen does not follow value and values")
	}
}

func TestTableRowsFitTheirColumns(t *testing.T) {
	good := part.Table{Columns: []part.Column{{Head: "A"}, {Head: "B"}}, Rows: [][]part.Cell{{{Text: "1"}, {Text: "2"}}}}
	if got := good.Lines(); got[0][1].Head != "B" || got[0][1].Text != "2" {
		t.Errorf("Lines() = %+v", got)
	}
	defer func() {
		if recover() == nil {
			t.Error("a row with too few cells does not panic")
		}
	}()
	good.Rows[0] = good.Rows[0][:1]
	good.Lines()
}
