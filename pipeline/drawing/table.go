package drawing

// Table is rows under heads, to be set on a sheet; a long one goes on beside or on the next sheet.
type Table struct {
	Name    string // "Holes", "Copies"
	Columns []Column
	Rows    [][]Cell
	Foot    []string // lines below the table
}

// Column is a column's head and which way its cells stand.
type Column struct {
	Head  string
	Align Align
}

// Cell is one entry: words, or a symbol.
type Cell struct {
	S      string
	Symbol []Shape // on paper, about (0, 0), no larger than 4 mm across; drawn in place of words
	Of     []Fact  // what the cell states
}

// NoteList is numbered sentences under a title.
type NoteList struct {
	Name  string
	Lines []string // without numbers; they are wrapped
}
