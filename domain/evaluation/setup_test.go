package evaluation_test

import (
	"slices"
	"testing"

	"rillmark/calc/beam"
	"rillmark/domain/evaluation"
	"rillmark/domain/kit"
	"rillmark/domain/sheet"
)

// pairOf is the example's transducer pair with another wave.
func pairOf(t *testing.T, f evaluation.Facts, wave beam.Wave) kit.Item {
	t.Helper()
	i := slices.IndexFunc(f.Kit, func(k kit.Item) bool { return k.Wave != nil })
	if i < 0 {
		t.Fatal("the example has no transducer pair")
	}
	pair, name := f.Kit[i], string(wave)
	pair.Wave = &name
	return pair
}

// TestOneModelForEveryLining sees that a liner's sound speed is that of the wave which the
// pair sends, for every liner of the method.
func TestOneModelForEveryLining(t *testing.T) {
	f := facts(t)
	seen := 0
	for _, wave := range []beam.Wave{beam.Shear, beam.Longitudinal} {
		pair := pairOf(t, f, wave)
		for _, m := range f.Method.Content.Materials {
			want, known := f.Method.Content.LinerSpeed(m.Name, wave)
			if !known {
				continue
			}
			seen++
			survey := f.Sheet.Now()
			survey[sheet.LinerMaterial] = sheet.Value{Name: sheet.LinerMaterial, Text: m.Name, Count: 1}
			survey[sheet.LinerThickness] = sheet.Value{Name: sheet.LinerThickness, Number: 0.004, Count: 1}
			setup, missing, faults := evaluation.SetupOf(survey, pair, f.Method.Content)
			if setup.LinerSoundSpeed != want || setup.PipeWave != wave || len(missing)+len(faults) > 0 {
				t.Errorf("%s, %s: %g m/s, want %g; missing %v, %v", m.Name, wave, setup.LinerSoundSpeed, want, missing, faults)
			}
		}
	}
	if seen == 0 {
		t.Error("the method has no liner")
	}
}

// TestAWallThatLeavesNoBore: 300 mm among good readings of a 168.3 mm pipe is named, and
// nothing is worked out, whatever the mean comes to.
func TestAWallThatLeavesNoBore(t *testing.T) {
	f := facts(t)
	i := slices.IndexFunc(f.Sheet.Survey, func(v sheet.SurveyValue) bool { return v.Name == sheet.Wall })
	wrong := 0.0841501 // half of the outside diameter and a tenth of a micrometre
	f.Sheet.Survey[i].Value, f.Sheet.Survey[i].Entered = &wrong, "84.1501 mm"
	said := evaluation.Impossible(f.Sheet.Now())
	if len(said) != 1 || said[0].Code != evaluation.BeyondRadius || said[0].Value("entered") != "84.1501 mm" {
		t.Fatalf("said %v", said)
	}
	r, err := evaluation.Evaluate(f)
	if err != nil {
		t.Fatal(err)
	}
	if r.Conformity || r.Phases[0].Indications[0].Points[0].U != nil {
		t.Error("an uncertainty is stated on an impossible pipe")
	}
	found := false
	for _, m := range r.Mountings {
		for _, g := range m.Grounds {
			found = found || g.Code == evaluation.BeyondRadius
		}
	}
	if !found {
		t.Error("no ground names the wall")
	}
	right := 0.0071
	f.Sheet.Survey[i].Value = &right
	if said := evaluation.Impossible(f.Sheet.Now()); len(said) != 0 {
		t.Errorf("said %v of a good wall", said)
	}
}
