package web

import (
	"os"
	"testing"

	"rillmark/service/sentence"
	"rillmark/service/web/webtest"
	"rillmark/templates"
)

func TestMain(m *testing.M) {
	code := m.Run()
	webtest.Close()
	os.Exit(code)
}

// openTest opens the embedded view; a missing word fails the test.
func openTest(t *testing.T) *view {
	t.Helper()
	book, err := sentence.Open(templates.Files, "en")
	if err != nil {
		t.Fatal(err)
	}
	book.OnMissing(func(key string, err error) { t.Errorf("catalogue: %s: %v", key, err) })
	v, err := openView(templates.Files, book)
	if err != nil {
		t.Fatal(err)
	}
	return v
}
