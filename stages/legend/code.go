package legend

import (
	"cmp"
	"fmt"

	"github.com/boombuler/barcode"
	"github.com/boombuler/barcode/datamatrix"
	"github.com/boombuler/barcode/qr"

	"panelwright/pipeline/geom"
	"panelwright/pipeline/panel"
)

// mostContent is how many characters a code may say: as many as were read back by outside readers in the
// project's tests, and more than a part number needs.
const mostContent = 200

// code draws a two-dimensional code, its quiet zone included in what it takes up.
func (l *Legend) code(in panel.Panel, c Code, content string) (piece, error) {
	none := piece{box: geom.EmptyBox()}
	madeOf := c.MadeOf
	if madeOf == "" {
		madeOf = "legend"
	}
	f, err := l.layer(in, madeOf)
	if err != nil {
		return none, err
	}
	if content == "" {
		return none, nil
	}
	m, err := c.matrix(content)
	if err != nil {
		return none, fmt.Errorf("the code %w", err)
	}
	quiet := c.quietZone()
	size := len(m) + 2*quiet
	if c.PrintLight {
		m = m.light(quiet)
		quiet = 0
	}
	side := c.module()
	full := geom.Length(size) * side
	p := panel.Print{Use: panel.Code, Layers: []panel.Function{f}, Text: content, Symbology: c.symbology(), Square: side}
	low := geom.Pt(geom.Length(quiet)*side, geom.Length(quiet)*side-full/2)
	for _, x := range m.pieces() {
		path := make(geom.Path, len(x))
		for i := range x {
			at := func(q geom.Point) geom.Point { return low.Add(geom.Pt(q.X*side, q.Y*side)) }
			path[i] = geom.Line(at(x[i]), at(x[(i+1)%len(x)]))
		}
		p.Areas = append(p.Areas, path)
	}
	return piece{"code", p, geom.Box{Min: geom.Pt(0, -full/2), Max: geom.Pt(full, full-full/2)}}, nil
}

// words are those that the code says where it has no content of its own.
func (c Code) words() []string {
	if len(c.Words) > 0 {
		return c.Words
	}
	return []string{"part_number", "revision"}
}

func (c Code) symbology() string { return cmp.Or(c.Symbology, "data_matrix") }

func (c Code) module() geom.Length {
	if c.Module != nil {
		return *c.Module
	}
	return 500 * geom.UM // common practice, no published source
}

// quietZone is in squares. ISO/IEC 16022 asks for one round a Data Matrix, ISO/IEC 18004 for four round a
// QR code (from memory).
func (c Code) quietZone() int {
	switch {
	case c.QuietZone != nil:
		return *c.QuietZone
	case c.symbology() == "qr":
		return 4
	}
	return 1
}

// matrix encodes the content. An error is a sentence without its subject.
func (c Code) matrix(content string) (matrix, error) {
	for _, r := range content {
		if r < ' ' || r > '~' {
			return nil, fmt.Errorf("holds %q (%U): readers agree on printable ASCII only", r, r)
		}
	}
	if len(content) > mostContent {
		return nil, fmt.Errorf("says %d characters, more than %d: say less", len(content), mostContent)
	}
	var b barcode.Barcode
	var err error
	if c.symbology() == "qr" {
		b, err = qr.Encode(content, qr.M, qr.Auto)
	} else {
		b, err = datamatrix.Encode(content)
	}
	if err != nil {
		return nil, fmt.Errorf("cannot be encoded: %w", err)
	}
	box := b.Bounds()
	m := make(matrix, box.Dy())
	for y := range m {
		m[y] = make([]bool, box.Dx())
		for x := range m[y] {
			r, _, _, _ := b.At(box.Min.X+x, box.Max.Y-1-y).RGBA() // rows of a picture run downwards
			m[y][x] = r == 0
		}
	}
	return m, nil
}

// matrix is squares, the lowest row first; true is printed.
type matrix [][]bool

// light gives the light squares of a code and of the quiet zone round it.
func (m matrix) light(quiet int) matrix {
	n := len(m) + 2*quiet
	out := make(matrix, n)
	for y := range out {
		out[y] = make([]bool, n)
		for x := range out[y] {
			r, s := y-quiet, x-quiet
			out[y][x] = r < 0 || r >= len(m) || s < 0 || s >= len(m[r]) || !m[r][s]
		}
	}
	return out
}

// run is printed squares side by side, from x (included) to x (not included).
type run struct{ from, to int }

// stack is runs above one another, the first in row low: each shares an edge with the next, and with
// no other run of its row.
type stack struct {
	low  int
	runs []run
}

// pieces parts the printed squares into polygons, counter-clockwise, in whole squares. Layer formats ask
// for contours that do not touch themselves, which the border of squares that meet at corners, or that
// run round others, does: so a polygon goes on from row to row only where one run follows on one other.
// Polygons share edges, and never an area.
func (m matrix) pieces() [][]geom.Point {
	var out [][]geom.Point
	var below []run
	var open []*stack // those that end with the runs below
	for y := 0; y <= len(m); y++ {
		var now []run
		if y < len(m) {
			now = runs(m[y])
		}
		next := make([]*stack, len(now))
		for i, s := range open {
			above := touching(now, below[i])
			if len(above) == 1 && len(touching(below, now[above[0]])) == 1 {
				s.runs = append(s.runs, now[above[0]])
				next[above[0]] = s
			} else {
				out = append(out, s.border())
			}
		}
		for i, r := range now {
			if next[i] == nil {
				next[i] = &stack{y, []run{r}}
			}
		}
		below, open = now, next
	}
	return out
}

func runs(row []bool) []run {
	var out []run
	for x := 0; x < len(row); x++ {
		if !row[x] {
			continue
		}
		from := x
		for x < len(row) && row[x] {
			x++
		}
		out = append(out, run{from, x})
	}
	return out
}

// touching gives the runs that share an edge with r, by their positions.
func touching(list []run, r run) []int {
	var out []int
	for i, o := range list {
		if o.from < r.to && r.from < o.to {
			out = append(out, i)
		}
	}
	return out
}

// border gives the polygon round a stack.
func (s *stack) border() []geom.Point {
	var right, left []geom.Point
	for i, r := range s.runs {
		y, top := geom.Length(s.low+i), geom.Length(s.low+i+1)
		if i == 0 || s.runs[i-1].to != r.to {
			right = append(right, geom.Pt(geom.Length(r.to), y))
		}
		if i == 0 || s.runs[i-1].from != r.from {
			left = append(left, geom.Pt(geom.Length(r.from), y))
		}
		if i+1 == len(s.runs) || s.runs[i+1].to != r.to {
			right = append(right, geom.Pt(geom.Length(r.to), top))
		}
		if i+1 == len(s.runs) || s.runs[i+1].from != r.from {
			left = append(left, geom.Pt(geom.Length(r.from), top))
		}
	}
	for i := len(left) - 1; i >= 0; i-- {
		right = append(right, left[i])
	}
	return right
}
