package boards

import (
	"bytes"
	"fmt"
	"strings"
)

// dialect is how a board's files are written.
type dialect struct {
	inches   bool // 2.5 digits of inches, else millimetres
	digits5  bool // 4.5 digits, trailing zeros omitted, else 4.6 with leading zeros omitted
	comments bool // attributes in comments, as older readers want them
	g85      bool // slots in one command, else routed
}

// maker is what .GenerationSoftware says.
const maker = "Reedwater Gauges,demoboards,1.0"

func (d dialect) coord(v int64) string {
	switch {
	case d.inches:
		return fmt.Sprint(snap(v, 254) / 254)
	case d.digits5:
		u := snap(v, 10) / 10
		sign := ""
		if u < 0 {
			sign, u = "-", -u
		}
		s := strings.TrimRight(fmt.Sprintf("%09d", u), "0")
		if s == "" {
			s = "0"
		}
		return sign + s
	}
	return fmt.Sprint(v)
}

// size writes a length with its decimal point.
func (d dialect) size(v int64) string {
	if d.inches {
		return decimal(snap(v, 254)/254, 5)
	}
	return decimal(v, 6)
}

// decimal writes v with its last n digits behind the point, without zeros that say nothing.
func decimal(v int64, n int) string {
	sign := ""
	if v < 0 {
		sign, v = "-", -v
	}
	s := fmt.Sprintf("%0*d", n+1, v)
	s = s[:len(s)-n] + "." + strings.TrimRight(s[len(s)-n:], "0")
	if strings.HasSuffix(s, ".") {
		s += "0"
	}
	return sign + s
}

type gerber struct {
	bytes.Buffer
	d             dialect
	o             pt
	apertures     []aperture
	net, ref, pin string
	pen           int
	light         bool
	cur           pt
	moved         bool // cur is known to the reader
	arc           int
}

func (g *gerber) attr(kind, s string) {
	if g.d.comments {
		fmt.Fprintf(g, "G04 #@! %s%s*\n", kind, s)
		return
	}
	fmt.Fprintf(g, "%%%s%s*%%\n", kind, s)
}

func (g *gerber) xy(p pt) string {
	return "X" + g.d.coord(p.x+g.o.x) + "Y" + g.d.coord(p.y+g.o.y)
}

// image writes one layer's file.
func (b *board) image(function string, negative bool, items []item) []byte {
	g := &gerber{d: b.dialect, o: b.origin, pen: -1, arc: -1}
	fmt.Fprintf(g, "G04 %s, %s revision %s, %s*\n", b.title, b.partNo, b.rev, strings.SplitN(function, ",", 2)[0])
	g.attr("TF.", "GenerationSoftware,"+maker)
	g.attr("TF.", fmt.Sprintf("ProjectId,%s,%s,%s", b.partNo, b.guid, b.rev))
	g.attr("TF.", "Part,Single")
	g.attr("TF.", "SameCoordinates,"+b.name)
	g.attr("TF.", "FileFunction,"+function)
	if function != "Profile,NP" {
		g.attr("TF.", "FilePolarity,"+map[bool]string{false: "Positive", true: "Negative"}[negative])
	}
	switch {
	case g.d.inches:
		g.WriteString("%FSLAX25Y25*%\n%MOIN*%\n")
	case g.d.digits5:
		g.WriteString("%FSTAX45Y45*%\n%MOMM*%\n")
	default:
		g.WriteString("%FSLAX46Y46*%\n%MOMM*%\n")
	}
	g.WriteString("G75*\n%LPD*%\n")
	g.define(items)
	for _, it := range items {
		g.draw(it)
	}
	g.WriteString("M02*\n")
	return g.Bytes()
}

// define writes the apertures, in the order of their first use.
func (g *gerber) define(items []item) {
	have := map[aperture]bool{}
	macro, was := map[byte]bool{}, ""
	for _, it := range items {
		if it.kind == region || have[it.ap] {
			continue
		}
		have[it.ap] = true
		if it.ap.kind == 'X' && !macro['X'] {
			macro['X'] = true
			g.WriteString("%AMCutRect*\n0 width, height, corner cut*\n$4=$1/2*\n$5=$2/2*\n" +
				"4,1,8,$4,$5-$3,$4-$3,$5,$3-$4,$5,0-$4,$5-$3,0-$4,$3-$5,$3-$4,0-$5,$4-$3,0-$5,$4,$3-$5,$4,$5-$3,0*%\n")
		}
		if it.ap.kind == 'M' && !macro['M'] {
			macro['M'] = true
			// Width, height and radius: two bars and four discs.
			g.WriteString("%AMSoftRect*\n0 width, height, corner radius*\n$4=$1/2-$3*\n$5=$2/2-$3*\n" +
				"21,1,$1,$5x2,0,0,0*\n21,1,$4x2,$2,0,0,0*\n" +
				"1,1,$3x2,$4,$5*\n1,1,$3x2,0-$4,$5*\n1,1,$3x2,0-$4,0-$5*\n1,1,$3x2,$4,0-$5*%\n")
		}
		if it.ap.fn != was {
			if was != "" {
				g.attr("TD", "")
			}
			if was = it.ap.fn; was != "" {
				g.attr("TA.", "AperFunction,"+was)
			}
		}
		a := it.ap
		n := 10 + len(g.apertures)
		g.apertures = append(g.apertures, a)
		switch a.kind {
		case 'C':
			fmt.Fprintf(g, "%%ADD%dC,%s*%%\n", n, g.d.size(a.w))
		case 'R', 'O':
			fmt.Fprintf(g, "%%ADD%d%c,%sX%s*%%\n", n, a.kind, g.d.size(a.w), g.d.size(a.h))
		case 'X':
			fmt.Fprintf(g, "%%ADD%dCutRect,%sX%sX%s*%%\n", n, g.d.size(a.w), g.d.size(a.h), g.d.size(a.r))
		case 'M':
			fmt.Fprintf(g, "%%ADD%dSoftRect,%sX%sX%s*%%\n", n, g.d.size(a.w), g.d.size(a.h), g.d.size(a.r))
		}
	}
	if was != "" {
		g.attr("TD", "")
	}
}

func (g *gerber) draw(it item) {
	if it.light != g.light {
		g.light = it.light
		g.WriteString(map[bool]string{false: "%LPD*%\n", true: "%LPC*%\n"}[it.light])
	}
	if it.net != g.net || it.ref != g.ref || it.pin != g.pin {
		if it.net == "" && g.net != "" || it.ref == "" && g.ref != "" || it.pin == "" && g.pin != "" {
			g.attr("TD", "")
			g.net, g.ref, g.pin = "", "", ""
		}
		if it.pin != "" && (it.ref != g.ref || it.pin != g.pin) {
			g.attr("TO.", "P,"+it.ref+","+it.pin)
		}
		if it.ref != "" && it.ref != g.ref {
			g.attr("TO.", "C,"+it.ref)
		}
		if it.net != "" && it.net != g.net {
			n := it.net
			if strings.HasPrefix(n, "NC_") {
				n = "N/C"
			}
			g.attr("TO.", "N,"+n)
		}
		g.net, g.ref, g.pin = it.net, it.ref, it.pin
	}
	if it.kind == region {
		g.WriteString("G36*\n")
		for _, p := range it.paths {
			g.move(p[0].a)
			for _, e := range p {
				g.line(e)
			}
		}
		g.WriteString("G37*\n")
		return
	}
	for i, a := range g.apertures {
		if a == it.ap && i != g.pen {
			fmt.Fprintf(g, "D%d*\n", 10+i)
			g.pen = i
		} else if a == it.ap {
			break
		}
	}
	if it.kind == flash {
		g.WriteString(g.xy(it.a) + "D03*\n")
		g.cur, g.moved = it.a, true
		return
	}
	if g.cur != it.a || !g.moved {
		g.move(it.a)
	}
	g.line(edge{it.a, it.b, it.c, it.arc})
}

func (g *gerber) move(p pt) {
	g.WriteString(g.xy(p) + "D02*\n")
	g.cur, g.moved = p, true
}

func (g *gerber) line(e edge) {
	if g.arc != e.arc {
		g.arc = e.arc
		g.WriteString([]string{"G01*\n", "G02*\n", "G03*\n"}[e.arc])
	}
	g.cur = e.b
	if e.arc == straight {
		g.WriteString(g.xy(e.b) + "D01*\n")
		return
	}
	// The offset is taken between rounded points, so that the centre stays where it is.
	i, j := g.between(e.a.x+g.o.x, e.c.x+g.o.x), g.between(e.a.y+g.o.y, e.c.y+g.o.y)
	fmt.Fprintf(g, "%sI%sJ%sD01*\n", g.xy(e.b), g.d.coord(i), g.d.coord(j))
}

func (g *gerber) between(a, c int64) int64 {
	switch {
	case g.d.inches:
		return snap(c, 254) - snap(a, 254)
	case g.d.digits5:
		return snap(c, 10) - snap(a, 10)
	}
	return c - a
}
