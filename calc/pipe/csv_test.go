package pipe_test

import (
	"encoding/csv"
	"os"
	"strconv"
	"testing"
)

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

func (r row) number(t *testing.T, name string) float64 {
	t.Helper()
	x, err := strconv.ParseFloat(r[name], 64)
	if err != nil {
		t.Fatalf("%v: %s: %v", r, name, err)
	}
	return x
}
