package edgeclass

import (
	"cmp"
	"math"
	"slices"

	"panelwright/pipeline/geom"
	"panelwright/pipeline/panel"
	"panelwright/pipeline/panel/artwork"
)

// What makes a row of pads contact fingers where no attribute says it (from memory of card edges: fingers
// are longer than wide, end within 1 mm of the edge or reach over it, stand at one pitch, and carry neither
// holes nor solder paste).
const (
	fingersAtLeast = 4
	fingersUnsure  = 8 // where no paste layer tells contacts from pads of a part
	fingerEnds     = geom.MM
	fingerReaches  = 2 * geom.MM // over the edge
	fingerShortest = 3 * geom.MM / 2
	fingerWidest   = 3 * geom.MM
	pitchOff       = 20 * geom.UM
)

// pad is a pad before a straight piece of the path.
type pad struct {
	middle, half float64 // along the path
	end          geom.Length
	width, depth geom.Length
	said         bool // its attribute makes it a connector's
}

// fingers finds rows of contacts along the straight pieces of the path that run along an axis.
func (e *edge) fingers(b *panel.Board) []Stretch {
	var out []Stretch
	var spans []span
	said := false
	for _, l := range b.Layers {
		if l.Function.Kind != panel.Copper || l.Function.Side == panel.Inner {
			continue
		}
		bare, sure := bareOf(b, l.Function.Side)
		for i, x := range e.path {
			if x.Sense != geom.Straight || x.From.X != x.To.X && x.From.Y != x.To.Y || x.Length() < float64(2*geom.MM) {
				continue
			}
			for _, row := range rows(e.padsAt(l.Image, i, bare)) {
				if !sure && !row[0].said && len(row) < fingersUnsure {
					continue
				}
				spans = append(spans, span{row[0].middle - row[0].half, row[len(row)-1].middle + row[len(row)-1].half, len(row)})
				said = said || row[0].said
			}
		}
	}
	by := "rows of bare pads that end at the edge"
	if said {
		by = "the pads' attribute ConnectorPad"
	}
	slices.SortFunc(spans, func(a, b span) int { return cmp.Or(cmp.Compare(a.from, b.from), cmp.Compare(a.to, b.to)) })
	for _, s := range e.merge(spans, 0) {
		out = append(out, Stretch{Class: Fingers, From: s.from, To: s.to, Count: s.count, By: by})
	}
	return out
}

// bareOf tells for a place whether it carries neither a hole nor paste on a side; sure is false where
// there is no paste layer.
func bareOf(b *panel.Board, side panel.Side) (bare func(box geom.Box) bool, sure bool) {
	var holes, paste geom.Index[struct{}]
	for _, f := range b.Drills {
		for _, h := range f.Drilling.Holes {
			holes.Insert(geom.BoxOf(h.At), struct{}{})
		}
	}
	if l := b.Layer(panel.Function{Kind: panel.Paste, Side: side}); l != nil {
		sure = true
		for _, o := range l.Image.Objects {
			if !o.Clear {
				paste.Insert(l.Image.Box(o), struct{}{})
			}
		}
	}
	return func(box geom.Box) bool {
		bare := true
		no := func(geom.Box, struct{}) bool { bare = false; return false }
		holes.Search(box, no)
		paste.Search(geom.BoxOf(box.Center()), no)
		return bare
	}, sure
}

// padsAt gives the pads of a layer that stand before edge i as fingers do, in order along it.
func (e *edge) padsAt(m *artwork.Image, i int, bare func(geom.Box) bool) []pad {
	x := e.path[i]
	along := x.To.Sub(x.From)
	upright := along.X == 0
	var out []pad
	for _, o := range m.Objects {
		if o.Clear || o.Kind == artwork.Stroke {
			continue
		}
		box := m.Box(o)
		p := pad{width: box.Width(), depth: box.Height()}
		var first, low, high geom.Length // along and across, the inside at positive
		switch {
		case upright && along.Y > 0: // the inside lies to the left
			first, low, high = box.Center().Y-x.From.Y, x.From.X-box.Max.X, x.From.X-box.Min.X
		case upright:
			first, low, high = x.From.Y-box.Center().Y, box.Min.X-x.From.X, box.Max.X-x.From.X
		case along.X > 0:
			first, low, high = box.Center().X-x.From.X, box.Min.Y-x.From.Y, box.Max.Y-x.From.Y
		default:
			first, low, high = x.From.X-box.Center().X, x.From.Y-box.Max.Y, x.From.Y-box.Min.Y
		}
		if upright {
			p.width, p.depth = p.depth, p.width
		}
		if low > fingerEnds || low < -fingerReaches || high <= 0 || first < 0 || float64(first) > x.Length() {
			continue
		}
		set := o.AperSet
		if o.Kind != artwork.Fill {
			set = m.Apertures[o.Aperture].Set
		}
		p.said = function(m.Sets, set) == "ConnectorPad"
		if !p.said && (p.depth < fingerShortest || 2*p.depth < 3*p.width || p.width > fingerWidest || !bare(box)) {
			continue
		}
		p.middle, p.half, p.end = e.begins[i]+float64(first), float64(p.width)/2, low
		out = append(out, p)
	}
	slices.SortStableFunc(out, func(a, b pad) int { return cmp.Compare(a.middle, b.middle) })
	return out
}

// rows picks from pads along an edge those that make rows of fingers: by attribute, or alike and at one
// pitch, of which some may be left out for a key.
func rows(pads []pad) [][]pad {
	var out [][]pad
	var said []pad
	groups := map[[2]geom.Length][]pad{}
	var keys [][2]geom.Length
	for _, p := range pads {
		if p.said {
			said = append(said, p)
			continue
		}
		k := [2]geom.Length{p.width, p.depth}
		if groups[k] == nil {
			keys = append(keys, k)
		}
		groups[k] = append(groups[k], p)
	}
	if len(said) > 1 {
		out = append(out, said)
	}
	for _, k := range keys {
		g := groups[k]
		if len(g) < fingersAtLeast {
			continue
		}
		pitch := math.Inf(1)
		for i := 1; i < len(g); i++ {
			pitch = min(pitch, g[i].middle-g[i-1].middle)
		}
		if pitch <= float64(k[0]) || pitch > 3*float64(k[0]) {
			continue
		}
		begin := 0
		for i := 1; i <= len(g); i++ {
			if i < len(g) {
				steps := (g[i].middle - g[i-1].middle) / pitch
				if whole := math.Round(steps); whole <= 4 && math.Abs(steps-whole)*pitch <= float64(pitchOff) {
					continue
				}
			}
			if i-begin >= fingersAtLeast {
				out = append(out, g[begin:i])
			}
			begin = i
		}
	}
	return out
}
