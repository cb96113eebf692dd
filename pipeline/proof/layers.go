package proof

import (
	"context"
	"slices"

	"golang.org/x/sync/semaphore"

	"panelwright/pipeline"
	"panelwright/pipeline/format/gerber"
	"panelwright/pipeline/geom"
	"panelwright/pipeline/panel"
	"panelwright/pipeline/panel/artwork"
)

// layers holds every layer file against the boards' own layers, each under its copy's place, and
// the panel's marks after them.
func (p *prover) layers(ctx context.Context) error {
	functions := slices.DeleteFunc(p.functions(), func(f panel.Function) bool { return !p.has(p.file(f.Key(), ".gbr")) })
	carrier, err := p.in.Panel.NewCarrier(ctx)
	if err != nil {
		return err
	}
	parts := make([]prover, len(functions)) // each layer's own findings
	walks := make([]*walk, len(functions))
	for i, f := range functions {
		parts[i].in = p.in
		walks[i] = &walk{prover: &parts[i], file: p.file(f.Key(), ".gbr")}
		for _, c := range p.in.Panel.Copies() {
			if l := c.Board.Layer(f); l != nil {
				image, _ := carrier.Layer(c, l)
				walks[i].parts = append(walks[i].parts, part{name: c.ID, image: image, place: c.Place})
			}
		}
		if m := p.dots(f); len(m.Objects) > 0 {
			walks[i].parts = append(walks[i].parts, part{name: "the rails", image: m, added: true})
		}
		for _, x := range p.in.Panel.Prints() {
			if m := x.Image(nil); x.On(f) && len(m.Objects) > 0 {
				walks[i].parts = append(walks[i].parts, part{name: x.ID, image: m, added: true})
			}
		}
	}
	room := semaphore.NewWeighted(textAtOnce)
	err = pipeline.Each(ctx, p.in.Workers, len(functions), func(i int) error {
		need := min(walks[i].weight(), textAtOnce)
		if err := room.Acquire(ctx, need); err != nil {
			return err
		}
		defer room.Release(need)
		data, err := p.in.Read(walks[i].file)
		if err != nil {
			return err
		}
		if err := walks[i].hold(data); err != nil {
			parts[i].report(ruleLayer, walks[i].file, nil, nil, "cannot be read back: %v", err)
		}
		return nil
	})
	for _, x := range parts {
		p.findings = append(p.findings, x.findings...)
	}
	return err
}

// textAtOnce is how many bytes of layer files are in memory at a time: a panel's files are many times
// its boards'. One larger file goes alone.
const textAtOnce = 20 << 20

// weight estimates the bytes of the file: about 25 for an object or an edge of a region.
func (w *walk) weight() int64 {
	n := 0
	for _, p := range w.parts {
		n += len(p.image.Objects)
		for _, r := range p.image.Regions {
			for _, c := range r.Contours {
				n += len(c)
			}
		}
	}
	return int64(n) * 25
}

// functions lists every function that a placed board or a mark needs a file for.
func (p *prover) functions() []panel.Function {
	var out []panel.Function
	seen := map[string]bool{}
	add := func(f panel.Function) {
		if !seen[f.Key()] {
			seen[f.Key()] = true
			out = append(out, f)
		}
	}
	for _, c := range p.in.Panel.Copies() {
		for _, l := range c.Board.Layers {
			add(l.Function)
		}
	}
	for _, m := range p.in.Panel.Marks() {
		for _, s := range m.Sides {
			add(panel.Function{Kind: panel.Soldermask, Side: s})
		}
	}
	for _, x := range p.in.Panel.Prints() {
		for _, f := range x.Layers {
			add(f)
		}
	}
	return out
}

// dots draws what the marks need on a layer.
func (p *prover) dots(f panel.Function) *artwork.Image {
	m := &artwork.Image{Sets: []artwork.Attributes{nil}}
	for _, x := range p.in.Panel.Marks() {
		if x.Kind != panel.Fiducial || !slices.Contains(x.Sides, f.Side) {
			continue
		}
		d := x.Diameter
		switch f.Kind {
		case panel.Soldermask:
			d = x.Mask
		case panel.Copper:
		default:
			continue
		}
		m.Apertures = append(m.Apertures, artwork.Aperture{Shape: artwork.Circle, Width: d})
		m.Objects = append(m.Objects, artwork.Object{Kind: artwork.Flash, Region: -1,
			Aperture: int32(len(m.Apertures) - 1), Edge: geom.Line(x.At, x.At)})
	}
	return m
}

// part is what one copy, or the panel itself, must have drawn.
type part struct {
	name  string
	image *artwork.Image
	place geom.Transform
	added bool // by the panel: attributes are not compared
}

// walk goes through the objects of a written file alongside those expected.
type walk struct {
	*prover
	file   string
	parts  []part
	part   int // the part and object expected next
	object int
	failed map[int]bool // parts already reported
	pairs  map[pair]string
	extra  int
}

// hold reads the file and compares.
func (w *walk) hold(data []byte) error {
	w.failed, w.pairs = map[int]bool{}, map[pair]string{}
	_, _, err := gerber.Read(w.file, data, gerber.Options{
		MaxObjects: 1 << 28, // a panel is many boards
		Visit: func(m *artwork.Image, objects []artwork.Object) {
			for i := range objects {
				w.next(m, &objects[i])
			}
		},
	})
	if err != nil {
		return err
	}
	w.end()
	return nil
}

// next compares one written object with the one expected.
func (w *walk) next(m *artwork.Image, got *artwork.Object) {
	for w.part < len(w.parts) && w.object == len(w.parts[w.part].image.Objects) {
		w.part, w.object = w.part+1, 0
	}
	if w.part == len(w.parts) {
		w.extra++
		return
	}
	p := &w.parts[w.part]
	want := &p.image.Objects[w.object]
	w.object++
	if w.failed[w.part] {
		return
	}
	if why := w.differs(p, want, m, got); why != "" {
		w.failed[w.part] = true
		at := p.place.Apply(p.image.Anchor(*want))
		w.report(ruleLayer, w.file, copiesOf(p), &at, "object %d of %s differs from its source: %s", w.object, p.name, why)
	}
}

// end reports what is missing or too much.
func (w *walk) end() {
	for ; w.part < len(w.parts); w.part, w.object = w.part+1, 0 {
		p := &w.parts[w.part]
		if missing := len(p.image.Objects) - w.object; missing > 0 {
			at := p.place.Apply(p.image.Anchor(p.image.Objects[w.object]))
			w.report(ruleLayer, w.file, copiesOf(p), &at, "the last %d objects of %s are missing", missing, p.name)
		}
	}
	if w.extra > 0 {
		w.report(ruleLayer, w.file, nil, nil, "%d objects that nothing on the panel accounts for", w.extra)
	}
}

func copiesOf(p *part) []string {
	if p.added {
		return nil
	}
	return []string{p.name}
}
