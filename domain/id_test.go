package domain_test

import (
	"encoding/json"
	"testing"

	"github.com/google/uuid"

	"rillmark/calc/fault"
	"rillmark/domain"
)

const seven = "0190aaaa-0000-7000-8000-00000000000a"

func TestParseID(t *testing.T) {
	for text, want := range map[string]bool{
		seven:                                   true,
		"0190AAAA-0000-7000-8000-00000000000A":  true,
		"0190aaaa-0000-7000-bfff-00000000000a":  true,
		"":                                      false,
		"0190aaaa-0000-4000-8000-00000000000a":  false, // another version
		"0190aaaa-0000-7000-c000-00000000000a":  false, // another variant
		"00000000-0000-0000-0000-000000000000":  false,
		"ffffffff-ffff-ffff-ffff-ffffffffffff":  false,
		"0190aaaa000070008000" + "00000000000a": false,
		"{" + seven + "}":                       false,
		"urn:uuid:" + seven:                     false,
		seven + " ":                             false,
		" " + seven[:35]:                        false,
		seven[:35] + "g":                        false,
		"0190aaaa-0000-7000-8000-0000000000é":   false,
	} {
		id, err := domain.ParseID[domain.ClientKind](text)
		if (err == nil) != want || id.Valid() != want {
			t.Errorf("%q: %v, %v", text, id, err)
		}
		if !want && !fault.Has(err, domain.NotAnID) {
			t.Errorf("%q: %v", text, err)
		}
		if want && id.String() != seven[:19]+id.String()[19:] {
			t.Errorf("%q is written %s", text, id)
		}
	}
	if (domain.ClientID{}).Valid() {
		t.Error("the zero id is valid")
	}
}

func TestNewIDTakesWhatItIsGiven(t *testing.T) {
	id := domain.NewID[domain.SiteKind](func() uuid.UUID { return uuid.MustParse(seven) })
	if id.String() != seven || !id.Valid() {
		t.Errorf("%s", id)
	}
}

func TestIDStandsAsTextInJSON(t *testing.T) {
	id, err := domain.ParseID[domain.ClientKind](seven)
	if err != nil {
		t.Fatal(err)
	}
	b, err := json.Marshal(struct{ ID domain.ClientID }{id})
	if err != nil || string(b) != `{"ID":"`+seven+`"}` {
		t.Errorf("%s, %v", b, err)
	}
	var back struct{ ID domain.ClientID }
	if err := json.Unmarshal(b, &back); err != nil || back.ID != id {
		t.Errorf("%v, %v", back, err)
	}
}
