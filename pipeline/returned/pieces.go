package returned

import (
	"cmp"
	"fmt"
	"slices"

	"panelwright/pipeline"
	"panelwright/pipeline/geom"
	"panelwright/pipeline/geom/disjoint"
	"panelwright/pipeline/panel"
	"panelwright/pipeline/panel/artwork"
)

const (
	together = 300 * geom.UM // pieces as near are one place
	alike    = 100 * geom.UM // how far places on two copies may differ and be the same
	mostTold = 8             // places of a layer that are told one by one
	tooMany  = 3000          // places from which on they are not put together
)

// spot is a place where a layer differs: pieces near one another.
type spot struct {
	box           geom.Box
	missing, more float64 // mm²
	touches       bool    // something of what is missing hangs on to what is there
	on            *board  // nil beside the boards
	local         geom.Box
}

// spots puts pieces together.
func (h *holder) spots(pieces []piece) []spot {
	sets := disjoint.New(len(pieces))
	var index geom.Index[int]
	for i, p := range pieces {
		if len(pieces) <= tooMany {
			index.Search(p.box.Grow(together), func(_ geom.Box, k int) bool {
				sets.Join(i, k)
				return true
			})
			index.Insert(p.box, i)
		}
	}
	at := map[int]int{}
	var out []spot
	for i, p := range pieces {
		root := sets.Find(i)
		k, ok := at[root]
		if !ok {
			k = len(out)
			at[root] = k
			out = append(out, spot{box: geom.EmptyBox()})
		}
		s := &out[k]
		s.box = s.box.Union(p.box)
		if p.missing {
			s.missing, s.touches = s.missing+p.area(), s.touches || p.touches
		} else {
			s.more += p.area()
		}
	}
	for i := range out {
		s := &out[i]
		if s.on = h.build.copyIn(s.box); s.on != nil {
			s.local = s.on.Place.Inverse().Box(s.box)
		}
	}
	slices.SortFunc(out, func(a, b spot) int {
		return cmp.Or(a.box.Min.Compare(b.box.Min), a.box.Max.Compare(b.box.Max), cmp.Compare(a.missing, b.missing))
	})
	return out
}

// sameSpot tells whether two copies differ alike.
func sameSpot(a, b spot) bool {
	near := func(x, y geom.Point) bool { return (x.X-y.X).Abs() <= alike && (x.Y-y.Y).Abs() <= alike }
	return a.on != nil && b.on != nil && a.on.Board == b.on.Board && (a.missing > 0) == (b.missing > 0) && (a.more > 0) == (b.more > 0) &&
		near(a.local.Min, b.local.Min) && near(a.local.Max, b.local.Max)
}

// tellPieces tells where a layer differs, once for all copies that differ alike.
func (h *holder) tellPieces(c *canvas) {
	all := h.spots(c.pieces)
	all = h.withoutLonePads(c, all)
	if len(all) == 0 {
		return
	}
	var groups [][]spot
	if len(all) <= tooMany {
		for _, s := range all {
			if k := slices.IndexFunc(groups, func(g []spot) bool { return sameSpot(g[0], s) }); k >= 0 {
				groups[k] = append(groups[k], s)
			} else {
				groups = append(groups, []spot{s})
			}
		}
	} else {
		for _, s := range all {
			groups = append(groups, []spot{s})
		}
	}
	slices.SortStableFunc(groups, func(a, b []spot) int {
		// What weighs more first, then the larger.
		return cmp.Or(cmp.Compare(h.weighs(c, a[0]), h.weighs(c, b[0])), -cmp.Compare(a[0].missing+a[0].more, b[0].missing+b[0].more))
	})
	told := 0
	for _, g := range groups {
		if told == mostTold {
			break
		}
		h.tellSpot(c, g)
		told++
	}
	if rest := groups[told:]; len(rest) > 0 {
		n, area := 0, 0.0
		for _, g := range rest {
			n += len(g)
			for _, s := range g {
				area += s.missing + s.more
			}
		}
		what := ""
		if n > 60 {
			what = ": is it another revision, or another panel?"
		}
		at := rest[0][0].box.Center()
		rule, s := h.ruleOf(c, rest[0][0])
		h.report(rule, s, c.key, nil, &at, "%s differs at %s more, %.2f mm² together, the first at %s mm%s", c.key, counted(n, "place", "places"), area, shortPoint(at), what)
	}
}

var weight = map[pipeline.Severity]int{pipeline.Error: 0, pipeline.Warning: 1, pipeline.Note: 2}

func (h *holder) weighs(c *canvas, s spot) int {
	_, x := h.ruleOf(c, s)
	return weight[x]
}

// ruleOf gives the rule that a spot breaks, and how much that weighs.
func (h *holder) ruleOf(c *canvas, s spot) (string, pipeline.Severity) {
	rule, on := rulePrint, pipeline.Warning
	switch c.kind {
	case panel.Copper:
		rule, on = ruleCopper, pipeline.Error
	case panel.Soldermask:
		rule, on = ruleMask, pipeline.Error
	}
	switch {
	case s.on != nil:
		return rule, on
	case h.markAt(s.box) != "" && on == pipeline.Error:
		return rule, pipeline.Error
	case s.missing > 0:
		return rule, pipeline.Warning
	}
	return ruleAddition, pipeline.Note
}

// markAt names the fiducial in whose clear area something lies.
func (h *holder) markAt(b geom.Box) string {
	for _, m := range h.build.plan.Marks {
		if m.Kind != panel.Fiducial {
			continue
		}
		if d, _, _ := geom.Distance(m.At, geom.Outline{Outer: geom.Rectangle(b)}); d < float64(max(m.Clear, m.Mask, m.Diameter)/2) {
			return m.ID
		}
	}
	return ""
}

// thing names what a layer draws.
func thing(k panel.FunctionKind) string {
	switch k {
	case panel.Copper:
		return "copper"
	case panel.Soldermask:
		return "opening"
	case panel.Legend:
		return "print"
	case panel.Paste:
		return "paste"
	}
	return string(k)
}

func (h *holder) tellSpot(c *canvas, g []spot) {
	s := g[0]
	rule, severity := h.ruleOf(c, s)
	var copies []string
	for _, x := range g {
		if x.on != nil && !slices.Contains(copies, x.on.ID) {
			copies = append(copies, x.on.ID)
		}
	}
	at := s.box.Center()
	size := shortMM(s.box.Width()) + " × " + shortMM(s.box.Height()) + " mm"
	where := ""
	if s.on == nil {
		where = " beside the boards"
	}
	if id := h.markAt(s.box); id != "" && s.on == nil {
		where = " at " + id
	}
	var what string
	switch {
	case s.missing > 0 && s.more > 0:
		what = fmt.Sprintf("%.2f mm² of %s are missing and %.2f mm² added", s.missing, thing(c.kind), s.more)
	case s.missing > 0:
		what = fmt.Sprintf("%.2f mm² of %s are missing", s.missing, thing(c.kind))
	default:
		what = fmt.Sprintf("%.2f mm² of %s are added", s.more, thing(c.kind))
	}
	h.report(rule, severity, c.key, copies, &at, "%s: %s%s, within %s", c.key, what, where, size)
}

// widestPad is how wide a pad may be that is left out because it connects nothing.
const widestPad = 4 * geom.MM

// withoutLonePads takes out pads round plated holes that are missing on inner layers and that nothing was joined to: fabricators
// leave them out. They are told of together.
func (h *holder) withoutLonePads(c *canvas, all []spot) []spot {
	if c.kind != panel.Copper || c.side != panel.Inner {
		return all
	}
	plated := newGrid(geom.MM / 5)
	for i, b := range h.build.bores {
		if b.path == nil && b.plating == artwork.Plated {
			plated.add(b.at, i)
		}
	}
	n := 0
	out := slices.DeleteFunc(all, func(s spot) bool {
		lone := s.missing > 0 && s.more == 0 && !s.touches && max(s.box.Width(), s.box.Height()) <= widestPad && plated.near(s.box.Center(), geom.MM/20) >= 0
		if lone {
			n++
		}
		return lone
	})
	if n > 0 {
		h.report(ruleCopper, pipeline.Note, c.key, nil, nil, "%s: %s missing round plated holes, which nothing on this layer was joined to", c.key, counted(n, "pad is", "pads are"))
	}
	return out
}
