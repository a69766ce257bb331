package tracing

import (
	"encoding/json"

	"rillmark/domain/evaluation"
	"rillmark/service/logfile"
)

// keptReport is what became of a file's rows as it is kept beside a series.
type keptReport struct {
	Rows     int           `json:"rows"`
	Kept     int           `json:"kept"`
	Dropped  []keptDropped `json:"dropped"`
	Decimals int           `json:"decimals"`
	Factor   float64       `json:"factor"`
	Wraps    int           `json:"wraps,omitempty"`
	Modulus  float64       `json:"modulus,omitempty"`
}

type keptDropped struct {
	Reason evaluation.Finding `json:"reason"`
	Rows   int                `json:"rows"`
	First  int                `json:"first"`
}

func packReport(r logfile.Report) (string, error) {
	k := keptReport{r.Rows, r.Kept, []keptDropped{}, r.Decimals, r.Factor, r.Wraps, r.Modulus}
	for _, d := range r.Dropped {
		k.Dropped = append(k.Dropped, keptDropped{evaluation.Finding{Fault: d.Reason}, d.Rows, d.First})
	}
	text, err := json.Marshal(k)
	return string(text), err
}

func unpackReport(text string) (logfile.Report, error) {
	var k keptReport
	err := json.Unmarshal([]byte(text), &k)
	r := logfile.Report{Rows: k.Rows, Kept: k.Kept, Decimals: k.Decimals, Factor: k.Factor, Wraps: k.Wraps, Modulus: k.Modulus}
	for _, d := range k.Dropped {
		r.Dropped = append(r.Dropped, logfile.Dropped{Reason: d.Reason.Fault, Rows: d.Rows, First: d.First})
	}
	return r, err
}
