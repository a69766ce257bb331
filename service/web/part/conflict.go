package part

// Side is one field of a conflict: what the person typed, in a field that can still be
// changed, beside what is stored now.
type Side struct {
	Title   string
	Mine    Field
	Theirs  Field // shown only
	Choices bool  // mine is entered by choosing from its options, listed openly
}

// Conflict is a form that was filled in while somebody else changed the same thing. The
// sides differ; Same holds the fields on which both agree, sent along unseen.
type Conflict struct {
	Notice Notice
	Sides  []Side
	Same   []Field
	Save   Button
	Drop   Link
}
