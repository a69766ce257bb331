package plot_test

import (
	"bytes"
	"encoding/xml"
	"flag"
	"image"
	"image/png"
	"io"
	"math"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"rillmark/service/plot"
)

var update = flag.Bool("update", false, "rewrite the golden files")

const golden = "../../testdata/certificate"

func sample() plot.Chart {
	return plot.Chart{
		Before: []plot.Point{{Flow: 38.2, Error: -1.9, U: 0.9, Title: "before adjustment, 38.2 m³/h: −1.90 % ± 0.90 %"}, {Flow: 96.4, Error: -2.7, U: 0.62}, {Flow: 155.1, Error: -2.9, U: 0.62}},
		After:  []plot.Point{{Flow: 40.1, Error: 0.5, U: 0.9}, {Flow: 98, Error: 0.1, U: 0.7}, {Flow: 154.3, Error: -0.15, U: 0.62}},
		Limits: []plot.Bound{{Flow: 0, Lower: -2, Upper: 2}, {Flow: 200, Lower: -2, Upper: 2}},
		Flow:   "Flow, m³/h", Error: "Error, % of the reference flow", LimitText: "agreed limit ±2 %", Label: "Error against flow <before & after>",
	}
}

func TestTicks(t *testing.T) {
	tests := []struct {
		name   string
		scale  plot.Scale
		about  int
		signed bool
		want   string
	}{
		{"percent", plot.Scale{Lo: -4.2, Hi: 4.2}, 6, true, "−4 −2 0 +2 +4"},
		{"small", plot.Scale{Lo: -0.31, Hi: 0.31}, 6, true, "−0.2 0 +0.2"},
		{"flow", plot.Scale{Lo: 0, Hi: 164}, 6, false, "0 50 100 150"},
		{"large", plot.Scale{Lo: 0, Hi: 12000}, 6, false, "0 2000 4000 6000 8000 10000 12000"},
		{"logarithmic", plot.Scale{Lo: 0.7, Hi: 120, Log: true}, 6, false, "1 2 5 10 20 50 100"},
		{"logarithmic, small", plot.Scale{Lo: 0.015, Hi: 0.6, Log: true}, 6, false, "0.02 0.05 0.1 0.2 0.5"},
	}
	for _, tt := range tests {
		t.Run(tt.name, func(t *testing.T) {
			var texts []string
			for _, tick := range tt.scale.Ticks(tt.about, tt.signed) {
				texts = append(texts, tick.Text)
				if tick.Value < tt.scale.Lo || tick.Value > tt.scale.Hi*(1+1e-12) {
					t.Errorf("tick %v outside the scale", tick.Value)
				}
			}
			if got := strings.Join(texts, " "); got != tt.want {
				t.Errorf("ticks %q, want %q", got, tt.want)
			}
		})
	}
}

func TestScale(t *testing.T) {
	s := plot.Scale{Lo: -2, Hi: 2, From: 100, To: 20}
	for _, tt := range []struct{ value, at float64 }{{-2, 100}, {0, 60}, {2, 20}, {4, -20}} {
		if got := s.At(tt.value); math.Abs(got-tt.at) > 1e-12 {
			t.Errorf("At(%v) = %v, want %v", tt.value, got, tt.at)
		}
	}
	log := plot.Scale{Lo: 1, Hi: 100, From: 0, To: 10, Log: true}
	if got := log.At(10); math.Abs(got-5) > 1e-12 {
		t.Errorf("the logarithmic middle is at %v", got)
	}
	if s.Clamp(7) != 2 || s.Clamp(-7) != -2 || s.Clamp(1) != 1 {
		t.Error("Clamp does not hold values within the scale")
	}
}

func TestChartAsSVG(t *testing.T) {
	got := sample().Draw(720, 300, 15, 1.6).SVG() + "\n"
	path := filepath.Join(golden, "chart.svg")
	if *update {
		if err := os.WriteFile(path, []byte(got), 0o644); err != nil {
			t.Fatal(err)
		}
	}
	want, err := os.ReadFile(path)
	if err != nil {
		t.Fatal(err)
	}
	if got != string(want) {
		t.Errorf("the chart is not that of %s", path)
	}
	if again := sample().Draw(720, 300, 15, 1.6).SVG() + "\n"; again != got {
		t.Error("the same chart gives other bytes")
	}
	for _, banned := range []string{"style=", "<style", "<script", "#", "rgb("} {
		if strings.Contains(got, banned) {
			t.Errorf("the SVG holds %q", banned)
		}
	}
	wellFormed(t, got)
}

func wellFormed(t *testing.T, text string) {
	t.Helper()
	decoder := xml.NewDecoder(strings.NewReader(text))
	for {
		if _, err := decoder.Token(); err == io.EOF {
			return
		} else if err != nil {
			t.Fatal(err)
		}
	}
}

// TestShapes: before and after are told apart by shape, each with its bar.
func TestShapes(t *testing.T) {
	scene := sample().Draw(174, 62, 2.9, 0.3)
	count := map[plot.Shape]int{}
	for _, m := range scene.Marks {
		count[m.Shape]++
		for _, x := range []float64{m.X, m.Y} {
			if math.IsNaN(x) || x < -1 || x > 175 {
				t.Errorf("%+v lies off the drawing", m)
			}
		}
	}
	if count[plot.Square] != 3 || count[plot.Dot] != 3 || count[plot.Band] != 1 || count[plot.Limit] != 2 {
		t.Errorf("counted %v", count)
	}
	if count[plot.Bar] != 6*4 { // above, below and two ends
		t.Errorf("%d lines of bars", count[plot.Bar])
	}
}

func TestBeforeAndAfterDoNotCoverEachOther(t *testing.T) {
	c := sample()
	c.After[0].Flow = c.Before[0].Flow
	var square, dot float64
	for _, m := range c.Draw(174, 62, 2.9, 0.3).Marks {
		if m.Shape == plot.Square && square == 0 {
			square = m.X
		}
		if m.Shape == plot.Dot && dot == 0 {
			dot = m.X
		}
	}
	if dot-square < 2*0.42*2.9 {
		t.Errorf("square at %v, dot at %v: the ends of their bars meet", square, dot)
	}
}

func TestNothingIsDrawnOutsideTheScale(t *testing.T) {
	for name, c := range map[string]plot.Chart{
		"nothing":            {},
		"one point":          {After: []plot.Point{{Flow: 10, Error: 1}}},
		"no flow, no error":  {After: []plot.Point{{}}},
		"wide limits":        {After: []plot.Point{{Flow: 10, Error: 0.1, U: 0.1}}, Limits: []plot.Bound{{Flow: 0, Lower: -50, Upper: 50}, {Flow: 20, Lower: -50, Upper: 50}}},
		"one-sided limit":    {After: []plot.Point{{Flow: 10, Error: 0.1, U: 0.1}}, Limits: []plot.Bound{{Flow: 0, Lower: math.Inf(-1), Upper: 1}, {Flow: 20, Lower: math.Inf(-1), Upper: 1}}},
		"hundredfold flows":  {After: []plot.Point{{Flow: 1, Error: 1, U: 1}, {Flow: 300, Error: 1, U: 1}}},
		"limits not at zero": {After: []plot.Point{{Flow: 10, Error: 5, U: 0.1}}, Limits: []plot.Bound{{Flow: 0, Lower: 4, Upper: 6}, {Flow: 20, Lower: 4, Upper: 6}}},
	} {
		t.Run(name, func(t *testing.T) {
			for _, m := range c.Draw(174, 62, 2.9, 0.3).Marks {
				for _, y := range []float64{m.Y, m.Y2} {
					if math.IsNaN(y) || math.IsInf(y, 0) || y < -0.01 || y > 62.01 {
						t.Fatalf("%+v lies off the drawing", m)
					}
				}
				if math.IsNaN(m.X) || math.IsInf(m.X, 0) || m.X < -0.01 || m.X > 174.01 {
					t.Fatalf("%+v lies off the drawing", m)
				}
			}
		})
	}
}

func TestVerdictMark(t *testing.T) {
	inf := math.Inf(1)
	tests := []struct {
		name string
		v    plot.Verdict
		want plot.Shape
		none []plot.Shape
	}{
		{"after", plot.Verdict{Error: 0.5, U: 0.9, Lower: -2, Upper: 2}, plot.Dot, []plot.Shape{plot.Square, plot.Arrow}},
		{"before", plot.Verdict{Error: 0.5, U: 0.9, Lower: -2, Upper: 2, Before: true}, plot.Square, []plot.Shape{plot.Dot, plot.Arrow}},
		{"far beyond", plot.Verdict{Error: -9, U: 0.9, Lower: -2, Upper: 2}, plot.Arrow, []plot.Shape{plot.Dot, plot.Square, plot.Bar}},
		{"one-sided", plot.Verdict{Error: 0.5, U: 0.9, Lower: -inf, Upper: 2}, plot.Dot, nil},
		{"without U", plot.Verdict{Error: 0.5, U: math.NaN(), Lower: -2, Upper: 2}, plot.Dot, []plot.Shape{plot.Bar}},
		{"without a result", plot.Verdict{Error: math.NaN(), U: 1, Lower: -2, Upper: 2}, plot.Band, []plot.Shape{plot.Dot, plot.Square, plot.Arrow, plot.Bar}},
		{"without limits", plot.Verdict{Error: 0.5, U: 0.9, Lower: -inf, Upper: inf}, plot.Dot, []plot.Shape{plot.Band, plot.Bracket}},
	}
	for _, tt := range tests {
		t.Run(tt.name, func(t *testing.T) {
			count := map[plot.Shape]int{}
			for _, m := range tt.v.Draw(22, 4.6, 0.3).Marks {
				count[m.Shape]++
				if m.X < -0.01 || m.X > 22.01 || math.IsNaN(m.X) {
					t.Errorf("%+v lies off the mark", m)
				}
			}
			if count[tt.want] == 0 {
				t.Errorf("no shape %v in %v", tt.want, count)
			}
			for _, none := range tt.none {
				if count[none] != 0 {
					t.Errorf("shape %v is drawn", none)
				}
			}
		})
	}
}

// TestMarkStandsWhereTheErrorIs: at the limit, on the bracket.
func TestMarkStandsWhereTheErrorIs(t *testing.T) {
	var dot, bracket float64
	for _, m := range (plot.Verdict{Error: 2, U: 0.5, Lower: -2, Upper: 2}).Draw(22, 4.6, 0.3).Marks {
		if m.Shape == plot.Dot {
			dot = m.X
		}
		if m.Shape == plot.Bracket && m.X == m.X2 {
			bracket = m.X
		}
	}
	if math.Abs(dot-bracket) > 1e-9 {
		t.Errorf("an error at the limit is drawn at %v, the limit at %v", dot, bracket)
	}
}

func TestPicture(t *testing.T) {
	font, err := os.ReadFile("../document/layout1/font/barlow-semi-condensed-400.ttf")
	if err != nil {
		t.Fatal(err)
	}
	scene := sample().Draw(174, 62, 2.9, 0.3)
	const dpi = 300 / 25.4
	first, err := scene.PNG(dpi, font, font)
	if err != nil {
		t.Fatal(err)
	}
	second, err := scene.PNG(dpi, font, font)
	if err != nil {
		t.Fatal(err)
	}
	if !bytes.Equal(first, second) {
		t.Error("the same scene gives other bytes")
	}
	decoded, err := png.Decode(bytes.NewReader(first))
	if err != nil {
		t.Fatal(err)
	}
	if size := decoded.Bounds().Size(); size != image.Pt(2056, 733) {
		t.Errorf("the picture has %v", size)
	}
	shades, ok := decoded.(*image.Paletted)
	if !ok {
		t.Fatalf("the picture is %T, not of 8 bits with a palette", decoded)
	}
	for _, m := range scene.Marks { // ink in the middle of each dot, none in that of a square but the band's
		ink := shades.ColorIndexAt(int(m.X*dpi), int(m.Y*dpi))
		if m.Shape == plot.Dot && ink != 255 || m.Shape == plot.Square && ink > 26 {
			t.Errorf("%+v has ink %d in its middle", m, ink)
		}
	}
	if _, err := scene.PNG(dpi, []byte("no font"), font); err == nil {
		t.Error("a font that is none is no error")
	}
	if folder := os.Getenv("RILLMARK_LOOK"); folder != "" {
		if err := os.WriteFile(filepath.Join(folder, "chart.png"), first, 0o600); err != nil {
			t.Fatal(err)
		}
	}
}

// The limits of one flow alone hold over the whole axis, and are seen.
func TestLimitsOfOneFlow(t *testing.T) {
	c := plot.Chart{Before: []plot.Point{{Flow: 100, Error: 0.5, U: 0.4}}, Limits: []plot.Bound{{Flow: 100, Lower: -2, Upper: 2}}, Flow: "Flow", Error: "Error, %"}
	s := c.Draw(640, 300, 12, 1)
	bands := 0
	for _, m := range s.Marks {
		if m.Shape == plot.Band {
			bands++
			if m.X2-m.X < 500 || m.Y2-m.Y < 100 {
				t.Errorf("the band is %+v", m)
			}
		}
	}
	if bands != 1 {
		t.Errorf("%d bands, want one", bands)
	}
}
