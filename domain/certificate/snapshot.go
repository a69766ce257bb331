package certificate

// Kind says what a document is. The zero value is none.
type Kind string

// The kinds of documents.
const (
	First       Kind = "certificate"
	Amendment   Kind = "amendment"   // adds to an issued one, which stays in force
	Reissue     Kind = "re-issue"    // stands in the place of an issued one
	Provisional Kind = "provisional" // a result sheet for leaving on site: not authorised, no number
)

// Snapshot is all that a document shows. Every figure stands twice (Figure); ids and
// decimals are texts. Words that are the same on every document are the layout's.
type Snapshot struct {
	Format       string   `json:"format"`
	Kind         Kind     `json:"kind"`
	Number       string   `json:"number,omitempty"`
	Title        string   `json:"title"`
	Subtitle     string   `json:"subtitle,omitempty"`
	Editions     Editions `json:"editions"`
	Company      Party    `json:"company"`
	Client       Party    `json:"client"`
	Place        Place    `json:"place"`
	Meter        Meter    `json:"meter"`
	Order        Order    `json:"order"`
	Dates        Dates    `json:"dates"`
	Conformity   bool     `json:"conformity"` // false: for information, no statement of conformity
	Measurand    string   `json:"measurand"`
	Indications  []Result `json:"indications"`
	Adjustment   Adjusted `json:"adjustment"`
	Setup        Setup    `json:"setup"`
	Runs         []Run    `json:"runs"`
	Traces       []Trace  `json:"traces,omitempty"` // of runs that loggers wrote
	Grounds      []Said   `json:"missing_grounds"`
	Remarks      []Said   `json:"remarks"`
	Deviations   []string `json:"deviations"`
	Conditions   []string `json:"conditions"` // of meter and place
	Opinions     []string `json:"opinions"`   // marked as such
	NotReached   []string `json:"not_reached"`
	Statements   []Stated `json:"statements"`
	People       []Person `json:"people"`
	Amends       *Amends  `json:"amends,omitempty"`
	Interval     string   `json:"interval,omitempty"` // recommended, printed only where agreed
	CheckAddress string   `json:"check_address,omitempty"`
}

// Editions are of what the document was made by.
type Editions struct {
	Program    string `json:"program"`
	Version    string `json:"version"`
	Calc       string `json:"calc"`
	Tables     string `json:"tables"`
	Layout     string `json:"layout"`
	MethodHash string `json:"method_hash"`
	Evaluation string `json:"evaluation"` // hash of the evaluation's input
}

// Party is the company or the client.
type Party struct {
	Name    string   `json:"name"`
	Address []string `json:"address"`           // lines
	Contact string   `json:"contact,omitempty"` // a person, or how to reach the company
	Mark    string   `json:"mark,omitempty"`    // the company's: PNG or JPEG, base64
}

// Place is where the work was done.
type Place struct {
	Site    string   `json:"site"`
	Address []string `json:"address"`
	Tag     string   `json:"tag"`
	Point   string   `json:"point,omitempty"`
	Zone    string   `json:"zone"` // IANA name; times of work are told in it
}

// Meter is the meter under test.
type Meter struct {
	Principle   string   `json:"principle"`
	Maker       string   `json:"maker,omitempty"`
	Model       string   `json:"model,omitempty"`
	Serial      string   `json:"serial"`
	Firmware    string   `json:"firmware,omitempty"`
	NominalSize string   `json:"nominal_size,omitempty"`
	Seals       string   `json:"seals,omitempty"`
	Condition   string   `json:"condition,omitempty"`
	Parameters  []string `json:"parameters"`
}

// Order is what was ordered and agreed, and the method.
type Order struct {
	Number      string  `json:"number"`
	Method      string  `json:"method"`
	MethodTitle string  `json:"method_title,omitempty"`
	Edition     string  `json:"edition"`
	AgreedBy    string  `json:"agreed_by"`
	AgreedOn    string  `json:"agreed_on"`
	Consent     string  `json:"consent,omitempty"` // to a change after the first
	Rule        string  `json:"rule"`              // as in package conformity
	GuardFactor Figure  `json:"guard_factor"`
	NoStatement *Figure `json:"no_statement_ratio,omitempty"`
	OverallRule string  `json:"overall_rule"`
	Adjusting   bool    `json:"adjusting_allowed"`
	Limits      []Limit `json:"limits"`
}

// Limit is one agreed limit of error, in the unit in which it was agreed.
type Limit struct {
	Phase string  `json:"phase"`
	From  Figure  `json:"from"`
	To    *Figure `json:"to,omitempty"`
	Kind  string  `json:"kind"`
	Lower *Figure `json:"lower,omitempty"`
	Upper *Figure `json:"upper,omitempty"`
	Span  *Figure `json:"span,omitempty"`
	// Combine is how a second term goes with the first, as in package conformity.
	Combine   string  `json:"combine,omitempty"`
	OtherKind string  `json:"other_kind,omitempty"`
	Other     *Figure `json:"other,omitempty"` // without a sign
	OtherSpan *Figure `json:"other_span,omitempty"`
}

// Moment is a time as printed and as RFC 3339. The zero value is none.
type Moment struct {
	Printed string `json:"printed,omitempty"`
	At      string `json:"at,omitempty"`
}

// Dates are when the work was done and when it was stated.
type Dates struct {
	Work   string `json:"work"` // first to last observation, with the zone
	From   string `json:"from"` // RFC 3339
	To     string `json:"to"`
	Issued Moment `json:"issued"`
}

// Result is everything of one indication.
type Result struct {
	ID         string   `json:"id"`
	Name       string   `json:"name"`
	Way        string   `json:"way"`
	Resolution *Figure  `json:"resolution,omitempty"`
	Phases     []Phase  `json:"phases"`
	Changes    []Change `json:"changes"`
}

// Phase is an indication before, or after the adjustment.
type Phase struct {
	Phase   string  `json:"phase"` // before, after
	Points  []Point `json:"points"`
	Overall Overall `json:"overall"`
	Mean    *Mean   `json:"mean,omitempty"`
}

// Point is one flow point.
type Point struct {
	N          int         `json:"n"`
	RunsTaken  int         `json:"runs_taken"`
	RunsUsed   int         `json:"runs_used"`
	Reference  Figure      `json:"reference"`
	Indication Figure      `json:"indication"`
	Error      Figure      `json:"error"`
	U          *Figure     `json:"uncertainty,omitempty"`
	UReference *Figure     `json:"reference_uncertainty,omitempty"`
	Standard   *Figure     `json:"standard_uncertainty,omitempty"` // combined
	K          *Figure     `json:"coverage_factor,omitempty"`
	Capability bool        `json:"capability_holds"`                       // U is the stated capability, the budget gives less
	Freedom    *Figure     `json:"effective_degrees_of_freedom,omitempty"` // nil: infinite, or no U
	Lower      *Figure     `json:"lower_limit,omitempty"`                  // of the error at this flow
	Upper      *Figure     `json:"upper_limit,omitempty"`
	Verdict    string      `json:"verdict"`
	Reason     *Said       `json:"reason,omitempty"`
	Risk       *Figure     `json:"specific_risk,omitempty"`
	Velocity   *Figure     `json:"velocity,omitempty"`
	Reynolds   *Figure     `json:"reynolds,omitempty"`
	Regime     string      `json:"regime,omitempty"`
	Components []Component `json:"components"`
}

// Component is one component of a flow point's uncertainty.
type Component struct {
	Name         string `json:"name"`
	Scope        string `json:"scope"`
	Source       string `json:"source,omitempty"`
	Standard     Figure `json:"standard"`     // of the input, in its unit
	Contribution Figure `json:"contribution"` // to the error
	Share        Figure `json:"share"`        // of the variance
}

// Overall is the verdict for the flow range tested.
type Overall struct {
	Rule    string `json:"rule"`
	Verdict string `json:"verdict"`
	From    Figure `json:"from"`
	To      Figure `json:"to"`
	Reason  *Said  `json:"reason,omitempty"`
}

// Mean is the mean error over the flow points.
type Mean struct {
	Error   Figure `json:"error"`
	U       Figure `json:"uncertainty"`
	K       Figure `json:"coverage_factor"`
	Verdict string `json:"verdict,omitempty"`
}

// Change is the change of error by adjustment at one flow point.
type Change struct {
	N           int    `json:"n"`
	Change      Figure `json:"change"`
	U           Figure `json:"uncertainty"`
	Significant bool   `json:"significant"`
}

// Adjusted is what was adjusted. Made false says that nothing was.
type Adjusted struct {
	Made   bool        `json:"made"`
	Reason string      `json:"reason,omitempty"` // why nothing was
	Rows   []Parameter `json:"rows"`
}

// Parameter is one parameter changed.
type Parameter struct {
	Name       string `json:"name"`
	Indication string `json:"indication,omitempty"`
	Old        string `json:"old"`
	New        string `json:"new"`
	Permission string `json:"permission"`
	SealBefore string `json:"seal_before,omitempty"`
	SealAfter  string `json:"seal_after,omitempty"`
	Reason     string `json:"reason"`
	By         string `json:"by"`
	At         Moment `json:"at"`
}

// Setup is with what, where and under which conditions it was measured.
type Setup struct {
	Kit        []KitItem   `json:"kit"`
	Survey     []Surveyed  `json:"survey"`
	Mountings  []Mounting  `json:"mountings"`
	Checks     []Check     `json:"checks"`
	ZeroChecks []ZeroCheck `json:"zero_checks"`
	Controls   []Control   `json:"controls"`
}

// KitItem is a piece of the company's equipment with the calibration the result rests on.
type KitItem struct {
	Kind         string `json:"kind"`
	Tag          string `json:"tag"`
	Maker        string `json:"maker,omitempty"`
	Model        string `json:"model,omitempty"`
	Serial       string `json:"serial,omitempty"`
	Firmware     string `json:"firmware,omitempty"`
	Certificate  string `json:"certificate,omitempty"`
	Laboratory   string `json:"laboratory,omitempty"`
	Route        string `json:"route,omitempty"`
	CalibratedOn string `json:"calibrated_on,omitempty"`
	ValidTo      string `json:"valid_to,omitempty"` // the last whole day
	With         string `json:"with,omitempty"`     // the reference it was calibrated with
}

// Surveyed is one value of the survey that was in force.
type Surveyed struct {
	Name       string   `json:"name"`
	Printed    string   `json:"printed"`
	Value      string   `json:"value,omitempty"` // SI; the mean of several
	Source     string   `json:"source"`
	Instrument string   `json:"instrument,omitempty"`
	By         string   `json:"by"`
	At         Moment   `json:"at"`
	Positions  []string `json:"positions"` // where there are several, each as entered
}

// Mounting is transducers placed once.
type Mounting struct {
	N           int    `json:"n"`
	Reference   string `json:"reference"`
	Pair        string `json:"pair"`
	Cable       string `json:"cable,omitempty"`
	Traverses   int    `json:"traverses"`
	Clock       string `json:"clock_position,omitempty"`
	Recommended Figure `json:"recommended"`
	Spacing     string `json:"spacing"` // as entered
	Bore        Figure `json:"bore"`
	At          Moment `json:"at"`
}

// Check is a set-up check.
type Check struct {
	Mounting   int    `json:"mounting"`
	Moment     string `json:"moment"`
	SNR        string `json:"snr,omitempty"`
	Signal     string `json:"signal,omitempty"`
	SoundSpeed string `json:"sound_speed,omitempty"`
	Outcome    string `json:"outcome"`
	Kept       string `json:"kept,omitempty"`
	At         Moment `json:"at"`
}

// ZeroCheck is a reading of the reference at no flow, or why there was none.
type ZeroCheck struct {
	Mounting  int    `json:"mounting"`
	Moment    string `json:"moment"`
	Possible  bool   `json:"possible"`
	Isolated  string `json:"isolated,omitempty"`
	Tightness string `json:"tightness,omitempty"`
	Mean      string `json:"mean,omitempty"`
	U         string `json:"u,omitempty"`
	Seconds   string `json:"seconds,omitempty"`
	Action    string `json:"action,omitempty"`
	At        Moment `json:"at"`
}

// Control is what the meter's signal controls, and who inhibited and restored it.
type Control struct {
	Kind   string `json:"kind"`
	What   string `json:"what,omitempty"`
	DoneBy string `json:"done_by,omitempty"`
	At     Moment `json:"at"`
}

// Run is one run with what each indication came to.
type Run struct {
	Phase     string   `json:"phase"`
	N         int      `json:"n"`
	FlowPoint int      `json:"flow_point"`
	Mounting  int      `json:"mounting"`
	At        Moment   `json:"at"`
	Taken     int      `json:"readings_taken"`
	UsedOf    int      `json:"readings_used"`
	Used      bool     `json:"used"`
	SetAside  string   `json:"set_aside,omitempty"`
	Reference Figure   `json:"reference"`
	Errors    []Figure `json:"errors"` // in the order of the indications; empty where there is none
}

// Said is a sentence with the code it was looked up from.
type Said struct {
	Code string `json:"code"`
	Text string `json:"text"`
}

// Stated is a statement that the document must make.
type Stated struct {
	Kind string `json:"kind"`
	Text string `json:"text"`
}

// Person is somebody named on the document.
type Person struct {
	Role     string `json:"role"` // technician, approver
	Name     string `json:"name"`
	Function string `json:"function,omitempty"`
	At       Moment `json:"at"`
}

// Amends names the earlier document and what is other.
type Amends struct {
	Number  string   `json:"number"`
	Issued  string   `json:"issued"`
	Reason  string   `json:"reason"`
	Changes []string `json:"changes"`
}
