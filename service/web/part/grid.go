package part

// Grid is rows of fields under the same heads, for what comes in rows: points of a
// calibration, limits by zone. On a narrow screen each row stands as a block of its own.
type Grid struct {
	Title string
	Hint  string
	Row   string // words for a row, before its number
	Rows  [][]Field
	Wrong []string // sentences about the whole
	More  Button   // asks for more rows
}

// Line is a row with its number, as the template needs it.
type Line struct {
	Place  int
	Fields []Field
}

// Lines returns the rows numbered from 1.
func (g Grid) Lines() []Line {
	lines := make([]Line, len(g.Rows))
	for i, row := range g.Rows {
		lines[i] = Line{i + 1, row}
	}
	return lines
}
