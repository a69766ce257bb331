package main

import (
	"context"
	"flag"
	"os"
	"time"

	"rillmark/calc/fault"
	"rillmark/calc/trace"
	"rillmark/cmd/rillmark/calcjson"
	"rillmark/service/logfile"
)

func calcAlignCommand() command {
	return command{
		words: "calc align", does: "compare two loggers' files: clock lag, steady stretches, errors; JSON to the standard output",
		more: "Without a map each file is read as it proposes itself, and refused where it can be read in two ways.",
		own: func(f *flag.FlagSet) {
			f.String("reference", "", "the reference's file: CSV, TSV, semicolon text or XLSX")
			f.String("meter", "", "the file of the meter under test")
			f.String("map", "", "JSON: a column map for both, or “reference” and “meter” apart")
		},
		run: func(_ context.Context, p *program, c *call) error {
			for _, needed := range []string{"reference", "meter"} {
				if c.text(needed) == "" {
					return usage(operandMissing.At("", "calc align", "--"+needed))
				}
			}
			say := sayer()
			compared, err := alignFiles(c.text("reference"), c.text("meter"), c.text("map"))
			if err != nil {
				return exitCode(calcjson.Refuse(p.out, err, say))
			}
			return exitCode(calcjson.Answer(p.out, tellAlignment(compared, say), say))
		},
	}
}

func alignFiles(reference, meter, mapping string) (logfile.Comparison, error) {
	var m logfile.PairMap
	if mapping != "" {
		text, err := os.ReadFile(mapping)
		if err != nil {
			return logfile.Comparison{}, logfile.CodeUnreadable.At("map", err.Error())
		}
		if m, err = logfile.ParsePairMap(text); err != nil {
			return logfile.Comparison{}, inFile("map", err)
		}
	}
	r, closeR, err := openLog(reference, m.Reference.Sheet)
	if err != nil {
		return logfile.Comparison{}, inFile("reference", err)
	}
	defer closeR()
	s, closeS, err := openLog(meter, m.Meter.Sheet)
	if err != nil {
		return logfile.Comparison{}, inFile("meter", err)
	}
	defer closeS()
	return logfile.Compare(r, s, m)
}

func inFile(field string, err error) error {
	var out fault.List
	for _, f := range fault.AllOf(err) {
		inner := field
		if f.Field != "" {
			inner += "." + f.Field
		}
		out = append(out, f.In(inner))
	}
	return out
}

func openLog(name, sheet string) (logfile.Source, func(), error) {
	f, err := os.Open(name)
	if err != nil {
		return logfile.Source{}, nil, logfile.CodeUnreadable.At("", err.Error())
	}
	info, err := f.Stat()
	if err != nil || info.IsDir() {
		f.Close() //nolint:errcheck // nothing was written
		return logfile.Source{}, nil, logfile.CodeNotText.At("")
	}
	s, err := logfile.SourceOf(f, info.Size(), sheet)
	if err != nil {
		f.Close() //nolint:errcheck // nothing was written
		return logfile.Source{}, nil, err
	}
	return s, func() { f.Close() }, nil //nolint:errcheck // nothing was written
}

type alignAnswer struct {
	Lag         *float64 `json:"lag_s"`
	Uncertainty *float64 `json:"lag_uncertainty_s"`
	Found       bool     `json:"lag_found"`
	Reason      string   `json:"reason"`

	Stretches []stretchAnswer `json:"stretches"`
	Dropped   struct {
		Reference []droppedAnswer `json:"reference"`
		Meter     []droppedAnswer `json:"meter"`
	} `json:"rows_dropped"`
}

type stretchAnswer struct {
	From       string   `json:"from"`
	To         string   `json:"to"`
	Seconds    float64  `json:"seconds"`
	Reference  float64  `json:"reference_mean_m3_s"`
	Indication float64  `json:"indication_mean_m3_s"`
	Error      float64  `json:"error_percent"`
	TypeA      *float64 `json:"type_a_standard_percent"`
	Expanded   *float64 `json:"expanded_95_percent"`
	EffectiveN float64  `json:"effective_n"`
}

type droppedAnswer struct {
	Rows      int    `json:"rows"`
	FirstLine int    `json:"first_line"`
	Code      string `json:"code"`
	Message   string `json:"message"`
}

func tellAlignment(c logfile.Comparison, say func(fault.Fault) string) alignAnswer {
	a := alignAnswer{Found: c.Alignment.Found, Stretches: []stretchAnswer{}}
	if c.Alignment.Found || c.Noted {
		a.Lag, a.Uncertainty = &c.Alignment.Lag, &c.Alignment.Uncertainty
	}
	if !c.Alignment.Found {
		a.Reason = say(c.Alignment.Reason)
	}
	for _, s := range c.Stretches {
		a.Stretches = append(a.Stretches, tellStretch(s, c.Origin))
	}
	a.Dropped.Reference = tellDropped(c.Reference.Report, say)
	a.Dropped.Meter = tellDropped(c.Meter.Report, say)
	return a
}

// tellStretch tells one stretch, its times in UTC on the reference's clock.
func tellStretch(s trace.Stretch, origin int64) stretchAnswer {
	at := func(seconds float64) string {
		return time.UnixMicro(origin + int64(seconds*1e6)).UTC().Round(time.Millisecond).Format(time.RFC3339Nano)
	}
	a := stretchAnswer{
		From: at(s.From), To: at(s.To), Seconds: s.To - s.From,
		Reference: s.ReferenceMean, Indication: s.IndicationMean, Error: 100 * s.Error, EffectiveN: s.EffectiveN,
	}
	if s.Estimable {
		u, expanded := 100*s.TypeA, 100*s.Expanded
		a.TypeA, a.Expanded = &u, &expanded
	}
	return a
}

func tellDropped(r logfile.Report, say func(fault.Fault) string) []droppedAnswer {
	all := []droppedAnswer{}
	for _, d := range r.Dropped {
		all = append(all, droppedAnswer{d.Rows, d.First, d.Reason.Code.Name(), say(d.Reason)})
	}
	return all
}
