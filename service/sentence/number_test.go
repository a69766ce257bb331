package sentence_test

import (
	"math"
	"testing"

	"rillmark/service/sentence"
)

func TestNumberPrintsTheDigitsNeeded(t *testing.T) {
	for _, row := range []struct {
		x    float64
		want string
	}{
		{0, "0"},
		{math.Copysign(0, -1), "0"},
		{0.1 + 0.2, "0.3"},
		{1466.7, "1466.7"},
		{-1.9, "−1.9"},
		{219.1, "219.1"},
		{1.0 / 3, "0.333333"},
		{2097152, "2097152"},
		{1234567.89, "1234568"},
		{999999.7, "1000000"},
		{0.00012, "0.00012"},
		{1e-5, "0.00001"},
		{1.25e-7, "1.25 × 10⁻⁷"},
		{-3e12, "−3 × 10¹²"},
		{100, "100"},
		{math.NaN(), "not a number"},
		{math.Inf(1), "infinity"},
		{math.Inf(-1), "−infinity"},
	} {
		if got := sentence.Number(row.x); got != row.want {
			t.Errorf("Number(%g) = %q, want %q", row.x, got, row.want)
		}
	}
}
