package dxf

import (
	"errors"
	"reflect"
	"testing"

	"panelwright/pipeline/format"
)

// FuzzRead holds the reader to this: no panic, no hang, a mistake is a Fault, every curve is a chain of
// edges of some length within ±1 m, and the same data give the same twice.
func FuzzRead(f *testing.F) {
	const blocks = "0 BLOCK 2 a 10 1 20 0 0 ARC 8 0 10 0 20 0 40 5 50 30 51 200 0 INSERT 2 b 10 0 20 0 41 -1 42 0.5 50 30 0 ENDBLK 0 BLOCK 2 b 10 0 20 0 0 LWPOLYLINE 90 2 70 1 43 0.1 10 0 20 0 42 -0.5 10 1 20 1 0 ENDBLK"
	for _, s := range []string{
		"",
		drawingOf("0 LAYER 2 edge 70 1 62 -7", blocks, "0 INSERT 8 edge 2 a 10 0 20 0 70 2 71 2 44 10 45 5"),
		drawingOf("", "", "0 LINE 8 edge 10 0 20 0 11 1 21 0 0 CIRCLE 10 0 20 0 40 2 0 ELLIPSE 10 0 20 0 11 5 21 1 40 0.5 41 0 42 3 230 -1"),
		drawingOf("", "", "0 SPLINE 70 8 71 3 72 8 73 4 40 0 40 0 40 0 40 0 40 1 40 1 40 1 40 1 10 0 20 0 41 1 10 1 20 0 41 0.5 10 1 20 1 41 2 10 0 20 1 41 1"),
		drawingOf("", "", "0 POLYLINE 70 1 0 VERTEX 10 0 20 0 42 1 0 VERTEX 10 4 20 0 0 SEQEND 0 TEXT 1 x 0 HATCH 91 1"),
		drawingOf("", "", "0 SPLINE 70 11 71 2 40 0 40 1 40 2 40 3 40 4 40 5 40 6 40 7 10 0 20 0 10 5 20 0 10 5 20 5 10 0 20 0 10 5 20 0"),
		drawingOf("", "", "0 LWPOLYLINE 90 2 10 -900 20 0 42 1e-9 10 900 20 0 0 ARC 10 0 20 0 40 500000 50 0 51 0.0001"),
		"AnyMake Binary DXF\r\n\x1a\x00",
	} {
		f.Add([]byte(s), uint8(0))
		f.Add([]byte(s), uint8(255))
	}
	f.Fuzz(func(t *testing.T, data []byte, how uint8) {
		// The limits are low so that what runs into them is quick to find.
		opt := Options{SetAside: how&1 != 0, MaxEntities: 2000, MaxEdges: 20_000}
		if how&2 != 0 {
			opt.Unit, opt.UnitWins = Inch, how&4 != 0
		}
		if how&8 != 0 {
			opt.Tolerance = 1
		}
		d, rep, err := Read("fuzz.dxf", data, opt)
		if err != nil {
			var fault *format.Fault
			if !errors.As(err, &fault) {
				t.Fatalf("not a fault: %v", err)
			}
			if _, _, again := Read("fuzz.dxf", data, opt); again == nil || again.Error() != err.Error() {
				t.Fatalf("%v, then %v", err, again)
			}
			return
		}
		n, edges := 0, 0
		for _, l := range d.Layers {
			for _, c := range l.Curves {
				n++
				edges += len(c.Path)
				if len(c.Path) == 0 || c.Layer != l.Name || c.Line < 1 || c.Width < 0 {
					t.Fatalf("%+v on %s", c, l.Name)
				}
				for i, e := range c.Path {
					if b := e.Box(); !b.Min.Within() || !b.Max.Within() {
						t.Fatalf("%v reaches beyond 1 m", e)
					}
					if i > 0 && c.Path[i-1].To != e.From {
						t.Fatalf("%v does not begin where %v ends", e, c.Path[i-1])
					}
					if e.Length() == 0 || e.From == e.To && e.From == e.Center {
						t.Fatalf("%v has no length", e)
					}
				}
			}
			for _, f := range l.Refused {
				if f.Line < 1 {
					t.Fatalf("%v has no place", f)
				}
			}
		}
		if n != rep.Curves || edges > opt.MaxEdges {
			t.Fatalf("%d curves with %d edges, but %+v", n, edges, rep)
		}
		d2, rep2, err := Read("fuzz.dxf", data, opt)
		if err != nil || !reflect.DeepEqual(d, d2) || !reflect.DeepEqual(rep, rep2) {
			t.Fatalf("twice is not the same: %v", err)
		}
	})
}
