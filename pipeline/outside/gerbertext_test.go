package outside

import (
	"bufio"
	"bytes"
	"fmt"
	"regexp"
	"strconv"
	"strings"
)

// gerberText is a layer file taken apart just far enough to plant faults in it: its lines, with the
// drawing operations among them and where each of them ends. It reads what the panel writer and
// newer CAD systems write: absolute, metric, six decimals, one command a line.
type gerberText struct{ lines []gerberLine }

type gerberLine struct {
	text string // as it stands, for all but operations
	op   int    // 1, 2 or 3 for D01, D02, D03; 0 otherwise
	g    string // "G01", "G02" … in front, or empty
	x, y int64  // nm: where the operation ends
	ij   string // the centre's offset as it stands
}

var operation = regexp.MustCompile(`^(G0[123])?(?:X([-+]?\d+))?(?:Y([-+]?\d+))?((?:I[-+]?\d+)?(?:J[-+]?\d+)?)D0?([123])\*$`)

func readGerberText(data []byte) (*gerberText, error) {
	var out gerberText
	var x, y int64
	metric, format := false, false
	in := bufio.NewScanner(bytes.NewReader(data))
	in.Buffer(nil, 1<<20)
	for in.Scan() {
		text := strings.TrimSuffix(in.Text(), "\r")
		metric = metric || text == "%MOMM*%"
		format = format || text == "%FSLAX46Y46*%"
		m := operation.FindStringSubmatch(text)
		if m == nil {
			if strings.ContainsAny(text[:min(len(text), 1)], "XY") || strings.HasPrefix(text, "%SR") || strings.HasPrefix(text, "%AB") {
				return nil, fmt.Errorf("line %d is not understood: %s", len(out.lines)+1, text)
			}
			out.lines = append(out.lines, gerberLine{text: text})
			continue
		}
		for i, v := range []*int64{&x, &y} {
			if m[2+i] != "" {
				n, err := strconv.ParseInt(m[2+i], 10, 64)
				if err != nil {
					return nil, err
				}
				*v = n
			}
		}
		op, _ := strconv.Atoi(m[5])
		out.lines = append(out.lines, gerberLine{op: op, g: m[1], x: x, y: y, ij: m[4]})
	}
	if !metric || !format {
		return nil, fmt.Errorf("not a metric file with six decimals")
	}
	return &out, in.Err()
}

// bytes writes the file with every coordinate in full.
func (g *gerberText) bytes() []byte {
	var b bytes.Buffer
	for _, l := range g.lines {
		if l.op == 0 {
			b.WriteString(l.text)
		} else {
			fmt.Fprintf(&b, "%sX%dY%d%sD0%d*", l.g, l.x, l.y, l.ij, l.op)
		}
		b.WriteByte('\n')
	}
	return b.Bytes()
}

// eachIn calls f for every operation that ends in b.
func (g *gerberText) eachIn(b boxNM, f func(*gerberLine)) {
	for i := range g.lines {
		l := &g.lines[i]
		if l.op > 0 && l.x >= b.x0 && l.x <= b.x1 && l.y >= b.y0 && l.y <= b.y1 {
			f(l)
		}
	}
}

// shift moves what is drawn in b.
func (g *gerberText) shift(b boxNM, dx, dy int64) {
	g.eachIn(b, func(l *gerberLine) { l.x, l.y = l.x+dx, l.y+dy })
}

// exchange moves what is drawn in a by (dx, dy) and what is drawn in b back by as much.
func (g *gerberText) exchange(a, b boxNM, dx, dy int64) {
	var there, back []*gerberLine
	g.eachIn(a, func(l *gerberLine) { there = append(there, l) })
	g.eachIn(b, func(l *gerberLine) { back = append(back, l) })
	for _, l := range there {
		l.x, l.y = l.x+dx, l.y+dy
	}
	for _, l := range back {
		l.x, l.y = l.x-dx, l.y-dy
	}
}

// dropFlash takes the n-th flash (from 0) in b out and says whether there was one.
func (g *gerberText) dropFlash(b boxNM, n int) bool {
	done := false
	g.eachIn(b, func(l *gerberLine) {
		if l.op != 3 {
			return
		}
		if n == 0 {
			*l = gerberLine{text: "G04 a flash was here*"}
			done = true
		}
		n--
	})
	return done
}
