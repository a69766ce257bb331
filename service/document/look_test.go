package document_test

import (
	"os"
	"path/filepath"
	"testing"

	"rillmark/service/document"
)

// TestLook writes the documents to a folder for somebody to look at:
// RILLMARK_LOOK=folder go test ./service/document -run TestLook
func TestLook(t *testing.T) {
	folder := os.Getenv("RILLMARK_LOOK")
	if folder == "" {
		t.Skip("RILLMARK_LOOK names no folder")
	}
	for _, c := range cases {
		pdf, err := document.Render(c.make(t))
		if err != nil {
			t.Fatalf("%s: %v", c.name, err)
		}
		if err := os.WriteFile(filepath.Join(folder, c.name+".pdf"), pdf, 0o600); err != nil {
			t.Fatal(err)
		}
	}
}
