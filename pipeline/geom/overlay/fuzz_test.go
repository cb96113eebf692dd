package overlay

import (
	"hash/fnv"
	"math/rand/v2"
	"testing"

	"panelwright/pipeline/geom"
)

// Fuzz targets read operands from bytes. The first byte says how large the coordinates are and how
// close to one another, then follow corners of two or four bytes, and a few bytes that are no corners
// but begin another path or operand.
//
//	coordinates   each a signed byte, or two bytes as a signed number; times the unit
//	0x7f …        in place of a corner: the next byte begins a path (even) or an operand (odd, its
//	              second and third bit the rule), or repeats the corner so many back (from 0x80 on)

var fuzzUnits = [...]geom.Length{1, 1, 1, 3, 50, 30_000, 7_800_000}

const fuzzEscape = 0x7f

type fuzzReader struct {
	data []byte
	wide bool
	unit geom.Length
}

func (f *fuzzReader) byte() byte {
	if len(f.data) == 0 {
		return 0
	}
	b := f.data[0]
	f.data = f.data[1:]
	return b
}

func (f *fuzzReader) coordinate() geom.Length {
	v := geom.Length(int8(f.byte())) * f.unit
	if f.wide {
		v += geom.Length(int8(f.byte()))
	}
	return min(geom.Limit, max(-geom.Limit, v))
}

// operandsFrom reads operands of no more than so many corners.
func operandsFrom(data []byte, most int) []Operand {
	if len(data) == 0 {
		return nil
	}
	f := &fuzzReader{data: data[1:], unit: fuzzUnits[int(data[0]>>1)%len(fuzzUnits)], wide: data[0]&1 == 1}
	ops := []Operand{{}}
	var corners, all []geom.Point
	end := func() {
		if len(corners) > 0 {
			o := &ops[len(ops)-1]
			o.Paths = append(o.Paths, closedPath(corners...))
		}
		corners = nil
	}
	for len(f.data) > 0 && len(all) < most {
		if f.data[0] == fuzzEscape {
			f.byte()
			switch b := f.byte(); {
			case b >= 0x80:
				if n := int(b - 0x80); n < len(all) {
					all = append(all, all[len(all)-1-n])
					corners = append(corners, all[len(all)-1])
				}
			case b&1 == 0:
				end()
			default:
				end()
				if len(ops) < 8 {
					ops = append(ops, Operand{})
				}
				ops[len(ops)-1].Rule = Rule(b>>1) % 3
			}
			continue
		}
		p := geom.Pt(f.coordinate(), f.coordinate())
		all, corners = append(all, p), append(corners, p)
	}
	end()
	return ops
}

// bytesOf writes operands of small coordinates so that operandsFrom reads them.
func bytesOf(ops []Operand) []byte {
	out := []byte{0}
	for i, op := range ops {
		if i > 0 {
			out = append(out, fuzzEscape, byte(op.Rule)<<1|1)
		}
		for k, p := range op.Paths {
			if k > 0 {
				out = append(out, fuzzEscape, 0)
			}
			for _, e := range p {
				out = append(out, byte(e.From.X), byte(e.From.Y))
			}
		}
	}
	return out
}

func addSeeds(f *testing.F, n int) {
	for i, fam := range straightFamilies {
		for k, e := range []geom.Length{3, 15, 60} {
			data := bytesOf(fam.make(rand.New(rand.NewPCG(uint64(i), uint64(k))), e, n))
			f.Add(data)
			for unit := range fuzzUnits { // the same bytes read as other sizes
				if (unit+i+k)%5 == 0 {
					other := append([]byte{byte(unit<<1 | k&1)}, data[1:]...)
					f.Add(other)
				}
			}
		}
	}
}

func FuzzOverlay(f *testing.F) {
	addSeeds(f, 24)
	f.Fuzz(func(t *testing.T, data []byte) {
		ops := operandsFrom(data, 24)
		if len(ops) == 0 {
			return
		}
		h := fnv.New64a()
		h.Write(data)
		r := rand.New(rand.NewPCG(h.Sum64(), 1))
		if err := newVerdict(t.Context(), r, Options{Workers: 1}, ops).all(); err != nil {
			t.Errorf("%v\n%s", err, listing(ops))
		}
	})
}

func FuzzArrangement(f *testing.F) {
	addSeeds(f, 12)
	f.Fuzz(func(t *testing.T, data []byte) {
		ops := operandsFrom(data, 20)
		if len(ops) == 0 {
			return
		}
		if _, err := againstDefinition(ops, Options{Workers: 1}); err != nil {
			t.Errorf("%v\n%s", err, listing(ops))
		}
	})
}

func TestFuzzSeedsAreRead(t *testing.T) {
	for i, fam := range straightFamilies {
		ops := fam.make(rand.New(rand.NewPCG(uint64(i), 0)), 60, 24)
		ops[0].Rule = NonZero
		got := operandsFrom(bytesOf(ops), 1000)
		if listing(ops) != listing(got) {
			t.Errorf("%s: %s\n%s", fam.name, listing(ops), listing(got))
		}
	}
}
