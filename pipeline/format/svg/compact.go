package svg

import (
	"math"
	"strconv"
	"strings"

	"panelwright/pipeline/geom"
	"panelwright/pipeline/panel/artwork"
)

// pathData gives a closed path of a layer as the d attribute.
func (c *Canvas) pathData(p geom.Path) string {
	if !c.Compact {
		return PathData(p)
	}
	var t turtle
	t.path(p)
	if p.Closed() {
		t.WriteByte('z')
	}
	return t.String()
}

// strokeData gives a run of strokes, which need not meet, as the d attribute.
func (c *Canvas) strokeData(run geom.Path) string {
	if c.Compact {
		var t turtle
		t.path(run)
		return t.String()
	}
	var b strings.Builder
	for i, e := range run {
		if i == 0 || run[i-1].To != e.From {
			b.WriteString("M" + L(e.From.X) + " " + L(e.From.Y))
		}
		writeEdge(&b, e)
	}
	return b.String()
}

// turtle writes a path by relative steps of whole micrometres, so that roundings do not add up.
type turtle struct {
	strings.Builder
	x, y int64
}

func um(l geom.Length) int64 { return int64(math.Round(float64(l) / float64(geom.UM))) }

func (t *turtle) path(p geom.Path) {
	for i, e := range p {
		if i == 0 || p[i-1].To != e.From {
			t.step("m", e.From)
		}
		t.edge(e)
	}
}

func (t *turtle) edge(e geom.Edge) {
	if e.Sense == geom.Straight {
		switch x, y := um(e.To.X), um(e.To.Y); {
		case x == t.x && y == t.y && e.From != e.To: // shorter than can be written
		case y == t.y && x != t.x:
			t.WriteString("h" + short(x-t.x))
			t.x = x
		case x == t.x && y != t.y:
			t.WriteString("v" + short(y-t.y))
			t.y = y
		default:
			t.step("l", e.To)
		}
		return
	}
	if _, sweep := e.Angles(); math.Abs(sweep) > math.Pi {
		half := e.At(0.5)
		first, second := e, e
		first.To, second.From = half, half
		t.edge(first)
		t.edge(second)
		return
	}
	flag := "0 "
	if e.Sense == geom.CounterClockwise {
		flag = "1 " // y is up inside the flipped group
	}
	r := short(um(geom.Round(e.Radius())))
	t.step("a"+r+" "+r+" 0 0 "+flag, e.To)
}

// step writes a command and the way to a point.
func (t *turtle) step(command string, p geom.Point) {
	x, y := um(p.X), um(p.Y)
	dx, dy := short(x-t.x), short(y-t.y)
	if dy[0] != '-' {
		dx += " "
	}
	t.WriteString(command + dx + dy)
	t.x, t.y = x, y
}

// short writes micrometres as millimetres with no zero that can be left out.
func short(um int64) string {
	sign := ""
	if um < 0 {
		sign, um = "-", -um
	}
	s := strconv.FormatInt(um/1000, 10)
	if s == "0" && um > 0 {
		s = ""
	}
	if part := um % 1000; part != 0 {
		s += "." + strings.TrimRight(strconv.FormatInt(1000+part, 10)[1:], "0")
	}
	return sign + s
}

// sweeps gives the areas of the straight strokes of rectangles that follow each other from the i-th object on,
// as one path, and how many they are. All run round counter-clockwise, so that none takes from another. It gives none
// unless the canvas is compact.
func (c *Canvas) sweeps(m *artwork.Image, i int) (string, int) {
	if !c.Compact {
		return "", 0
	}
	var t turtle
	n := 0
	for _, o := range m.Objects[i:] {
		if o.Kind != artwork.Stroke || o.Clear != m.Objects[i].Clear || o.Edge.Sense != geom.Straight || m.Apertures[o.Aperture].Shape != artwork.Rectangle {
			break
		}
		n++
		a, e := m.Apertures[o.Aperture], o.Edge
		w, h := a.Width/2, a.Height/2
		if e.To.Less(e.From) {
			e = e.Reverse()
		}
		x, p := e.Box(), []geom.Point(nil)
		switch d := e.To.Sub(e.From); {
		case d.X == 0 || d.Y == 0:
			p = []geom.Point{{X: x.Min.X - w, Y: x.Min.Y - h}, {X: x.Max.X + w, Y: x.Min.Y - h}, {X: x.Max.X + w, Y: x.Max.Y + h}, {X: x.Min.X - w, Y: x.Max.Y + h}}
		case d.Y > 0:
			p = []geom.Point{{X: e.From.X - w, Y: e.From.Y - h}, {X: e.From.X + w, Y: e.From.Y - h}, {X: e.To.X + w, Y: e.To.Y - h},
				{X: e.To.X + w, Y: e.To.Y + h}, {X: e.To.X - w, Y: e.To.Y + h}, {X: e.From.X - w, Y: e.From.Y + h}}
		default:
			p = []geom.Point{{X: e.From.X - w, Y: e.From.Y - h}, {X: e.To.X - w, Y: e.To.Y - h}, {X: e.To.X + w, Y: e.To.Y - h},
				{X: e.To.X + w, Y: e.To.Y + h}, {X: e.From.X + w, Y: e.From.Y + h}, {X: e.From.X - w, Y: e.From.Y + h}}
		}
		for k := range p {
			if k == 0 {
				t.step("m", p[0])
				continue
			}
			t.edge(geom.Line(p[k-1], p[k]))
		}
		t.WriteByte('z')
		t.x, t.y = um(p[0].X), um(p[0].Y) // where a closed path leaves off
	}
	return t.String(), n
}
