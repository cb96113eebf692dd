package intake

import (
	"math/rand/v2"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"panelwright/pipeline/geom"
	"panelwright/pipeline/panel"
	"panelwright/pipeline/panel/artwork"
)

// twoPads are the pads of a part of two.
func twoPads(at geom.Point, half geom.Length, upright bool) []pad {
	d, w, h := geom.Pt(half, 0), half, 2*half
	if upright {
		d, w, h = geom.Pt(0, half), h, w
	}
	one := func(at geom.Point) pad {
		return pad{at: at, box: geom.Box{Min: at.Sub(geom.Pt(w/2, h/2)), Max: at.Add(geom.Pt(w/2, h/2))}}
	}
	return []pad{one(at.Add(d)), one(at.Sub(d))}
}

// scattered gives a side with parts here and there, 50 × 40 mm.
func scattered(n int, seed uint64, side panel.Side) (parts []panel.Part, pads []pad) {
	r := rand.New(rand.NewPCG(seed, 1))
	for range n {
		at := geom.Pt(geom.Length(r.IntN(5000))*10*geom.UM, geom.Length(r.IntN(4000))*10*geom.UM)
		parts = append(parts, panel.Part{At: at, Side: side})
		pads = append(pads, twoPads(at, geom.Length(400+100*r.IntN(3))*geom.UM, r.IntN(2) == 0)...)
	}
	return parts, pads
}

func sides(top, bottom []pad) *padSides {
	return &padSides{nil, map[panel.Side]*fitter{panel.Top: newFitter(top), panel.Bottom: newFitter(bottom)}}
}

func each(parts []panel.Part, f func(panel.Part) geom.Point) []panel.Part {
	out := make([]panel.Part, len(parts))
	for i, p := range parts {
		p.At = f(p)
		out[i] = p
	}
	return out
}

// Shifts and mirrored bottoms that were planted are found to the nanometre, and undone.
func TestPlantedOrigins(t *testing.T) {
	top, above := scattered(30, 1, panel.Top)
	bottom, below := scattered(20, 2, panel.Bottom)
	pads := sides(above, below)
	both := append(append([]panel.Part{}, top...), bottom...)
	shift := geom.Pt(-12_345_678, 104_000_001)
	for _, c := range []struct {
		name   string
		parts  []panel.Part
		write  func(panel.Part) geom.Point // the place as the file has it
		want   Verdict
		mirror bool
	}{
		{"as written", both, func(p panel.Part) geom.Point { return p.At }, AsWritten, false},
		{"shifted", both, func(p panel.Part) geom.Point { return p.At.Sub(shift) }, Moved, false},
		{"shifted, the top alone", top, func(p panel.Part) geom.Point { return p.At.Sub(shift) }, Moved, false},
		{"mirrored", both, func(p panel.Part) geom.Point {
			if p.Side == panel.Bottom {
				return geom.Pt(-p.At.X, p.At.Y)
			}
			return p.At
		}, Moved, true},
		{"mirrored and shifted", both, func(p panel.Part) geom.Point {
			if p.Side == panel.Bottom {
				return geom.Pt(shift.X-p.At.X, p.At.Y-shift.Y)
			}
			return p.At.Sub(shift)
		}, Moved, true},
		{"mirrored about the board's middle", both, func(p panel.Part) geom.Point {
			if p.Side == panel.Bottom {
				return geom.Pt(50*geom.MM-p.At.X, p.At.Y)
			}
			return p.At
		}, Moved, true},
		{"mirrored, the bottom alone", bottom, func(p panel.Part) geom.Point { return geom.Pt(50*geom.MM-p.At.X, p.At.Y) }, Moved, true},
		{"too few", top[:3], func(p panel.Part) geom.Point { return p.At.Sub(shift) }, Untold, false},
	} {
		t.Run(c.name, func(t *testing.T) {
			written := each(c.parts, c.write)
			is := pads.settle(written, nil)
			require.Equal(t, c.want, is.Verdict)
			assert.Equal(t, c.mirror, is.Mirrored)
			is.apply(written, false)
			if c.want != Untold {
				assert.Equal(t, c.parts, written)
				assert.GreaterOrEqual(t, is.Agree, len(c.parts)-2)
			}
		})
	}
	t.Run("rounded to two decimals", func(t *testing.T) {
		written := each(both, func(p panel.Part) geom.Point {
			q := p.At.Sub(shift)
			return geom.Pt(geom.Round(float64(q.X)/1e4)*1e4, geom.Round(float64(q.Y)/1e4)*1e4)
		})
		is := pads.settle(written, nil)
		require.Equal(t, Moved, is.Verdict)
		assert.Less(t, is.Shift.Distance(shift), 1e4)
	})
	t.Run("the recipe says that it is not mirrored", func(t *testing.T) {
		no := false
		is := pads.settle(each(bottom, func(p panel.Part) geom.Point { return geom.Pt(-p.At.X, p.At.Y) }), &no)
		assert.Equal(t, Unclear, is.Verdict)
	})
}

// Where several shifts would do, none is taken, and places that have nothing to do with the pads are
// never moved.
func TestOriginsNotToBeTold(t *testing.T) {
	const pitch = 2 * geom.MM
	var parts []panel.Part
	var pads []pad
	for i := range 8 {
		for j := range 8 {
			at := geom.Pt(geom.Length(i)*pitch, geom.Length(j)*pitch)
			parts = append(parts, panel.Part{At: at, Side: panel.Top})
			pads = append(pads, twoPads(at, 400*geom.UM, false)...)
		}
	}
	rows := sides(pads, nil)
	moved := func(x geom.Length) []panel.Part {
		return each(parts, func(p panel.Part) geom.Point { return p.At.Add(geom.Pt(x, 0)) })
	}
	assert.Equal(t, AsWritten, rows.settle(parts, nil).Verdict)
	assert.Equal(t, Unclear, rows.settle(moved(pitch), nil).Verdict, "off by a pitch, where seven of eight agree")
	assert.Equal(t, Unclear, rows.settle(moved(100*geom.MM), nil).Verdict, "a row less would do nearly as well")

	for seed := range uint64(20) {
		_, above := scattered(40, 100+seed, panel.Top)
		other, _ := scattered(5+int(seed)*2, 200+seed, panel.Top)
		is := sides(above, nil).settle(other, nil)
		assert.NotEqual(t, Moved, is.Verdict, "seed %d: %+v", seed, is)
		assert.NotEqual(t, AsWritten, is.Verdict, "seed %d: %+v", seed, is)
	}
	// A few parts among many pads agree somewhere by luck.
	for seed := range uint64(40) {
		_, crowd := scattered(150, 300+seed, panel.Top)
		few, _ := scattered(4+int(seed)%2, 400+seed, panel.Top)
		is := sides(crowd, nil).settle(few, nil)
		assert.NotEqual(t, Moved, is.Verdict, "seed %d: %+v", seed, is)
	}
	// On a crowded board four parts that agree may be luck; twelve are not.
	var crowded []panel.Part
	var crowd []pad
	r := rand.New(rand.NewPCG(5, 1))
	for i := range 500 {
		at := geom.Pt(geom.Length(i%25)*2*geom.MM+geom.Length(r.IntN(60))*10*geom.UM, geom.Length(i/25)*2*geom.MM+geom.Length(r.IntN(60))*10*geom.UM)
		crowded = append(crowded, panel.Part{At: at, Side: panel.Top})
		crowd = append(crowd, twoPads(at, 400*geom.UM, r.IntN(2) == 0)...)
	}
	aside := func(p panel.Part) geom.Point { return p.At.Add(geom.Pt(3*geom.MM, 0)) }
	assert.Equal(t, Unclear, sides(crowd, nil).settle(each(crowded[:4:4], aside), nil).Verdict)
	assert.Equal(t, Moved, sides(crowd, nil).settle(each(crowded[:12], aside), nil).Verdict)
	// Of another board, of which a third is the same.
	_, own := scattered(14, 1, panel.Top)
	mixed, _ := scattered(14, 1, panel.Top)
	rest, _ := scattered(26, 500, panel.Top)
	_, others := scattered(26, 501, panel.Top)
	is := sides(append(own, others...), nil).settle(each(append(mixed, rest...), func(p panel.Part) geom.Point { return p.At.Add(geom.Pt(7*geom.MM, 0)) }), nil)
	assert.Equal(t, Unclear, is.Verdict)
	assert.Equal(t, geom.Pt(-7*geom.MM, 0), is.BestShift)
	assert.Equal(t, Untold, sides(nil, nil).settle(parts, nil).Verdict)
}

// The pads of a layer: those with part names alone where there are any; openings of the mask before
// copper; no vias.
func TestPadsOn(t *testing.T) {
	pad := func(x geom.Length, aperture, set int32) artwork.Object {
		return artwork.Object{Kind: artwork.Flash, Region: -1, Aperture: aperture, Set: set, Edge: geom.Edge{From: geom.Pt(x, 0)}}
	}
	copper := &artwork.Image{
		Sets:      []artwork.Attributes{nil, {{Name: ".AperFunction", Values: []string{"ViaPad"}}}, {{Name: ".P", Values: []string{"R1", "1"}}}, {{Name: ".C", Values: []string{"R2"}}}},
		Apertures: []artwork.Aperture{{Width: geom.MM}, {Width: geom.MM, Set: 1}},
		Objects:   []artwork.Object{pad(0, 0, 2), pad(1, 1, 0), pad(2, 0, 0), pad(3, 0, 3), pad(4, 1, 2)},
	}
	mask := &artwork.Image{Sets: []artwork.Attributes{nil}, Apertures: []artwork.Aperture{{Width: geom.MM}}, Objects: []artwork.Object{pad(7, 0, 0),
		{Kind: artwork.Stroke, Region: -1, Edge: geom.Line(geom.Pt(0, 10), geom.Pt(20, 10))}, {Kind: artwork.Flash, Clear: true, Region: -1}}}
	places := func(m ...*artwork.Image) (out []geom.Point) {
		r := &Result{}
		for i, x := range m {
			if x != nil {
				r.layers = append(r.layers, layer{&File{Image: x}, panel.Function{Kind: []panel.FunctionKind{panel.Copper, panel.Soldermask}[i], Side: panel.Top}})
			}
		}
		for _, p := range r.padsOn(panel.Top) {
			out = append(out, p.at)
		}
		return out
	}
	assert.Equal(t, []geom.Point{geom.Pt(0, 0), geom.Pt(3, 0)}, places(copper, mask))
	bare := *copper
	bare.Sets = []artwork.Attributes{nil, copper.Sets[1], nil, nil}
	assert.Equal(t, []geom.Point{geom.Pt(7, 0), geom.Pt(10, 10)}, places(&bare, mask))
	assert.Equal(t, []geom.Point{geom.Pt(0, 0), geom.Pt(2, 0), geom.Pt(3, 0)}, places(&bare, nil))
	assert.Empty(t, places(nil, nil))
}
