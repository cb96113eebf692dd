package faults

import (
	"bytes"
	"fmt"
	"math/rand/v2"
	"regexp"
	"strconv"

	"panelwright/pipeline/geom"
)

// placed is a line of a layer with a place; I and J after it are relative to it.
var placed = regexp.MustCompile(`(?m)^X(-?\d+)Y(-?\d+)((?:I-?\d+J-?\d+)?D0[123]\*)$`)

// moved moves every place of a piece of a layer's text.
func moved(text []byte, by geom.Point) []byte {
	return placed.ReplaceAllFunc(text, func(line []byte) []byte {
		m := placed.FindSubmatch(line)
		x, _ := strconv.ParseInt(string(m[1]), 10, 64)
		y, _ := strconv.ParseInt(string(m[2]), 10, 64)
		return fmt.Appendf(nil, "X%dY%d%s", x+int64(by.X), y+int64(by.Y), m[3])
	})
}

// shiftNone leaves artwork where it is.
var shiftNone geom.Point

// shift draws by how much artwork is shifted: from what nobody sees to what everybody does.
func shift(r *rand.Rand) geom.Point {
	one := pick(r, []geom.Length{10, geom.UM, 25 * geom.UM, 500 * geom.UM, 2 * geom.MM})
	return pick(r, []geom.Point{{X: one}, {X: -one}, {Y: one}, {Y: -one}, {X: one, Y: -one}})
}

// copyShifted shifts what one copy has on one layer. Each copy's part begins with a comment that names it.
func copyShifted(s *subject, r *rand.Rand) (string, map[string][]byte) {
	name, id := pick(r, s.layers("-")), pick(r, s.in.Panel.Copies()).ID
	text := s.files[name]
	from := bytes.Index(text, []byte("\nG04 "+id+"*\n"))
	if from < 0 {
		return "", nil
	}
	from++
	to := len(text)
	if n := bytes.Index(text[from+4:], []byte("\nG04 ")); n >= 0 {
		to = from + 4 + n + 1
	}
	// A stroke that begins where the last one of another part ended has no place of its own to shift.
	first, after := placed.FindSubmatch(text[from:to]), placed.FindSubmatch(text[to:])
	if first == nil || bytes.HasSuffix(first[3], []byte("D01*")) || after != nil && bytes.HasSuffix(after[3], []byte("D01*")) {
		return "", nil
	}
	by := shift(r)
	return fmt.Sprintf("%s %s by %v", name, id, by), map[string][]byte{name: replaced(text, []int{from, to}, moved(text[from:to], by))}
}

// layerShifted shifts a whole copper layer.
func layerShifted(s *subject, r *rand.Rand) (string, map[string][]byte) {
	name, by := pick(r, s.layers("-copper-")), shift(r)
	return fmt.Sprintf("%s by %v", name, by), map[string][]byte{name: moved(s.files[name], by)}
}
