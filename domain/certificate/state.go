package certificate

import (
	"strings"

	"rillmark/calc/fault"
	"rillmark/domain"
)

// State is how far a certificate has come. The zero value is none.
type State string

// The states. Superseded and withdrawn are for ever.
const (
	Draft      State = "draft"
	Prepared   State = "prepared" // the snapshot is frozen
	Issued     State = "issued"
	Superseded State = "superseded" // a later one stands in its place
	Withdrawn  State = "withdrawn"
)

// Faults of state.
var (
	WrongState = fault.Define("certificate.wrong-state", fault.T("is"), fault.T("must_be"))
	BySelf     = fault.Define("certificate.superseded-by-itself")
	Changed    = fault.Define("certificate.changed-since-prepared")

	IssuedAlready    = fault.Define("certificate.issued-already")
	ReissuedAlready  = fault.Define("certificate.reissued-already")
	WithdrawnAlready = fault.Define("certificate.withdrawn-already")
)

// Record is a certificate as its life goes on. Content is the hash of what was frozen; the
// document's own hash is the service's.
type Record struct {
	State   State
	Number  Number
	Content string // of the prepared snapshot, without number and date of issue
	Reason  string // of the withdrawal
	By      Number // what superseded it
}

// Prepare freezes the snapshot: from then on only its number and date of issue are added.
//
// Errors: WrongState; every missing element, as Missing names them.
func (r *Record) Prepare(s Snapshot) error {
	if err := r.must(Draft); err != nil {
		return err
	}
	if faults := s.missing(false); len(faults) > 0 {
		return &domain.Error{Kind: domain.Invalid, Faults: faults}
	}
	content, err := s.ContentHash()
	if err != nil {
		return err
	}
	r.State, r.Content = Prepared, content
	return nil
}

// Issue gives the certificate its number, which the snapshot must carry.
//
// Errors: WrongState; Changed when it is not the snapshot that was prepared; every missing
// element.
func (r *Record) Issue(s Snapshot) error {
	if err := r.must(Prepared); err != nil {
		return err
	}
	number, err := ParseNumber(s.Number)
	if err != nil {
		return err
	}
	if faults := s.Missing(); len(faults) > 0 {
		return &domain.Error{Kind: domain.Invalid, Faults: faults}
	}
	content, err := s.ContentHash()
	if err != nil {
		return err
	}
	if content != r.Content {
		return domain.Refuse(domain.Stale, Changed.At("snapshot"))
	}
	r.State, r.Number = Issued, number
	return nil
}

// Supersede says that the certificate of the number stands in its place.
//
// Errors: WrongState; BySelf.
func (r *Record) Supersede(by Number) error {
	if err := r.must(Issued); err != nil {
		return err
	}
	if by == r.Number || by == (Number{}) {
		return domain.Refuse(domain.Invalid, BySelf.At("number"))
	}
	r.State, r.By = Superseded, by
	return nil
}

// Withdraw takes it back, for a reason that the check page shows.
//
// Errors: WrongState; domain.Required without a reason.
func (r *Record) Withdraw(reason string) error {
	if err := r.must(Issued); err != nil {
		return err
	}
	reason = strings.TrimSpace(reason)
	if reason == "" {
		return domain.Refuse(domain.Invalid, domain.Required.At("reason"))
	}
	r.State, r.Reason = Withdrawn, reason
	return nil
}

func (r *Record) must(be State) error {
	if r.State != be {
		return domain.Refuse(domain.Taken, WrongState.At("state", string(r.State), string(be)))
	}
	return nil
}
