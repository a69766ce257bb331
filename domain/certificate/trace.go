package certificate

// Trace is two loggers' records side by side, from which runs were taken.
type Trace struct {
	Indication string    `json:"indication"` // whose logger the meter's is
	Reference  LogFile   `json:"reference"`
	Meter      LogFile   `json:"meter"`
	How        string    `json:"how"`                       // signals, clock-note, nudged
	Lag        *Figure   `json:"lag,omitempty"`             // added to the meter's stamps; nil: none was found
	U          *Figure   `json:"lag_uncertainty,omitempty"` // expanded, about 95 %
	Reason     string    `json:"reason,omitempty"`          // of a lag that a person set
	From       Moment    `json:"from"`                      // of the picture, on the reference's clock
	To         Moment    `json:"to"`
	Unit       string    `json:"unit"` // of the flows in the picture
	Error      []string  `json:"error"`
	Stretches  []Stretch `json:"stretches"`
}

// LogFile is a logger's file and what is drawn of it: each entry of Drawn is a short time, as
// seconds after the picture's beginning, its length in seconds, and the least, the greatest
// and the mean flow, with blanks between.
type LogFile struct {
	Name   string   `json:"name"`
	SHA256 string   `json:"sha256"`
	Drawn  []string `json:"drawn"`
}

// Stretch is a time of the records that was taken as a run, or set aside with a reason.
type Stretch struct {
	From   string `json:"from"` // seconds after the picture's beginning
	To     string `json:"to"`
	Phase  string `json:"phase,omitempty"` // of the run
	Run    int    `json:"run,omitempty"`   // 0: none, it was set aside
	Reason string `json:"reason,omitempty"`
}
