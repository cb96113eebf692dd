package xnc

import (
	"bytes"
	"errors"
	"testing"

	"panelwright/pipeline/format"
	"panelwright/pipeline/geom"
)

// FuzzRead holds the reader to three promises: it neither panics nor hangs, a mistake is a Fault,
// and what it reads is written and read again unchanged.
func FuzzRead(f *testing.F) {
	for _, s := range []string{
		"M48\nMETRIC,TZ,000.000\nT1C0.5\n%\nT1\nX1000Y2000\nR3X100\nX1Y1G85X5Y5\nM30\n",
		"M48\nINCH,LZ\nT1C0.02F1S2\nT100C0.1\n%\nG90\nG05\nT100\nX015Y02\nG91\nX1\nT0\nM30\n",
		"M48\n; #@! TF.FileFunction,Plated,1,4,PTH\n; #@! TA.AperFunction,Plated,PTH,ViaDrill\nMETRIC\nT1C1.0\n%\nT1\nG00X0.0Y0.0\nM15\nG03X1.0Y1.0A1.0\nG02X2.0Y2.0I1.0J0.0\nG01X3.0\nM16\nG05\nM30\n",
		";FILE_FORMAT=2:4\n; NON-PLATED HOLES START AT T1\nT1C0.5\nX0101\nY02\nM02\n",
		"M48\nMETRIC\nT1C0.5\n%\nT1\nM25\nX1.0Y1.0\nG85X2.0\nM01\nR3M02X10.0Y0.0\nM02Y9.0\nM08\nX3.0Y3.0G87X4.0\nM30X0Y0\n",
		"; FORMAT={-:-/ absolute / inch / decimal}\nFMAT,1\nICI,ON\nT1C.02\n%\nT1\nX1Y2.5\nM00\n",
		";T01 Holesize 1. = 20.0 Tolerance = +0.0/-0.0 PLATED MILS Quantity = 7\n; T02 0.300\n%\nG93X0Y0\nT01\nX0101Y02\nT02\nG00X1\nG01X2\nG32X1A2\nM30\n",
		";FORMAT={3:3/ absolute / metric / keep zeros}\n;TYPE=NON_PLATED\nT01C2\nM72\nX1Y1\n",
	} {
		f.Add([]byte(s))
	}
	f.Fuzz(func(t *testing.T, data []byte) {
		WithoutDiameter(data)
		ReadToolList(data, Inch)
		for i, o := range Readings(data, Options{CutsUnlowered: true, MaxHoles: 1000}) {
			if i > 3 {
				break
			}
			if _, rep, err := Read("fuzz.drl", data, o); err == nil && rep.Guessed {
				t.Fatalf("the reading %+v leaves something to guess: %s", o, rep.GuessedWhat)
			}
		}
		d, _, err := Read("fuzz.drl", data, Options{MaxHoles: 100_000})
		if err != nil {
			var fault *format.Fault
			if !errors.As(err, &fault) {
				t.Fatalf("not a fault: %v", err)
			}
			return
		}
		head := Header{Attributes: d.Attributes}
		var b bytes.Buffer
		if err := Write(&b, head, []Piece{{Drilling: d}}, Rout); err != nil {
			return // a plating that contradicts itself, an attribute's odd name
		}
		back, _, err := Read("again.drl", b.Bytes(), Options{})
		if err != nil {
			t.Fatalf("what was written is not read: %v\n%s", err, b.String())
		}
		if len(back.Holes) != len(d.Holes) || len(back.Routs) != len(d.Routs) {
			t.Fatalf("%d holes and %d slots became %d and %d", len(d.Holes), len(d.Routs), len(back.Holes), len(back.Routs))
		}
		if back.Plating != d.Plating && d.Attributes.Get(".FileFunction") != nil {
			t.Fatalf("plating %v became %v", d.Plating, back.Plating)
		}
		n := map[geom.Point]int{}
		for i := range d.Holes {
			n[d.Holes[i].At]++
			n[back.Holes[i].At]--
		}
		for p, k := range n {
			if k != 0 {
				t.Fatalf("hole at %v: %+d", p, k)
			}
		}
	})
}
