package main

import (
	"encoding/json"
	"strings"
	"testing"

	"rillmark/service/issuing/issuingtest"
	"rillmark/service/store/storetest"
)

// The check is run as a subcommand over what was issued, and finds the byte that was
// flipped since.
func TestRecheck(t *testing.T) {
	needPostgres(t)
	o := issuingtest.Open(t, storetest.Clone(t), moduleRoot)
	o.Certified()
	code, got := inside(t, nil, "", "recheck", "--database-url", o.DB.URL)
	wantRun(t, code, got, exitDone, "1 certificates", "1 the same", "whole")
	o.SQL("ALTER TABLE blob_part DISABLE TRIGGER ALL")
	o.SQL("UPDATE blob_part SET data = set_byte(data, 99, get_byte(data, 99) # 1) WHERE sha256 = (SELECT document FROM certificate)")
	code, got = inside(t, nil, "", "recheck", "--database-url", o.DB.URL)
	wantRun(t, code, got, exitFailed, "do not match the hash", "One thing is not as it was")
	code, got = inside(t, nil, "", "recheck", "--json", "--draw", "--quiet", "--database-url", o.DB.URL)
	wantRun(t, code, got, exitFailed)
	lines := strings.Split(strings.TrimSpace(got.out), "\n")
	var found recheckLine
	var last struct{ Summary map[string]any }
	if len(lines) != 2 || json.Unmarshal([]byte(lines[0]), &found) != nil || json.Unmarshal([]byte(lines[1]), &last) != nil {
		t.Fatalf("output %s", got.out)
	}
	if found.Code != "recheck.file-broken" || !strings.HasPrefix(found.In, "file ") || found.Message == "" || last.Summary["findings"] != 1.0 {
		t.Errorf("found %+v, summary %v", found, last.Summary)
	}
}
