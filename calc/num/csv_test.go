package num_test

import (
	"encoding/csv"
	"os"
	"strconv"
	"strings"
	"testing"
)

// row is one line of a table of published or computed values.
type row map[string]string

func read(t *testing.T, path string) []row {
	t.Helper()
	f, err := os.Open(path)
	if err != nil {
		t.Fatal(err)
	}
	defer f.Close()
	lines, err := csv.NewReader(f).ReadAll()
	if err != nil || len(lines) < 2 {
		t.Fatalf("%s: %v, %d lines", path, err, len(lines))
	}
	var rows []row
	for _, line := range lines[1:] {
		r := row{}
		for i, name := range lines[0] {
			r[name] = line[i]
		}
		rows = append(rows, r)
	}
	return rows
}

// number reads a column; a tolerance such as "1e-9 rel" counts by its first word.
func (r row) number(t *testing.T, name string) float64 {
	t.Helper()
	word, _, _ := strings.Cut(r[name], " ")
	x, err := strconv.ParseFloat(word, 64)
	if err != nil {
		t.Fatalf("%s: %v", name, err)
	}
	return x
}
