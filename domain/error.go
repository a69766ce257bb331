package domain

import (
	"errors"
	"strings"

	"rillmark/calc/fault"
)

// Kind says what class of thing went wrong, and so what an edge may answer. The list
// is append-only. The zero value is Internal: logged whole, shown as one fixed sentence.
type Kind int

// The kinds of error.
const (
	Internal        Kind = iota // a fault of ours, or of the machine
	Invalid                     // what was entered breaks a rule; the faults name the fields
	NotFound                    // no such thing, or none that this actor may see
	Stale                       // the thing was changed since it was read; Current holds it
	Taken                       // a rule between rows forbids it: a name in use, a double booking
	Forbidden                   // the actor may not do this
	Unauthenticated             // nobody is logged in
	Reused                      // an operation id came again with another content
	Busy                        // a time-out or too much work; trying again may help
	TooLarge                    // beyond a limit on size
	Throttled                   // too many tries; the fault says how long to wait
	Full                        // the machine's disk is full
)

var kindNames = [...]string{"internal", "invalid", "not found", "stale", "taken", "forbidden",
	"unauthenticated", "reused", "busy", "too large", "throttled", "full"}

// String returns the kind's name, for logs.
func (k Kind) String() string {
	if k < 0 || int(k) >= len(kindNames) {
		return "unknown"
	}
	return kindNames[k]
}

// Error is the one error type of domain and service. Op is the act that failed, for
// logs; Faults carry the codes whose sentences people read.
type Error struct {
	Kind    Kind
	Op      string
	Faults  fault.List
	Current any // with Stale: the thing as it stands now
	Cause   error
}

// Error implements error, for logs.
func (e *Error) Error() string {
	var inner *Error
	if e.Op != "" && errors.As(e.Cause, &inner) { // a wrapped one has said the rest
		return e.Op + ": " + e.Cause.Error()
	}
	parts := []string{}
	if e.Op != "" {
		parts = append(parts, e.Op)
	}
	parts = append(parts, e.Kind.String())
	if len(e.Faults) > 0 {
		parts = append(parts, e.Faults.Error())
	}
	if e.Cause != nil {
		parts = append(parts, e.Cause.Error())
	}
	return strings.Join(parts, ": ")
}

// Unwrap gives the faults and the cause.
func (e *Error) Unwrap() []error {
	errs := []error{}
	if len(e.Faults) > 0 {
		errs = append(errs, e.Faults)
	}
	if e.Cause != nil {
		errs = append(errs, e.Cause)
	}
	return errs
}

// KindOf returns the kind of the outermost Error in err. Faults without an Error are
// Invalid, anything else is Internal.
func KindOf(err error) Kind {
	var e *Error
	if errors.As(err, &e) {
		return e.Kind
	}
	if _, ok := fault.Of(err); ok {
		return Invalid
	}
	return Internal
}

// Wrap adds the act to an error and keeps its kind. A nil error stays nil.
func Wrap(op string, err error) error {
	if err == nil {
		return nil
	}
	var e *Error
	if errors.As(err, &e) {
		return &Error{Kind: e.Kind, Op: op, Faults: e.Faults, Current: e.Current, Cause: err}
	}
	return &Error{Kind: KindOf(err), Op: op, Faults: fault.AllOf(err), Cause: err}
}

// Refuse makes an error of a kind from one fault.
func Refuse(kind Kind, f fault.Fault) *Error { return &Error{Kind: kind, Faults: fault.List{f}} }

// StaleThing says that a thing was changed since it was read, and carries it as it is now.
func StaleThing(kind string, current any) *Error {
	return &Error{Kind: Stale, Faults: fault.List{ChangedSince.At("version", kind)}, Current: current}
}
