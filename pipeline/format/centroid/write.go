package centroid

import (
	"bufio"
	"fmt"
	"io"
	"slices"
	"strings"

	"panelwright/pipeline/geom"
)

// PanelRow is one part of one copy, with place and rotation as the file's convention has them.
type PanelRow struct {
	Copy, Refdes, Side string // Side is "top" or "bottom"
	X, Y               geom.Length
	Rotation           geom.Angle
	Package, Value     string
	PartNumber         string
}

// WriteOptions say how a panel's placement is written. Remarks are lines before the names of the columns, each
// with # in front; each is one line.
type WriteOptions struct {
	Title      string // which panel, which revision; no line when empty
	Convention Convention
	Remarks    []string // below what the convention states
	Bare       bool     // no remarks at all: the names of the columns are the first line
	Columns    []string // of PanelColumns; all of them when empty
	Separator  rune     // ',' when 0
}

// PanelColumns are the columns that a panel's placement may have, in their usual order. In the file, those of
// lengths and angles have their unit behind them: x_mm, x_inch, rotation_deg.
var PanelColumns = []string{"copy", "refdes", "side", "x", "y", "rotation", "package", "value", "part_number"}

// ColumnName gives a column of PanelColumns as the file has it.
func ColumnName(column, unit string) string {
	switch column {
	case "x", "y":
		return column + "_" + unit
	case "rotation":
		return "rotation_deg"
	}
	return column
}

// Write writes the rows, in the order given, as separated text in UTF-8 with LF line ends. A field is quoted as
// RFC 4180 has it. Coordinates are exact in mm, and read back exactly in inches.
func Write(w io.Writer, rows []PanelRow, opt WriteOptions) error {
	b := bufio.NewWriter(w)
	if u := opt.Convention.Unit; u != "mm" && u != "inch" {
		return fmt.Errorf("placement is written in mm or inch, not in %q", u)
	}
	columns, separator := opt.Columns, string(opt.Separator)
	if len(columns) == 0 {
		columns = PanelColumns
	}
	if opt.Separator == 0 {
		separator = ","
	}
	if !opt.Bare {
		remarks := slices.Concat(opt.Convention.Statements(), opt.Remarks)
		if opt.Title != "" {
			remarks = append([]string{opt.Title}, remarks...)
		}
		for _, r := range remarks {
			if strings.ContainsAny(r, "\r\n") {
				return fmt.Errorf("the remark %q is more than one line", r)
			}
			fmt.Fprintf(b, "# %s\n", r)
		}
	}
	for i, c := range columns {
		if !slices.Contains(PanelColumns, c) {
			return fmt.Errorf("there is no column %q; the columns are %s", c, strings.Join(PanelColumns, ", "))
		}
		if i > 0 {
			b.WriteString(separator)
		}
		b.WriteString(ColumnName(c, opt.Convention.Unit))
	}
	b.WriteByte('\n')
	for _, r := range rows {
		for i, c := range columns {
			if i > 0 {
				b.WriteString(separator)
			}
			b.WriteString(quote(r.cell(c, opt.Convention.Unit)))
		}
		b.WriteByte('\n')
	}
	return b.Flush()
}

// cell is what a row has in a column.
func (r PanelRow) cell(column, unit string) string {
	switch column {
	case "copy":
		return r.Copy
	case "refdes":
		return r.Refdes
	case "side":
		return r.Side
	case "x":
		return Decimal(r.X, unit)
	case "y":
		return Decimal(r.Y, unit)
	case "rotation":
		return r.Rotation.Decimal()
	case "package":
		return r.Package
	case "value":
		return r.Value
	}
	return r.PartNumber
}

// OneLine is a text as a placement file has it: line breaks, which few readers of placement tables understand, are
// blanks.
func OneLine(s string) string {
	return strings.NewReplacer("\r\n", " ", "\n", " ", "\r", " ").Replace(s)
}

// quote quotes a field where RFC 4180 asks for it, and where a reader could take the line for a remark
// or trim blanks off.
func quote(s string) string {
	s = OneLine(s)
	if strings.ContainsAny(s, "\",;\t") || strings.HasPrefix(s, "#") || strings.HasPrefix(s, "*") || strings.HasPrefix(s, "//") || strings.TrimSpace(s) != s {
		return `"` + strings.ReplaceAll(s, `"`, `""`) + `"`
	}
	return s
}
