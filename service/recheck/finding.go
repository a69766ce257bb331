package recheck

import "rillmark/calc/fault"

// Codes of what is found. The field of a fault names what it was found in.
var (
	TrailBroken      = fault.Define("recheck.trail-broken", fault.T("event"), fault.T("why"))
	FileBroken       = fault.Define("recheck.file-broken")
	FileParts        = fault.Define("recheck.file-parts")
	NumberGap        = fault.Define("recheck.number-gap", fault.T("expected"))
	NumberLast       = fault.Define("recheck.number-last", fault.C("last"), fault.C("highest"))
	RowUntold        = fault.Define("recheck.row-untold")
	FactsUnreadable  = fault.Define("recheck.facts-unreadable", fault.T("cause"))
	FactsOther       = fault.Define("recheck.facts-other")
	RowGone          = fault.Define("recheck.row-gone", fault.T("table"), fault.T("id"))
	RowChanged       = fault.Define("recheck.row-changed", fault.T("table"), fault.T("id"))
	MethodChanged    = fault.Define("recheck.method-changed")
	ResultUnreadable = fault.Define("recheck.result-unreadable")
	ResultChanged    = fault.Define("recheck.result-changed")
	ColumnOther      = fault.Define("recheck.column-other", fault.T("column"))
	SnapshotBroken   = fault.Define("recheck.snapshot-broken", fault.T("cause"))
	SnapshotOther    = fault.Define("recheck.snapshot-other", fault.T("what"))
	TrailOther       = fault.Define("recheck.trail-other", fault.T("what"))
	CertificateGone  = fault.Define("recheck.certificate-gone")
	DocumentOther    = fault.Define("recheck.document-other")
	DigitsDiffer     = fault.Define("recheck.digits-differ", fault.T("where"))
	PrintedDiffers   = fault.Define("recheck.printed-differs", fault.T("where"))
	VerdictDiffers   = fault.Define("recheck.verdict-differs", fault.T("where"))
)

// Finding is one thing that was found. A remark is worth knowing and nothing is wrong.
type Finding struct {
	fault.Fault
	Remark bool
}

func (c *check) found(f fault.Fault) {
	c.sum.Findings++
	c.Report(Finding{Fault: f})
}

func (c *check) remark(f fault.Fault) { c.Report(Finding{Fault: f, Remark: true}) }
