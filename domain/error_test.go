package domain_test

import (
	"errors"
	"fmt"
	"testing"

	"rillmark/calc/fault"
	"rillmark/domain"
)

var errCause = errors.New("the cause")

func TestKindIsKeptWhateverIsWrappedAround(t *testing.T) {
	refused := domain.Refuse(domain.Taken, domain.Required.At("name"))
	for name, c := range map[string]struct {
		err  error
		kind domain.Kind
	}{
		"refused":          {refused, domain.Taken},
		"wrapped":          {domain.Wrap("client.add", refused), domain.Taken},
		"wrapped twice":    {domain.Wrap("a", domain.Wrap("b", refused)), domain.Taken},
		"wrapped by fmt":   {fmt.Errorf("x: %w", refused), domain.Taken},
		"joined":           {errors.Join(errCause, refused), domain.Taken},
		"the outermost":    {&domain.Error{Kind: domain.Busy, Cause: refused}, domain.Busy},
		"a fault alone":    {domain.Required.At("name"), domain.Invalid},
		"a list of faults": {fault.List{domain.Required.At("name")}, domain.Invalid},
		"faults wrapped":   {domain.Wrap("x", fault.List{domain.Required.At("name")}), domain.Invalid},
		"anything else":    {errCause, domain.Internal},
		"else, wrapped":    {domain.Wrap("x", errCause), domain.Internal},
		"nothing":          {nil, domain.Internal},
	} {
		if got := domain.KindOf(c.err); got != c.kind {
			t.Errorf("%s: %v", name, got)
		}
	}
	if domain.Wrap("x", nil) != nil {
		t.Error("wrapping nothing makes an error")
	}
	wrapped := domain.Wrap("b", domain.Wrap("a", &domain.Error{Kind: domain.Internal, Cause: errCause}))
	if !errors.Is(wrapped, errCause) {
		t.Error("the cause is lost")
	}
	if !fault.Has(domain.Wrap("x", refused), domain.Required) {
		t.Error("the fault is lost")
	}
}

func TestErrorSaysItOnceForTheLog(t *testing.T) {
	fault := domain.Required.At("name")
	for want, err := range map[string]error{
		"taken: name: text.required":                       domain.Refuse(domain.Taken, fault),
		"client.add: taken: name: text.required":           &domain.Error{Kind: domain.Taken, Op: "client.add", Faults: domain.Refuse(domain.Taken, fault).Faults},
		"site.add: client.add: busy: the cause":            domain.Wrap("site.add", &domain.Error{Kind: domain.Busy, Op: "client.add", Cause: errCause}),
		"x: internal: the cause":                           domain.Wrap("x", errCause),
		"stale: version: domain.changed-since kind=client": domain.StaleThing("client", 7),
		"internal": &domain.Error{},
	} {
		if err.Error() != want {
			t.Errorf("%q, want %q", err, want)
		}
	}
}

func TestConflictCarriesThePresentState(t *testing.T) {
	var e *domain.Error
	if err := domain.Wrap("a", domain.Wrap("b", domain.StaleThing("client", 7))); !errors.As(err, &e) || e.Current != 7 || e.Kind != domain.Stale {
		t.Errorf("%+v", e)
	}
}

func TestKindsHaveNames(t *testing.T) {
	seen := map[string]bool{}
	for k := domain.Internal; k <= domain.Full; k++ {
		if name := k.String(); name == "" || name == "unknown" || seen[name] {
			t.Errorf("kind %d is called %q", int(k), name)
		} else {
			seen[name] = true
		}
	}
	for _, k := range []domain.Kind{-1, domain.Full + 1} {
		if k.String() != "unknown" {
			t.Errorf("kind %d is called %q", int(k), k)
		}
	}
}
