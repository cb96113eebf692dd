package centroid

import (
	"bufio"
	"fmt"
	"io"
	"strings"

	"panelwright/pipeline/geom"
)

// PanelRow is one part of one copy, in panel coordinates.
type PanelRow struct {
	Copy, Refdes, Side string // Side is "top" or "bottom"
	X, Y               geom.Length
	Rotation           geom.Angle
	Package, Value     string
	PartNumber         string
}

// WriteOptions are the words of the remarks at the head of the file. Each is one line.
type WriteOptions struct {
	Title    string // which panel, which revision; no line when empty
	Origin   string // "lower left corner of the panel outline, x right, y up, seen from the top" when empty
	Rotation string // "degrees counter-clockwise, seen from the top, on both sides" when empty
	Remarks  []string
}

// Columns are the columns of what Write writes, in order.
var Columns = []string{"copy", "refdes", "side", "x_mm", "y_mm", "rotation_deg", "package", "value", "part_number"}

// Write writes the rows, in the order given, as comma-separated text in UTF-8 with LF line ends. A
// field is quoted as RFC 4180 has it. Coordinates are exact.
func Write(w io.Writer, rows []PanelRow, opt WriteOptions) error {
	b := bufio.NewWriter(w)
	or := func(s, other string) string {
		if s == "" {
			return other
		}
		return s
	}
	remarks := []string{
		"unit: mm",
		"origin: " + or(opt.Origin, "lower left corner of the panel outline, x right, y up, seen from the top"),
		"rotation: " + or(opt.Rotation, "degrees counter-clockwise, seen from the top, on both sides"),
	}
	if opt.Title != "" {
		remarks = append([]string{opt.Title}, remarks...)
	}
	for _, r := range append(remarks, opt.Remarks...) {
		if strings.ContainsAny(r, "\r\n") {
			return fmt.Errorf("the remark %q is more than one line", r)
		}
		fmt.Fprintf(b, "# %s\n", r)
	}
	fmt.Fprintln(b, strings.Join(Columns, ","))
	for _, r := range rows {
		for i, f := range []string{r.Copy, r.Refdes, r.Side, r.X.Decimal(), r.Y.Decimal(), r.Rotation.Decimal(), r.Package, r.Value, r.PartNumber} {
			if i > 0 {
				b.WriteByte(',')
			}
			b.WriteString(quote(f))
		}
		b.WriteByte('\n')
	}
	return b.Flush()
}

// quote quotes a field where RFC 4180 asks for it, and where a reader could take the line for a remark
// or trim blanks off. Line breaks, which few readers of placement tables understand, become blanks.
func quote(s string) string {
	s = strings.NewReplacer("\r\n", " ", "\n", " ", "\r", " ").Replace(s)
	if strings.ContainsAny(s, "\",;\t") || strings.HasPrefix(s, "#") || strings.HasPrefix(s, "*") || strings.HasPrefix(s, "//") || strings.TrimSpace(s) != s {
		return `"` + strings.ReplaceAll(s, `"`, `""`) + `"`
	}
	return s
}
