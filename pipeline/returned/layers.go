package returned

import (
	"cmp"
	"context"
	"math/bits"
	"slices"
	"strings"

	"panelwright/pipeline"
	"panelwright/pipeline/geom"
	"panelwright/pipeline/panel"
	"panelwright/pipeline/panel/artwork"
	"panelwright/pipeline/panel/sampled"
)

// coarse is the distance between samples when pictures are compared as a whole: no round number, for edges lie on round ones,
// and would all fall on samples.
const coarse = 97 * geom.UM

// match is the returned picture of one of the build's layers.
type match struct {
	got      int  // of Got.Layers; −1 for none
	negative bool // what it draws is what is not there
	unheld   bool // it is mirrored or shifted, which has been told: no more is held
}

// sheet is a layer on the coarse grid.
type sheet struct {
	m     *sampled.Raster
	empty bool
}

// against gives which share of what is dark on either of two sheets is dark on one only, within a mask.
func (s *sheet) against(t, mask *sampled.Raster, inverted bool) float64 {
	differ, either := 0, 0
	for i, a := range s.m.Bits {
		b := t.Bits[i]
		if inverted {
			b = ^b
		}
		m := mask.Bits[i]
		differ += bits.OnesCount64((a ^ b) & m)
		either += bits.OnesCount64((a | b) & m)
	}
	if either == 0 {
		return 0
	}
	return float64(differ) / float64(either)
}

// maskAt draws where pictures count: on what stays of the panel, but not where holes take it away.
func (h *holder) maskAt(box geom.Box, step geom.Length) *sampled.Raster {
	m := sampled.New(box, step)
	m.Fill(h.build.material.Paths(), true)
	for _, b := range h.build.bores {
		if !geom.BoxOf(b.at).Grow(b.diameter).Overlaps(box) && b.path == nil {
			continue
		}
		if b.path == nil {
			m.Capsule(geom.Line(b.at, b.at), b.diameter, false)
		}
		for _, e := range b.path {
			m.Capsule(e, b.diameter, false)
		}
	}
	return m
}

func (h *holder) coarseSheet(ctx context.Context, image *artwork.Image, at sampled.Placing) (*sampled.Raster, error) {
	p, err := sampled.NewPicture(ctx, image, at)
	if err != nil {
		return nil, err
	}
	return p.Draw(ctx, h.build.box, coarse)
}

// likeness tells how little the returned pictures are like the build's, if the panel lies as said: 0 is alike.
func (h *holder) likeness(ctx context.Context, back place) (float64, error) {
	mask := h.maskAt(h.build.box, coarse)
	sum, n := 0.0, 0
	for _, l := range h.build.layers {
		for _, g := range h.Got.Layers {
			if n == 4 || !claims(g, l) || len(l.image.Objects) == 0 {
				continue
			}
			a, err := h.coarseSheet(ctx, l.image, geom.Transform{})
			if err != nil {
				return 0, err
			}
			b, err := h.coarseSheet(ctx, g.Image, back)
			if err != nil {
				return 0, err
			}
			sum, n = sum+(&sheet{m: a}).against(b, mask, false), n+1
		}
	}
	return sum / float64(max(1, n)), nil
}

// claims tells whether a returned layer is said to be one of the build's. Outer copper is known by its side: how
// many layers lie between, a set with a file missing does not tell.
func claims(g pipeline.ReturnedLayer, l layer) bool {
	f := g.Function
	if f.Kind != l.kind || f.Side != l.side {
		return false
	}
	return l.kind != panel.Copper || l.side != panel.Inner || f.Index == l.index
}

// layersOf finds the returned picture of every layer.
func (h *holder) layersOf(ctx context.Context) error {
	mask := h.maskAt(h.build.box, coarse)
	ours := make([]*sheet, len(h.build.layers))
	theirs := make([]*sampled.Raster, len(h.Got.Layers))
	if err := pipeline.Each(ctx, h.Workers, len(ours)+len(theirs), func(i int) (err error) {
		if i < len(ours) {
			m, err := h.coarseSheet(ctx, h.build.layers[i].image, geom.Transform{})
			ours[i] = &sheet{m, len(h.build.layers[i].image.Objects) == 0}
			return err
		}
		i -= len(ours)
		if h.isLayer(i) {
			theirs[i], err = h.coarseSheet(ctx, h.Got.Layers[i].Image, h.back)
		}
		return err
	}); err != nil {
		return err
	}
	// How little each of theirs is like each of ours, and whether it is more like it as a negative.
	differ := make([][]float64, len(ours))
	negative := make([][]bool, len(ours))
	for i, s := range ours {
		differ[i], negative[i] = make([]float64, len(theirs)), make([]bool, len(theirs))
		for k, t := range theirs {
			if t == nil {
				continue
			}
			differ[i][k] = s.against(t, mask, false)
			if said := h.Got.Layers[k].Negative != ""; said || differ[i][k] > 0.5 {
				if d := s.against(t, mask, true); d < differ[i][k]/3 {
					differ[i][k], negative[i][k] = d, true
				}
			}
		}
	}
	h.assign(ours, theirs, differ)
	for i := range h.match {
		if k := h.match[i].got; k >= 0 {
			h.match[i].negative = negative[i][k]
			if err := h.askew(ctx, i, ours[i], mask, differ[i][k]); err != nil {
				return err
			}
			if l := h.Got.Layers[k]; h.match[i].negative && l.Negative == "" {
				h.report(ruleLayer, pipeline.Note, l.Source, nil, nil, "%s is drawn as a negative of %s, and does not say so: what it draws is what is not there", l.Source, h.build.layers[i].key)
			}
		}
	}
	return nil
}

// isLayer tells whether a returned picture may be a layer of material.
func (h *holder) isLayer(i int) bool {
	return !h.Got.Layers[i].Score && !slices.Contains(h.profile, i)
}

// much is by how much the pictures of a layer may differ before another file is looked for that is more like it.
const much = 0.02

// assign says which of theirs is which of ours: by what files say, corrected by pictures.
func (h *holder) assign(ours []*sheet, theirs []*sampled.Raster, differ [][]float64) {
	n := len(ours)
	h.match = make([]match, n)
	taken := make([]int, len(theirs)) // by which of ours
	for k := range taken {
		taken[k] = -1
	}
	by := make([]string, n)
	set := func(i, k int, word string) {
		h.match[i].got, taken[k], by[i] = k, i, word
	}
	for i, l := range h.build.layers {
		h.match[i].got = -1
		for k, g := range h.Got.Layers {
			if theirs[k] != nil && claims(g, l) && (h.match[i].got < 0 || differ[i][k] < differ[i][h.match[i].got]) {
				if old := h.match[i].got; old >= 0 {
					taken[old] = -1
				}
				set(i, k, g.By)
			}
		}
	}
	said := slices.Clone(h.match)
	// Exchanged: each has another's picture.
	for i := range n {
		for j := i + 1; j < n; j++ {
			a, b := said[i].got, said[j].got
			if a < 0 || b < 0 || h.match[i] != said[i] || h.match[j] != said[j] || ours[i].empty && ours[j].empty {
				continue
			}
			if as, crossed := differ[i][a]+differ[j][b], differ[i][b]+differ[j][a]; as > much && crossed < as/3 {
				set(i, b, "its picture")
				set(j, a, "its picture")
				x, y := h.build.layers[i].key, h.build.layers[j].key
				h.report(ruleLayer, pipeline.Error, x, nil, nil, "%s and %s are exchanged: %s says that it is %s, and has the picture of %s, and %s the other way round", x, y,
					h.Got.Layers[a].Source, x, y, h.Got.Layers[b].Source)
			}
		}
	}
	h.byPicture(ours, theirs, differ, taken, set)
	for i, l := range h.build.layers {
		if k := h.match[i].got; k >= 0 {
			h.use(h.Got.Layers[k].Source, l.key, by[i])
			continue
		}
		if ours[i].empty {
			continue
		}
		s := pipeline.Error
		if l.kind == panel.Paste {
			s = pipeline.Warning
		}
		h.report(ruleLayer, s, l.key, nil, nil, "%s is missing: none of the returned files is it", l.key)
	}
	for k, g := range h.Got.Layers {
		if theirs[k] == nil || taken[k] >= 0 || len(g.Image.Objects) == 0 {
			if theirs[k] != nil && taken[k] < 0 {
				h.use(g.Source, "draws nothing", "")
			}
			continue
		}
		h.extraLayer(g, k)
	}
}

// byPicture finds files for layers that none is said to be: what is like it and like no other.
func (h *holder) byPicture(ours []*sheet, theirs []*sampled.Raster, differ [][]float64, taken []int, set func(i, k int, word string)) {
	type pair struct {
		i, k int
		d    float64
	}
	var all []pair
	for i := range ours {
		for k := range theirs {
			if theirs[k] != nil && taken[k] < 0 && h.match[i].got < 0 && !ours[i].empty {
				all = append(all, pair{i, k, differ[i][k]})
			}
		}
	}
	slices.SortFunc(all, func(a, b pair) int {
		return cmp.Or(cmp.Compare(a.d, b.d), cmp.Compare(a.i, b.i), cmp.Compare(a.k, b.k))
	})
	for _, p := range all {
		if p.d > 0.5 || taken[p.k] >= 0 || h.match[p.i].got >= 0 {
			continue
		}
		set(p.i, p.k, "its picture")
		g, key := h.Got.Layers[p.k], h.build.layers[p.i].key
		if g.Function.Kind == "" {
			h.report(ruleLayer, pipeline.Note, g.Source, nil, nil, "%s does not say what it is for: by its picture it is %s", g.Source, key)
		} else {
			h.report(ruleLayer, pipeline.Error, g.Source, nil, nil, "%s says that it is %s, and has the picture of %s", g.Source, said(g), key)
		}
	}
}

// said names what a returned layer says that it is.
func said(g pipeline.ReturnedLayer) string {
	if g.Function.Kind == "" {
		return "nothing"
	}
	return strings.TrimSuffix(g.Function.Key(), "-")
}

// extraLayer tells of a file that is no layer of the build.
func (h *holder) extraLayer(g pipeline.ReturnedLayer, k int) {
	if g.Function.Kind == "" {
		h.use(g.Source, "nobody knows what", "")
		h.report(ruleLayer, pipeline.Warning, g.Source, nil, nil, "%s says nothing of what it is for, and is like none of the build's layers: it was not held", g.Source)
		return
	}
	s := pipeline.Warning
	if g.Function.Kind == panel.Copper || g.Function.Kind == panel.Soldermask {
		s = pipeline.Error
	}
	h.use(g.Source, "extra: "+said(g), g.By)
	for i, l := range h.build.layers {
		if o := h.match[i].got; o >= 0 && o != k && claims(g, l) {
			h.report(ruleLayer, s, g.Source, nil, nil, "%s says that it is %s, and so does %s, which is more like it: it was not held", g.Source, l.key, h.Got.Layers[o].Source)
			return
		}
	}
	h.report(ruleLayer, s, g.Source, nil, nil, "%s says that it is %s, and the build has no such layer", g.Source, said(g))
}

// askew tells of a layer that is mirrored or lies elsewhere than the panel.
func (h *holder) askew(ctx context.Context, i int, ours *sheet, mask *sampled.Raster, as float64) error {
	if as < much || ours.empty {
		return nil
	}
	image, g := h.build.layers[i].image, h.Got.Layers[h.match[i].got]
	want, err := sampled.NewPicture(ctx, image, geom.Transform{})
	if err != nil {
		return err
	}
	best, least := "", as/3
	try := func(back place, text string) error {
		m, err := h.coarseSheet(ctx, g.Image, back)
		if err != nil {
			return err
		}
		for _, inverted := range []bool{false, true} {
			if d := ours.against(m, mask, inverted); d < least && (!inverted || h.match[i].negative) {
				best, least = text, d
			}
		}
		return nil
	}
	extent := func(back place) (geom.Box, error) {
		p, err := sampled.NewPicture(ctx, g.Image, back)
		if err != nil {
			return geom.Box{}, err
		}
		return p.Extent(), nil
	}
	across := place{true, geom.Transform{Shift: geom.Pt(h.build.box.Min.X+h.build.box.Max.X, 0)}}
	over := place{true, geom.Transform{Turn: geom.Half, Shift: geom.Pt(0, h.build.box.Min.Y+h.build.box.Max.Y)}}
	for _, w := range []struct {
		after place
		text  string
	}{
		{place{}, "lies elsewhere than the panel"}, {across, "is mirrored left to right, as seen from the bottom"}, {over, "is mirrored top to bottom"},
	} {
		back := after(h.back, w.after)
		if w.after.mirrored {
			if err := try(back, w.text); err != nil {
				return err
			}
		}
		b, err := extent(back)
		if err != nil {
			return err
		}
		o := want.Extent()
		if (b.Width()-o.Width()).Abs() > coarse || (b.Height()-o.Height()).Abs() > coarse {
			continue
		}
		by := middle(o).Sub(middle(b))
		text := w.text
		if by.Norm() <= float64(Tolerance) {
			continue // as tried
		}
		if w.after.mirrored {
			text += ", and lies elsewhere"
		}
		text += ": " + shortPoint(geom.Point{}.Sub(by)) + " mm off"
		if err := try(back.then(by), text); err != nil {
			return err
		}
	}
	if best != "" {
		h.match[i].unheld = true
		h.report(ruleLayer, pipeline.Error, h.build.layers[i].key, nil, nil, "%s (%s) %s; what else differs on it was not looked at", h.build.layers[i].key, g.Source, best)
	}
	return nil
}

// after gives a place followed by another.
func after(p, q place) place {
	if !q.mirrored {
		return place{p.mirrored, p.t.Then(q.t)}
	}
	// To mirror after a turn is to turn the other way after mirroring.
	t := geom.Transform{Turn: (-p.t.Turn).Normal(), Shift: flip(p.t.Shift)}
	return place{!p.mirrored, t.Then(q.t)}
}
