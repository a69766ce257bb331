package certificate

import (
	"bytes"
	"crypto/sha256"
	"encoding/hex"
	"encoding/json"

	"rillmark/calc/fault"
	"rillmark/domain/canonical"
)

// Format names the form of the snapshot. A field added later keeps it; another meaning of
// a field takes a new one.
const Format = "rillmark-certificate/1"

// Faults of a stored snapshot.
var (
	Unreadable    = fault.Define("certificate.snapshot-unreadable", fault.T("why"))
	UnknownFormat = fault.Define("certificate.snapshot-format", fault.T("format"))
)

// Canonical returns the snapshot as canonical JSON (RFC 8785): what is kept and hashed.
func (s Snapshot) Canonical() ([]byte, error) {
	return canonical.Marshal(s)
}

// Hash returns the SHA-256 of the canonical JSON, in hexadecimal.
func (s Snapshot) Hash() (string, error) {
	text, err := s.Canonical()
	if err != nil {
		return "", err
	}
	sum := sha256.Sum256(text)
	return hex.EncodeToString(sum[:]), nil
}

// ContentHash is the hash of the snapshot without what issuing adds: number, date of issue
// and address of the check page. It shows that what is issued is what was prepared.
func (s Snapshot) ContentHash() (string, error) {
	return s.Numbered(Number{}, Moment{}, "").Hash()
}

// Numbered returns the snapshot with what issuing adds.
func (s Snapshot) Numbered(n Number, issued Moment, check string) Snapshot {
	s.Number, s.Dates.Issued, s.CheckAddress = n.String(), issued, check
	return s
}

// Parse reads a stored snapshot. Fields that are not known are refused: a page made
// without them would not show all that was stated.
//
// Errors: Unreadable, UnknownFormat.
func Parse(text []byte) (Snapshot, error) {
	var s Snapshot
	decoder := json.NewDecoder(bytes.NewReader(text))
	decoder.DisallowUnknownFields()
	if err := decoder.Decode(&s); err != nil {
		return Snapshot{}, Unreadable.At("snapshot", err.Error())
	}
	if decoder.More() {
		return Snapshot{}, Unreadable.At("snapshot", "something follows the end")
	}
	if s.Format != Format {
		return Snapshot{}, UnknownFormat.At("snapshot", clip(s.Format))
	}
	return s, nil
}
