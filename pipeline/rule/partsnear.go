package rule

import (
	"context"
	"fmt"
	"math"
	"slices"
	"strings"

	"panelwright/pipeline"
	"panelwright/pipeline/geom"
	"panelwright/pipeline/panel"
)

// partShape is the room that a part takes on its board: its body, or only its place where nobody says the body.
type partShape struct {
	panel.Part
	shape geom.Shape
	sized bool
}

func partShapes(b *panel.Board, wants func(panel.Part) bool) []partShape {
	if b.PartsElsewhere { // their places mean nothing on this board
		return nil
	}
	var out []partShape
	for _, p := range b.Parts {
		if !wants(p) {
			continue
		}
		if body, ok := p.BodyOutline(); ok {
			out = append(out, partShape{p, geom.Outline{Outer: body}, true})
		} else {
			out = append(out, partShape{p, p.At, false})
		}
	}
	return out
}

// square tells whether a body's sides differ by less than a tenth: it has no long axis to speak of.
func square(b panel.Body) bool {
	return 10*(b.Length-b.Width).Abs() < max(b.Length, b.Width)
}

// across tells whether a part's long axis runs across a break rather than along it: at 45° or more. A square
// body is taken for the worse.
func (s partShape) across(line geom.Point) bool {
	if square(s.Body) {
		return true
	}
	sin, cos := s.Turn.SinCos()
	x, y := cos, sin
	if s.Body.Width > s.Body.Length {
		x, y = -sin, cos
	}
	dot := math.Abs(float64(x*float64(line.X)) + float64(y*float64(line.Y)))
	cross := math.Abs(float64(x*float64(line.Y)) - float64(y*float64(line.X)))
	return cross >= dot*(1-1e-9)
}

// nearBreak is which parts a rule about parts near a break judges, at which breaks.
type nearBreak struct {
	parts func(panel.Part) bool
	// meets chooses by the part and the direction of the break beside it; nil: all.
	meets func(s partShape, kind breakKind, line geom.Point) bool
	what  string // "ceramic capacitor"; "" for any part
}

// any tells whether there are breaks, and parts of the kind.
func (n nearBreak) any(p panel.Panel) bool {
	return len(p.Tabs())+len(p.Scores()) > 0 && anyBoard(p, func(b *panel.Board) bool { return len(partShapes(b, n.parts)) > 0 })
}

// judge finds the parts that lie nearer than the limit to a break: of each part and copy the nearest.
func (n nearBreak) judge(ctx context.Context, in pipeline.Case) ([]pipeline.Finding, error) {
	lines := breakLines(in.Panel)
	if len(lines) == 0 {
		return nil, nil
	}
	reach := geom.FromMM(in.Limit)
	var out []pipeline.Finding
	for _, b := range in.Panel.Boards() {
		if err := ctx.Err(); err != nil {
			return nil, err
		}
		parts := partShapes(b, n.parts)
		extent := geom.EmptyBox()
		for _, s := range parts {
			extent = extent.Union(s.shape.Box())
		}
		if extent.Empty() {
			continue
		}
		seen := breaksOf(in.Panel, b, lines, extent, reach)
		var index geom.Index[int]
		for i, l := range seen {
			index.Insert(l.edge.Box(), i)
		}
		for _, s := range parts {
			out = append(out, n.near(s, b, seen, &index, in.Limit)...)
		}
	}
	return out, nil
}

// near gives what there is to say of one part.
func (n nearBreak) near(s partShape, b *panel.Board, seen []seenBreak, index *geom.Index[int], limit float64) []pipeline.Finding {
	var hits []int
	index.Search(s.shape.Box().Grow(geom.FromMM(limit)), func(_ geom.Box, i int) bool {
		hits = append(hits, i)
		return true
	})
	slices.Sort(hits)
	type worst struct {
		line, nth int // the line, and which of its copies
		v         float64
		at, on    geom.Point // on the part, on the line
	}
	byCopy := map[string]worst{}
	var order []string
	for _, i := range hits {
		d, at, on := geom.Distance(s.shape, seen[i].edge)
		v := math.Round(d) / 1e6
		if v >= limit-tolerance || n.meets != nil && !n.meets(s, seen[i].kind, runs(seen[i].edge, on)) {
			continue
		}
		for k, c := range seen[i].copies {
			w, ok := byCopy[c.ID]
			if !ok {
				order = append(order, c.ID)
			}
			if !ok || v < w.v {
				byCopy[c.ID] = worst{i, k, v, at, on}
			}
		}
	}
	type same struct {
		v    float64
		kind breakKind
	}
	told := map[same]int{}
	var out []pipeline.Finding
	for _, id := range order {
		w := byCopy[id]
		l := seen[w.line]
		k := same{w.v, l.kind}
		if i, ok := told[k]; ok {
			out[i].Copies = append(out[i].Copies, id)
			continue
		}
		told[k] = len(out)
		at := l.copies[w.nth].Place.Apply(w.at)
		f := pipeline.Finding{At: &at, Feature: partID(id, s.Part), Copies: []string{id}, Measured: &w.v}
		f.Message = n.message(s, b, l, w.v, w.on, l.ids[w.nth], limit)
		if n.what != "" && s.Body.ClassBy != panel.ByTable || s.sized && s.Body.By != panel.ByTable {
			f.Severity = pipeline.Warning // a guess is no ground for a refusal
		}
		out = append(out, f)
	}
	return out
}

func (n nearBreak) message(s partShape, b *panel.Board, l seenBreak, v float64, on geom.Point, id string, limit float64) string {
	var about []string
	if s.Package != "" {
		about = append(about, s.Package)
	}
	if n.what != "" {
		how := n.what
		if s.Body.ClassBy != panel.ByTable {
			how = "taken for a " + n.what + " by its name"
		}
		about = append(about, how)
	}
	who := s.Refdes
	if len(about) > 0 {
		who += " (" + strings.Join(about, ", ") + ")"
	}
	lies := fmt.Sprintf("lies %s mm from", trim(v))
	switch {
	case v <= 0:
		lies = "lies on"
	case !s.sized:
		lies = fmt.Sprintf("has its place %s mm from", trim(v))
	}
	message := fmt.Sprintf("%s of board %s %s %s, %s", who, b.Name, lies, id, l.kind)
	if s.sized && !square(s.Body) {
		if s.across(runs(l.edge, on)) {
			message += ", its long axis across it"
		} else {
			message += ", its long axis along it"
		}
	}
	message += fmt.Sprintf("; at least %v mm are asked for", limit)
	switch {
	case !s.sized:
		message += " (its body is not known and reaches nearer)"
	case s.Body.By != panel.ByTable:
		message += " (its body is " + string(s.Body.By) + ")"
	}
	return message
}

// partID names a part of a copy in findings.
func partID(copyID string, p panel.Part) string { return copyID + "/part/" + p.Refdes }

// ofClass chooses the parts of a class, known or guessed.
func ofClass(c panel.PartClass) func(panel.Part) bool {
	return func(p panel.Part) bool { return p.Body.Class == c }
}

// smallChip is up to what length a ceramic capacitor counts as small: a chip of 1.6 x 0.8 mm.
const smallChip = 1600 * geom.UM

// smallLands is the same for a body that is a guess from its pads: lands reach some 0.6 mm beyond such a chip at
// either end (from memory, no published source).
const smallLands = 2800 * geom.UM

// capacitors chooses ceramic capacitors by size and by how they lie to the break. One of which the body is not
// known is judged as a large one that lies along it.
func capacitors(small, across bool) func(s partShape, kind breakKind, line geom.Point) bool {
	return func(s partShape, _ breakKind, line geom.Point) bool {
		if !s.sized {
			return !small && !across
		}
		most := smallChip
		if s.Body.By == panel.ByPads {
			most = smallLands
		}
		return max(s.Body.Length, s.Body.Width) <= most == small && s.across(line) == across
	}
}

// noRuleOfItsOwn chooses the parts that no rule of a class judges. Where the class is a guess and the body is
// known the part is judged as any other too, for its body is no guess.
func noRuleOfItsOwn(p panel.Part) bool {
	switch p.Body.ClassBy {
	case panel.NotKnown:
		return !p.OnlyDrawn()
	case panel.ByTable:
		return false
	}
	return p.Body.By == panel.ByTable && p.Body.Sized()
}

func tallPart(p panel.Part) bool { return p.Body.Height >= panel.Tall }

func atScore(_ partShape, kind breakKind, _ geom.Point) bool { return kind == scored }
