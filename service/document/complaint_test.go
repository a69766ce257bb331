package document

import (
	"testing"

	maroto "github.com/johnfercher/maroto/v2"
	"github.com/johnfercher/maroto/v2/pkg/components/col"
	"github.com/johnfercher/maroto/v2/pkg/components/image"
	"github.com/johnfercher/maroto/v2/pkg/components/row"
	"github.com/johnfercher/maroto/v2/pkg/config"
	"github.com/johnfercher/maroto/v2/pkg/consts/extension"
)

// TestComplaint: what the page library prints in the place of a picture that is none is
// found, compressed or not.
func TestComplaint(t *testing.T) {
	for name, tt := range map[string]struct {
		picture  []byte
		as       extension.Type
		compress bool
		want     bool
	}{
		"of no known kind, compressed": {[]byte("<svg/>"), "svg", true, true},
		"of no known kind":             {[]byte("<svg/>"), "svg", false, true},
		"no picture, compressed":       {nil, "", true, false},
		"no picture":                   {nil, "", false, false},
	} {
		t.Run(name, func(t *testing.T) {
			m := maroto.New(config.NewBuilder().WithCompression(tt.compress).Build())
			if tt.picture != nil {
				m.AddRows(row.New(20).Add(col.New().Add(image.NewFromBytes(tt.picture, tt.as))))
			}
			made, err := m.Generate()
			if err != nil {
				t.Fatal(err)
			}
			got, err := holdsComplaint(made.GetBytes())
			if err != nil || got != tt.want {
				t.Errorf("found %v, %v; want %v", got, err, tt.want)
			}
		})
	}
}

func TestComplaintOfADamagedFile(t *testing.T) {
	for _, pdf := range []string{"<</Filter /FlateDecode /Length 4>>\nstream\nabcd\nendstream", "<<>>\nstream\nabc"} {
		if _, err := holdsComplaint([]byte(pdf)); err == nil {
			t.Errorf("%q passes", pdf)
		}
	}
}
