package demo

import (
	"context"
	"testing"

	"rillmark/calc/fault"
	"rillmark/domain"
	"rillmark/domain/access"
	"rillmark/domain/certificate"
	"rillmark/domain/evaluation"
	"rillmark/service/capture"
	"rillmark/service/document"
	"rillmark/service/issuing"
	"rillmark/service/recheck"
	"rillmark/service/store"
	"rillmark/service/store/storetest"
)

// documentsHaveStates looks at what was issued: each state that a document can have, one of
// an earlier year, one without a verdict, and something that still waits.
func documentsHaveStates(t *testing.T, s Services, db *store.Store) {
	page, err := s.Issuing.Certificates(t.Context(), as(yusuf), issuing.Filter{})
	if err != nil {
		t.Fatal(err)
	}
	want := []struct {
		serial, yearsAgo int
		state            certificate.State
		stated           bool
	}{
		{7, 0, certificate.Issued, true}, {6, 0, certificate.Issued, true}, {5, 0, certificate.Issued, true},
		{4, 0, certificate.Issued, true}, {3, 0, certificate.Withdrawn, true}, {2, 0, certificate.Superseded, true}, {1, 0, certificate.Issued, false}, {1, 1, certificate.Issued, true},
	}
	if len(page.Items) != len(want) {
		t.Fatalf("%d documents, want %d", len(page.Items), len(want))
	}
	year := page.Items[0].Year
	for i, c := range page.Items {
		w := want[i]
		ago := year - c.Year
		if c.Serial != w.serial || min(ago, 1) != w.yearsAgo || c.State != w.state || c.Verdict != "" != w.stated {
			t.Errorf("document %s is %s with verdict %q, want %+v", c.Number(), c.State, c.Verdict, w)
		}
	}
	waiting, err := s.Issuing.Waiting(t.Context(), as(bram), store.Filter{})
	if err != nil || len(waiting.Items) != 5 {
		t.Errorf("%d results wait, want 5 (%v)", len(waiting.Items), err)
	}
}

// nothingIsAmiss rechecks everything that the demo wrote.
func nothingIsAmiss(t *testing.T, s Services, db *store.Store) {
	sum, err := recheck.Run(t.Context(), recheck.Config{Store: db, Version: "test", Render: document.Render,
		Observed: func(ctx context.Context, f evaluation.Facts) (evaluation.Facts, error) {
			return capture.New(capture.Config{Store: db, IDs: storetest.IDs()}).Reread(ctx, access.System("recheck"), f)
		},
		Decoded: func(ctx context.Context, id domain.SeriesID) (*fault.Fault, error) {
			return s.Tracing.DecodeAgain(ctx, access.System("recheck"), id)
		},
		Report: func(f recheck.Finding) { t.Errorf("%v", f.Fault) }})
	if err != nil || sum.Series != 4 || sum.Certificates != len(judgements) || sum.Same != len(judgements) || sum.Drawn != len(judgements) {
		t.Errorf("summary %+v, %v", sum, err)
	}
}
