package part

// Column is one column of a table. Figures stand to the right in the figure face.
type Column struct {
	Head   string
	Unit   string
	Figure bool
}

// Cell is one cell: text, perhaps leading somewhere, or a verdict mark.
type Cell struct {
	Text    string
	Href    string
	Verdict *Verdict
	None    bool // nothing to show; Text says so
}

// Table is rows under columns. A row has as many cells as there are columns. Stack lets
// narrow screens show each row as lines of "head: value".
type Table struct {
	Caption string
	Columns []Column
	Rows    [][]Cell
	Stack   bool
	Empty   string // the sentence shown instead of no rows
}

// Placed is a cell with its column, as the template needs it.
type Placed struct {
	Column
	Cell
}

// Lines returns the rows with each cell beside its column. A row with too many or too
// few cells panics: only a programmer can have made it.
func (t Table) Lines() [][]Placed {
	lines := make([][]Placed, len(t.Rows))
	for i, row := range t.Rows {
		if len(row) != len(t.Columns) {
			panic("part: a table row has not one cell per column")
		}
		for j, cell := range row {
			lines[i] = append(lines[i], Placed{t.Columns[j], cell})
		}
	}
	return lines
}
