package returned

import (
	"cmp"
	"context"
	"slices"
	"sync"

	"panelwright/pipeline"
	"panelwright/pipeline/geom"
	"panelwright/pipeline/geom/disjoint"
	"panelwright/pipeline/panel"
	"panelwright/pipeline/panel/sampled"
)

// How layers of material are compared.
const (
	fine   = 10 * geom.UM // between samples
	core   = 4            // samples in a square that must differ: something at least 30 µm thick, and surely 40 µm
	high   = 800          // rows of a band that count
	margin = 48           // rows and columns round it that are drawn beside them
	clip   = 15           // samples that a legend may be clipped beside the mask's openings: 0.15 mm
)

// piece is something that is dark on one side only.
type piece struct {
	missing bool
	box     geom.Box
	samples int
	touches bool // something that both draw lies beside it
}

func (p piece) area() float64 { return float64(float64(p.samples) * fine.MM() * fine.MM()) }

// canvas is one layer as both draw it.
type canvas struct {
	layer
	ours, theirs *sampled.Picture
	negative     bool
	growth       geom.Length
	pieces       []piece
}

// pictures holds the layers of material.
func (h *holder) pictures(ctx context.Context) error {
	canvases := make([]*canvas, len(h.build.layers))
	if err := pipeline.Each(ctx, h.Workers, len(canvases), func(i int) (err error) {
		m := h.match[i]
		if m.got < 0 || m.unheld {
			return nil
		}
		c := &canvas{layer: h.build.layers[i], negative: m.negative}
		if c.ours, err = sampled.NewPicture(ctx, c.image, geom.Transform{}); err != nil {
			return err
		}
		if c.theirs, err = sampled.NewPicture(ctx, h.Got.Layers[m.got].Image, h.back); err != nil {
			return err
		}
		canvases[i] = c
		return h.measureGrowth(ctx, c)
	}); err != nil {
		return err
	}
	box := h.build.box
	step := geom.Length(high) * fine
	bands := int((box.Height() + step - 1) / step)
	found := make([][][]piece, bands)
	var desks sync.Pool
	if err := pipeline.Each(ctx, h.Workers, bands, func(k int) error {
		found[k] = make([][]piece, len(canvases))
		low := box.Min.Y + geom.Length(k)*step
		drawn := geom.Box{Min: geom.Pt(box.Min.X-margin*fine, low-margin*fine), Max: geom.Pt(box.Max.X+margin*fine, low+step+margin*fine)}
		d, ok := desks.Get().(*desk)
		if !ok {
			d = h.newDesk(drawn)
		}
		defer desks.Put(d)
		return h.band(ctx, drawn, d, canvases, found[k])
	}); err != nil {
		return err
	}
	for i, c := range canvases {
		if c == nil {
			continue
		}
		h.out.Layers++
		for _, f := range found {
			c.pieces = append(c.pieces, f[i]...)
		}
		h.tellGrowth(c)
		h.tellPieces(c)
	}
	h.beyond(canvases)
	return nil
}

// openings is which canvas is the mask of a side.
func openings(all []*canvas, side panel.Side) *canvas {
	for _, c := range all {
		if c != nil && c.kind == panel.Soldermask && c.side == side {
			return c
		}
	}
	return nil
}

// desk is what comparing one band needs, kept for the next.
type desk struct{ counts, ours, theirs, opened, both, gone, more *sampled.Raster }

func (h *holder) newDesk(box geom.Box) *desk {
	m := sampled.New(box, fine)
	return &desk{m, like(m), like(m), like(m), like(m), like(m), like(m)}
}

// draw draws a picture on a raster that is used again.
func draw(ctx context.Context, p *sampled.Picture, m *sampled.Raster, box geom.Box, negative bool) error {
	m.Box = box
	clear(m.Bits)
	err := p.DrawOn(ctx, m)
	if negative {
		invert(m)
	}
	return err
}

// band compares all layers within a box.
func (h *holder) band(ctx context.Context, box geom.Box, d *desk, all []*canvas, found [][]piece) error {
	d.both.Box, d.gone.Box, d.more.Box = box, box, box
	mask := h.maskAt(box, fine)
	for i, c := range all {
		if c == nil {
			continue
		}
		if err := draw(ctx, c.ours, d.ours, box, false); err != nil {
			return err
		}
		if err := draw(ctx, c.theirs, d.theirs, box, c.negative); err != nil {
			return err
		}
		counts := mask
		if o := openings(all, c.side); c.kind == panel.Legend && o != nil {
			if err := draw(ctx, o.ours, d.counts, box, false); err != nil {
				return err
			}
			if err := draw(ctx, o.theirs, d.opened, box, o.negative); err != nil {
				return err
			}
			for k, w := range d.opened.Bits {
				d.counts.Bits[k] |= w
			}
			counts = grow(d.counts, clip)
			for k, w := range mask.Bits {
				counts.Bits[k] = w &^ counts.Bits[k]
			}
		}
		want := d.ours
		if px := int((c.growth.Abs() + fine/2) / fine); px > 0 {
			if c.growth > 0 {
				want = grow(d.ours, px)
			} else {
				want = shrink(d.ours, px)
			}
		}
		for k, m := range counts.Bits {
			a, b := want.Bits[k], d.theirs.Bits[k]
			d.gone.Bits[k], d.more.Bits[k], d.both.Bits[k] = a&^b&m, b&^a&m, d.ours.Bits[k]&b
		}
		found[i] = append(piecesOf(thick(d.gone, core), d.both, true), piecesOf(thick(d.more, core), d.both, false)...)
	}
	return nil
}

// piecesOf gives what is set as pieces that hang together, those that begin within the band.
func piecesOf(m, both *sampled.Raster, missing bool) []piece {
	if m == nil {
		return nil
	}
	var runs []run
	var first []int // of each row, in runs
	for r := range m.Rows {
		first = append(first, len(runs))
		if r >= margin && r < margin+high {
			runs = runsOf(m, r, runs)
		}
	}
	if len(runs) == 0 {
		return nil
	}
	first = append(first, len(runs))
	sets := disjoint.New(len(runs))
	for r := 1; r < m.Rows; r++ {
		i, k := first[r-1], first[r]
		for i < first[r] && k < first[r+1] {
			a, b := runs[i], runs[k]
			if a.from <= b.end && b.from <= a.end { // corners count
				sets.Join(i, k)
			}
			if a.end < b.end {
				i++
			} else {
				k++
			}
		}
	}
	at := map[int]int{}
	var out []piece
	for i, x := range runs {
		root := sets.Find(i)
		k, ok := at[root]
		if !ok {
			k = len(out)
			at[root] = k
			out = append(out, piece{missing: missing, box: geom.EmptyBox()})
		}
		p := &out[k]
		low := m.Box.Min.Add(geom.Pt(geom.Length(x.from)*fine, geom.Length(x.row)*fine))
		p.box = p.box.Union(geom.Box{Min: low, Max: low.Add(geom.Pt(geom.Length(x.end-x.from)*fine, fine))})
		p.samples += x.end - x.from
		for d := -3; d <= 3 && !p.touches; d++ {
			p.touches = anyIn(both, x.row+d, x.from-3, x.end+3)
		}
	}
	return out
}

// The windows in which growth is measured.
const (
	windowSide = 2 * geom.MM
	windows    = 8
	finest     = 2 * geom.UM // between samples
	farthest   = 100         // samples that an edge may have moved
)

// measureGrowth measures by how much edges lie further out on a returned layer, in some windows: by most of them.
func (h *holder) measureGrowth(ctx context.Context, c *canvas) error {
	boxes := c.ours.Boxes()
	count := make([]int, 2*farthest+1)
	total := 0
	for k := range windows {
		if len(boxes) == 0 {
			return nil
		}
		at := boxes[(2*k+1)*len(boxes)/(2*windows)].Center()
		w := geom.BoxOf(at).Grow(windowSide / 2)
		a, err := c.ours.Draw(ctx, w, finest)
		if err != nil {
			return err
		}
		b, err := c.theirs.Draw(ctx, w, finest)
		if err != nil {
			return err
		}
		if c.negative {
			invert(b)
		}
		var x, y []run
		for r := range a.Rows {
			x, y = runsOf(a, r, x[:0]), runsOf(b, r, y[:0])
			for _, p := range x {
				for _, q := range y {
					if q.end <= p.from || q.from >= p.end {
						continue
					}
					if d := p.from - q.from; d >= -farthest && d <= farthest && p.from > 0 && q.from > 0 {
						count[d+farthest]++
						total++
					}
					if d := q.end - p.end; d >= -farthest && d <= farthest && p.end < a.Columns && q.end < b.Columns {
						count[d+farthest]++
						total++
					}
				}
			}
		}
	}
	best, most := 0, 0
	for d := 1; d < len(count)-1; d++ {
		if n := count[d-1] + count[d] + count[d+1]; n > most {
			best, most = d, n
		}
	}
	if g := geom.Length(best-farthest) * finest; most*4 > total && g.Abs() >= 5*geom.UM {
		c.growth = g
	}
	return nil
}

// tellGrowth tells of a layer that has grown all over.
func (h *holder) tellGrowth(c *canvas) {
	if c.growth == 0 {
		return
	}
	s, what := pipeline.Note, "wider"
	why := map[panel.FunctionKind]string{panel.Copper: ": what etching will take?", panel.Soldermask: ": room for the mask's own tolerance?"}[c.kind]
	if c.growth < 0 {
		what = "narrower"
		if why = ""; c.kind == panel.Copper {
			s = pipeline.Warning
		}
	}
	if c.growth.Abs() > 80*geom.UM && (c.kind == panel.Copper || c.kind == panel.Soldermask) {
		s = pipeline.Warning
	}
	h.report(ruleCompensation, s, c.key, nil, nil, "%s is %s all over, by some %s mm at each edge%s", c.key, what, shortMM(c.growth.Abs()), why)
}

// beyond tells of what files draw outside the panel.
func (h *holder) beyond(all []*canvas) {
	if !h.alone() {
		return
	}
	var names []string
	box := h.build.box.Grow(fine)
	for _, c := range all {
		if c == nil {
			continue
		}
		outside := func(boxes []geom.Box) int {
			n := 0
			for _, b := range boxes {
				if !b.Empty() && !b.Overlaps(box) {
					n++
				}
			}
			return n
		}
		if outside(c.theirs.Boxes()) > outside(c.ours.Boxes()) {
			names = append(names, c.key)
		}
	}
	slices.SortFunc(names, cmp.Compare[string])
	if len(names) > 0 {
		h.report(ruleAddition, pipeline.Note, "", nil, nil, "something is drawn beyond the panel on %s", listed(names))
	}
}
