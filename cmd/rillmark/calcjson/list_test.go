package calcjson_test

import (
	"encoding/json"
	"os"
	"path/filepath"
	"testing"

	"rillmark/cmd/rillmark/calcjson"
)

// Every kind takes a list and answers each element in its place: a result, or an error with
// field and message; and the list itself is never refused for one of them.
func TestEveryKindAnswersLists(t *testing.T) {
	for _, kind := range calcjson.Kinds() {
		files, err := filepath.Glob(filepath.Join(goldenRoot, kind, "*.json"))
		if err != nil {
			t.Fatal(err)
		}
		good, bad := elementOf(t, files, 0), elementOf(t, files, 2)
		out, exit := run(kind, "["+good+","+bad+","+good+"]")
		var answers []struct {
			Error *struct{ Field, Message *string }
		}
		if err := json.Unmarshal([]byte(out), &answers); err != nil || exit != 0 || len(answers) != 3 {
			t.Errorf("%s: exit %d, %d answers, %v", kind, exit, len(answers), err)
			continue
		}
		if answers[0].Error != nil || answers[2].Error != nil {
			t.Errorf("%s: a good element is refused", kind)
		}
		if e := answers[1].Error; e == nil || e.Field == nil || e.Message == nil || *e.Message == "" {
			t.Errorf("%s: what is wrong is not said: %s", kind, out)
		}
		if out, exit := run(kind, "[]"); exit != 0 || out != "[\n]\n" {
			t.Errorf("%s: an empty list gives %q, exit %d", kind, out, exit)
		}
	}
}

// elementOf is the input of a case whose input is one object, with the exit code.
func elementOf(t *testing.T, files []string, exit int) string {
	t.Helper()
	for _, file := range files {
		text, err := os.ReadFile(file)
		if err != nil {
			t.Fatal(err)
		}
		var c golden
		if err := json.Unmarshal(text, &c); err != nil {
			t.Fatal(err)
		}
		if c.Exit == exit && len(c.Input) > 0 && c.Input[0] == '{' {
			return string(c.Input)
		}
	}
	t.Fatalf("no case with exit code %d among %v", exit, files)
	return ""
}
