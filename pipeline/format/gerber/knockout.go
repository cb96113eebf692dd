package gerber

import (
	"slices"

	"panelwright/pipeline/geom"
	"panelwright/pipeline/panel/artwork"
)

// knockout is an open statement KO that lays a border round what is drawn after it: its rectangle is
// known when the level ends.
type knockout struct {
	at, from int // from: into target.objects
	clear    bool
	border   geom.Length
}

// knockout reads KO, of the format's first edition: a rectangle of the polarity that it states, drawn
// before the level that follows: by its lower left corner and size (%KOCX1Y1I3J2*%), or as far as the
// level reaches and a border more (%KOCK0.1*%). The level's own polarity is set by LP as always.
func (p *parser) knockout(at int, c *cursor) error {
	p.note(oldKnockout, at)
	bad := func() error {
		return p.fault(at, "knockout (KO) that cannot be read", "it looks like %KOCX1.0Y1.0I3.0J2.0*%, a rectangle, or %KOCK0.1*%, a border")
	}
	if p.inRegion || len(p.stack) > 0 {
		return p.fault(at, "knockout (KO) inside a region or an aperture block", "set it before them; export the file again")
	}
	if err := p.closeKnockout(); err != nil {
		return err
	}
	if c.done() {
		return nil
	}
	k := knockout{at: at, from: len(p.out.objects)}
	switch {
	case c.take('C'):
		k.clear = true
	case c.take('D'):
	default:
		return bad()
	}
	if c.take('K') {
		var err error
		if k.border, err = p.size(at, c); err != nil {
			return err
		}
		if k.border < 0 || !c.done() {
			return bad()
		}
		p.out.knock = &k
		return nil
	}
	var v [4]geom.Length
	for i, letter := range []byte("XYIJ") {
		if c.take(letter) {
			var err error
			if v[i], err = p.size(at, c); err != nil {
				return err
			}
		}
	}
	if !c.done() || v[2] <= 0 || v[3] <= 0 {
		return bad()
	}
	r := rectangle(geom.Box{Min: geom.Pt(v[0], v[1]), Max: geom.Pt(v[0]+v[2], v[1]+v[3])})
	if p.base.active {
		for i := range r {
			r[i], _ = p.base.edge(r[i])
		}
	}
	for _, e := range r {
		if !e.From.Within() {
			return p.tooFar(at)
		}
	}
	if b := r.Box(); b.Width() == 0 || b.Height() == 0 { // scaled to nothing
		return nil
	}
	return p.fill(at, artwork.Region{Contours: []geom.Path{r}}, k.clear, 0, 0)
}

// closeKnockout draws the open border, now that the level under it is complete.
func (p *parser) closeKnockout() error {
	k := p.out.knock
	if k == nil || len(p.out.objects) == k.from {
		return nil
	}
	p.out.knock = nil
	box := geom.EmptyBox()
	for _, o := range p.out.objects[k.from:] {
		box = box.Union(p.img.Box(o))
	}
	box = box.Grow(k.border)
	if !box.Min.Within() || !box.Max.Within() {
		return p.tooFar(k.at)
	}
	if box.Width() == 0 || box.Height() == 0 { // no border round what has no size
		return nil
	}
	if err := p.fill(k.at, artwork.Region{Contours: []geom.Path{rectangle(box)}}, k.clear, 0, 0); err != nil {
		return err
	}
	last := len(p.out.objects) - 1
	o := p.out.objects[last]
	p.out.objects = slices.Insert(p.out.objects[:last], k.from, o)
	return nil
}

func rectangle(b geom.Box) geom.Path {
	a, c := geom.Pt(b.Max.X, b.Min.Y), geom.Pt(b.Min.X, b.Max.Y)
	return geom.Path{geom.Line(b.Min, a), geom.Line(a, b.Max), geom.Line(b.Max, c), geom.Line(c, b.Min)}
}
