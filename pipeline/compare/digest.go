package compare

import (
	"math/bits"

	"panelwright/pipeline/geom"
	"panelwright/pipeline/panel/artwork"
)

// digest stands for what an object draws, or for a list of objects. Whether builds are the same never
// hangs on it: that is decided by their bytes.
type digest [2]uint64

// put mixes a word in.
func (d *digest) put(w uint64) {
	hi, lo := bits.Mul64(d[0]^w^0x9e3779b97f4a7c15, 0xd6e8feb86659fd93)
	d[0] = hi ^ lo
	hi, lo = bits.Mul64(d[1]^bits.RotateLeft64(w, 29)^0xa0761d6478bd642f, 0xe7037ed1a0b428db)
	d[1] = hi ^ lo ^ bits.RotateLeft64(d[1], 17)
}

func (d *digest) length(l geom.Length) { d.put(uint64(l)) }
func (d *digest) point(p geom.Point)   { d.put(uint64(p.X)); d.put(uint64(p.Y)) }

func (d *digest) text(s string) {
	d.put(uint64(len(s)))
	var w uint64
	for i := range len(s) {
		w = w<<8 | uint64(s[i])
		if i%8 == 7 {
			d.put(w)
			w = 0
		}
	}
	d.put(w)
}

func (d *digest) add(e digest) { d.put(e[0]); d.put(e[1]) }

// frame says from where an object is seen: the place of its copy, so that what a copy carries has the same digest
// wherever it stands. Turns that are no quarters stay in.
type frame struct {
	back geom.Transform
	kept geom.Angle // the turn that is left in
}

// frameOf undoes a copy's place as far as that is exact.
func frameOf(place geom.Transform) frame {
	if _, exact := place.Turn.Normal().Quarters(); exact {
		return frame{back: place.Inverse()}
	}
	return frame{back: geom.Transform{Shift: geom.Point{}.Sub(place.Shift)}, kept: place.Turn.Normal()}
}

// digester makes digests of one image's objects.
type digester struct {
	apertures map[aperturesKey]digest
	sets      []digest
}

type aperturesKey struct {
	index int32
	turn  geom.Angle
}

// object gives what an object draws, as seen from a frame, and what it says of it by attributes.
func (g *digester) object(m *artwork.Image, o *artwork.Object, f frame) (drawn, said digest) {
	var d digest
	d.put(uint64(o.Kind)<<1 | one(o.Clear))
	d.put(uint64(f.kept))
	said = g.set(m, o.Set)
	if o.Kind == artwork.Fill {
		for _, c := range m.Regions[o.Region].Contours {
			d.put(uint64(len(c)))
			for i := range c {
				g.edge(&d, f.back.Edge(c[i]))
			}
		}
		said.add(g.set(m, o.AperSet))
		return d, said
	}
	k := aperturesKey{o.Aperture, f.back.Turn.Normal()}
	a, ok := g.apertures[k]
	if !ok {
		a = apertureDigest(m.Apertures[o.Aperture].Turned(k.turn))
		if g.apertures == nil {
			g.apertures = map[aperturesKey]digest{}
		}
		g.apertures[k] = a
	}
	d.add(a)
	if o.Kind == artwork.Flash {
		d.point(f.back.Apply(o.Edge.From))
	} else {
		g.edge(&d, f.back.Edge(o.Edge))
	}
	said.add(g.set(m, m.Apertures[o.Aperture].Set))
	return d, said
}

func one(b bool) uint64 {
	if b {
		return 1
	}
	return 0
}

func (g *digester) edge(d *digest, e geom.Edge) {
	d.point(e.From)
	d.point(e.To)
	d.put(uint64(e.Sense))
	if e.Sense != geom.Straight {
		d.point(e.Center)
	}
}

func (g *digester) set(m *artwork.Image, i int32) digest {
	for len(g.sets) <= int(i) && len(g.sets) < len(m.Sets) {
		var d digest
		for _, a := range m.Sets[len(g.sets)] {
			d.text(a.Name)
			for _, v := range a.Values {
				d.text(v)
			}
		}
		g.sets = append(g.sets, d)
	}
	if i < 0 || int(i) >= len(g.sets) {
		return digest{}
	}
	return g.sets[i]
}

// apertureDigest leaves out the name of a macro and the attributes, which draw nothing.
func apertureDigest(a artwork.Aperture) digest {
	var d digest
	d.put(uint64(a.Shape))
	d.length(a.Width)
	d.length(a.Height)
	d.length(a.Hole)
	d.put(uint64(a.Vertices))
	d.put(uint64(a.Turn.Normal()))
	for _, p := range a.Primitives {
		d.put(uint64(p.Kind)<<1 | one(p.Off))
		for _, s := range p.Size {
			d.length(s)
		}
		d.put(uint64(p.Vertices))
		d.put(uint64(p.Turn.Normal()))
		for _, q := range p.Points {
			d.point(q)
		}
	}
	return d
}

// keysOf gives the digests of all objects of an image.
func keysOf(m *artwork.Image) []digest {
	var g digester
	out := make([]digest, len(m.Objects))
	for i := range m.Objects {
		out[i], _ = g.object(m, &m.Objects[i], frame{})
	}
	return out
}
