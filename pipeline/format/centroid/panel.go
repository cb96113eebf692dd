package centroid

import (
	"bytes"
	"encoding/csv"
	"errors"
	"fmt"
	"io"
	"slices"
	"strings"

	"panelwright/pipeline/format"
	"panelwright/pipeline/geom"
)

// PanelTable is a panel's placement as Write writes it.
type PanelTable struct {
	Remarks   []string // without their #
	Columns   []string // of PanelColumns
	Unit      string
	Separator rune
	Rows      []PanelRow // what no column says is empty
}

// Has tells whether the table has a column of PanelColumns.
func (t *PanelTable) Has(column string) bool { return slices.Contains(t.Columns, column) }

// ReadPanel reads what Write has written, strictly: whatever Write would not write is a *format.Fault. Tables of
// boards, which are as their makers please, are for Read.
func ReadPanel(name string, data []byte) (*PanelTable, error) {
	fault := func(off int, what string, args ...any) error {
		return format.At(name, data, min(max(off, 0), len(data)), fmt.Sprintf(what, args...), "write the file anew")
	}
	t := &PanelTable{}
	rest, off := data, 0
	for bytes.HasPrefix(rest, []byte("#")) {
		line, more, _ := bytes.Cut(rest, []byte("\n"))
		t.Remarks = append(t.Remarks, strings.TrimPrefix(string(line[1:]), " "))
		off += len(rest) - len(more)
		rest = more
	}
	head, _, ok := bytes.Cut(rest, []byte("\n"))
	if !ok {
		return nil, fault(off, "there is no line that names the columns")
	}
	t.Separator = ','
	for _, s := range []rune{';', '\t'} {
		if bytes.ContainsRune(head, s) {
			t.Separator = s
		}
	}
	for _, c := range strings.Split(string(head), string(t.Separator)) {
		column, unit, lies := c, "", false
		for _, p := range PanelColumns {
			for _, u := range []string{"mm", "inch"} {
				if ColumnName(p, u) == c {
					column, lies = p, true
					if p == "x" || p == "y" {
						unit = u
					}
					break
				}
			}
		}
		switch {
		case !lies:
			return nil, fault(off, "there is no column %q", c)
		case t.Has(column):
			return nil, fault(off, "two columns are called %q", column)
		case unit != "" && t.Unit != "" && unit != t.Unit:
			return nil, fault(off, "x and y are in two units")
		}
		t.Columns = append(t.Columns, column)
		if unit != "" {
			t.Unit = unit
		}
	}
	for _, c := range []string{"refdes", "x", "y"} {
		if !t.Has(c) {
			return nil, fault(off, "the column %s is missing", c)
		}
	}
	off += len(head) + 1
	r := csv.NewReader(bytes.NewReader(data[off:]))
	r.Comma, r.FieldsPerRecord, r.ReuseRecord = t.Separator, len(t.Columns), true
	for {
		at := off + int(r.InputOffset())
		cells, err := r.Read()
		switch {
		case errors.Is(err, csv.ErrFieldCount):
			return nil, fault(at, "this line has %d cells; there are %d columns", len(cells), len(t.Columns))
		case errors.Is(err, io.EOF):
			return t, nil
		case err != nil:
			return nil, fault(at, "this line cannot be read: %v", err)
		}
		row, bad := t.row(cells)
		if bad >= 0 {
			return nil, fault(at, "%q is no %s", cells[bad], t.Columns[bad])
		}
		t.Rows = append(t.Rows, row)
	}
}

// row makes a row of its cells; bad is the cell that is not as it should be, −1 when there is none.
func (t *PanelTable) row(cells []string) (row PanelRow, bad int) {
	for i, c := range t.Columns {
		s, ok := strings.Clone(cells[i]), true
		switch c {
		case "copy":
			row.Copy = s
		case "refdes":
			row.Refdes = s
		case "side":
			row.Side, ok = s, s == "top" || s == "bottom"
		case "x":
			row.X, ok = ParseDecimal(s, t.Unit)
		case "y":
			row.Y, ok = ParseDecimal(s, t.Unit)
		case "rotation":
			var err error
			row.Rotation, err = geom.ParseAngle(s)
			ok = err == nil && row.Rotation >= 0 && row.Rotation < geom.FullTurn
		case "package":
			row.Package = s
		case "value":
			row.Value = s
		case "part_number":
			row.PartNumber = s
		}
		if !ok {
			return row, i
		}
	}
	return row, -1
}
