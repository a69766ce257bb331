package fault

import "errors"

// Of returns the first fault inside err, and whether there is one.
func Of(err error) (Fault, bool) {
	var f Fault
	ok := errors.As(err, &f)
	return f, ok
}

// Has reports whether err is, or holds, a fault of the code.
func Has(err error, code *Code) bool {
	for _, f := range AllOf(err) {
		if f.Code == code {
			return true
		}
	}
	return false
}

// AllOf returns every fault inside err, in order.
func AllOf(err error) List {
	var l List
	if errors.As(err, &l) {
		return l
	}
	if f, ok := Of(err); ok {
		return List{f}
	}
	return nil
}
