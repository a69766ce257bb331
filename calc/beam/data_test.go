package beam_test

import (
	"encoding/csv"
	"encoding/json"
	"errors"
	"math"
	"os"
	"strings"
	"testing"

	"rillmark/calc/beam"
)

// row is one line of a table of reference values: inputs and expected values by name.
type row struct {
	id       string
	in, want map[string]any
}

// rows reads the lines of a table whose id starts with prefix; a table without any fails.
func rows(t *testing.T, file, prefix string) []row {
	t.Helper()
	f, err := os.Open("testdata/" + file)
	if err != nil {
		t.Fatal(err)
	}
	defer f.Close()
	lines, err := csv.NewReader(f).ReadAll()
	if err != nil {
		t.Fatal(err)
	}
	var all []row
	for _, line := range lines[1:] {
		if !strings.HasPrefix(line[0], prefix) {
			continue
		}
		r := row{id: line[0]}
		if err := errors.Join(json.Unmarshal([]byte(line[2]), &r.in), json.Unmarshal([]byte(line[4]), &r.want)); err != nil {
			t.Fatalf("%s: %v", line[0], err)
		}
		all = append(all, r)
	}
	if len(all) == 0 {
		t.Fatalf("no rows %q in %s", prefix, file)
	}
	return all
}

func (r row) input(t *testing.T, name string) float64 { return number(t, r.in, name) }

// expect compares with the named value of the row to a relative tolerance.
func (r row) expect(t *testing.T, name string, got, tolerance float64) {
	t.Helper()
	close(t, r.id+" "+name, got, number(t, r.want, name), tolerance)
}

func number(t *testing.T, m map[string]any, name string) float64 {
	t.Helper()
	x, ok := m[name].(float64)
	if !ok {
		t.Fatalf("no number %q", name)
	}
	return x
}

// close compares to a relative tolerance.
func close(t *testing.T, what string, got, want, tolerance float64) {
	t.Helper()
	if !(math.Abs(got-want) <= tolerance*math.Abs(want)) {
		t.Errorf("%s: got %.16g, want %.16g (relative %.1e, allowed %.1e)", what, got, want, got/want-1, tolerance)
	}
}

// near compares to an absolute tolerance.
func near(t *testing.T, what string, got, want, tolerance float64) {
	t.Helper()
	if !(math.Abs(got-want) <= tolerance) {
		t.Errorf("%s: got %.12g, want %.12g ± %.2g", what, got, want, tolerance)
	}
}

const degree = math.Pi / 180

// steel is a carbon steel pipe of 3 in schedule 40 carrying water at 20 °C, two traverses.
func steel() beam.Setup {
	return beam.Setup{
		OutsideDiameter: 0.0889, Wall: 0.00549, PipeSoundSpeed: 3235, PipeWave: beam.Shear,
		FluidSoundSpeed: 1482.343, WedgeSoundSpeed: 2730, WedgeAngle: 38 * degree,
		ExitOffset: 0.012, Traverses: 2,
	}
}

// lined is a ductile iron pipe with cement mortar, one traverse.
func lined() beam.Setup {
	return beam.Setup{
		OutsideDiameter: 0.326, Wall: 0.0072, PipeSoundSpeed: 3055, PipeWave: beam.Shear,
		LinerThickness: 0.004, LinerSoundSpeed: 3640,
		FluidSoundSpeed: 1450, WedgeSoundSpeed: 2450, WedgeAngle: 35 * degree,
		ExitOffset: 0.02, Traverses: 1,
	}
}

// plastic is a PVC pipe carrying a longitudinal wave, three traverses.
func plastic() beam.Setup {
	return beam.Setup{
		OutsideDiameter: 0.110, Wall: 0.0066, PipeSoundSpeed: 2380, PipeWave: beam.Longitudinal,
		FluidSoundSpeed: 1482.343, WedgeSoundSpeed: 2730, WedgeAngle: 40 * degree,
		ExitOffset: 0.008, Traverses: 3,
	}
}

// rubber is a steel pipe with a liner far slower than its wall, two traverses.
func rubber() beam.Setup {
	s := steel()
	s.OutsideDiameter, s.Wall = 0.1683, 0.00711
	s.LinerThickness, s.LinerSoundSpeed = 0.003, 1900
	return s
}

func setups() map[string]beam.Setup {
	return map[string]beam.Setup{"steel": steel(), "lined": lined(), "plastic": plastic(), "rubber": rubber()}
}

func place(t *testing.T, s beam.Setup) beam.SpacingResult {
	t.Helper()
	r, err := beam.Spacing(beam.SpacingRequest{Setup: s, Graduation: 0.001})
	if err != nil {
		t.Fatal(err)
	}
	return r
}

// tableSetup is the set-up of a row of the transit-time table, with no exit offset.
func tableSetup(t *testing.T, r row) beam.Setup {
	t.Helper()
	wave := beam.Shear
	if strings.HasPrefix(r.id, "pvc") {
		wave = beam.Longitudinal
	}
	return beam.Setup{
		OutsideDiameter: r.input(t, "OD") / 1e3, Wall: r.input(t, "w") / 1e3,
		PipeSoundSpeed: r.input(t, "cp"), PipeWave: wave, FluidSoundSpeed: r.input(t, "cl"),
		WedgeSoundSpeed: r.input(t, "cw"), WedgeAngle: r.input(t, "thw") * degree,
		Traverses: int(r.input(t, "traverses")),
	}
}

// tableRows are the rows of the transit-time table that describe a set-up.
func tableRows(t *testing.T) []row {
	t.Helper()
	var all []row
	for _, r := range rows(t, "transit_time.csv", "") {
		if !strings.HasPrefix(r.id, "sens-") {
			all = append(all, r)
		}
	}
	if len(all) < 20 {
		t.Fatalf("only %d rows", len(all))
	}
	return all
}
