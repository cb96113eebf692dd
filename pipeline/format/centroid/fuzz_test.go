package centroid

import (
	"bytes"
	"errors"
	"testing"

	"panelwright/pipeline/format"
)

// FuzzRead holds the reader to this: no panic, no hang, a mistake is a Fault, and what it reads is
// written and read again unchanged.
func FuzzRead(f *testing.F) {
	for _, s := range []string{
		"Ref,Val,Package,PosX,PosY,Rot,Side\n\"R1\",\"10k, 1%\",\"0603\",1.27,-2.54,90.0,bottom\n",
		"*Coordinates in mm\n*No;Value;Package;X;Y;Rotation;Side;Name\n1;10k;0603;1,27;-2.54;-270;Bottom;R1\n",
		"## Unit = mm\n# Ref     Val        Package     PosX       PosY       Rot  Side\nR1        10k, 1%    0603      1.2700    -2.5400   90.0000  bottom\n## End\n",
		"Designator Footprint Mid X Mid Y TB      Rotation Comment\nR1 0603 50mil -100mil B 90.00 10k\n",
		"R1\t1.27\t-2.54\t90.00\t10k\t0603\t\n",
		"R1  1.27 -2.54 90  10k 0603\nJ1 2 2 0 HDR\n",
		"\xff\xfeR\x00e\x00f\x00",
		"| Ref | Value | X | Y | Rot | Side |\n|---|---|---|---|---|---|\n| R1 | 10k | 1.27mm | -2.54mm | 90 | Bottom |\n",
		"BOTTOM SIDE\nRef;Value;X(um);Y(um);Rot;Fitted\nR1;10k;1.270,5;-2.540,0;90,00;yes\nTop Side:\nR2;10k;1;-2;0;no\nTotal parts: 2\n",
		"Part Type   X mm   Y mm  Rot Mount\n\nR1     1.27   2.54   MR90 Top\n",
		"Designator,Ref X,Ref Y,Mid X,Mid Y,Mirror,DNP\nR1,\"1,270\",1,50mil,-1e2mil,m,\nR2,,,,,,x\n",
		"1,R1,10k,R_0603,1.27,-2.54,90,bottom\n2,C11,1u,C_0402,11.27,12.54,0,top\n3,C12,1u,C_0402,1.5,12.5,45,t\n",
		"DesignAtor 0 MidX MidY 0 0 Comment\n0 0 0mil 0mil 0 0 \v",
		"sep=;\nRef;Val;X\";Y\";R\n;;mil;mil;\n\"R\n1\";\"a\"\"b\";1.;.2;0°\n",
	} {
		f.Add([]byte(s))
	}
	f.Fuzz(func(t *testing.T, data []byte) {
		for _, t := range InUnits("fuzz.csv", data, Options{Columns: []string{"refdes", "x", "y", "rotation", "mirrored", "unplaced"}}) {
			_ = t.Rows
		}
		looks := Looks(data)
		table, err := Read("fuzz.csv", data)
		if err != nil {
			var fault *format.Fault
			if !errors.As(err, &fault) {
				t.Fatalf("not a fault: %v", err)
			}
			return
		}
		if !looks && len(data) < 1<<16 {
			t.Fatal("read, though it does not look like a table")
		}
		var rows []PanelRow
		for _, r := range table.Rows {
			rows = append(rows, PanelRow{"A1", r.Refdes, r.Side, r.X, r.Y, r.Rotation, r.Package, r.Value, r.PartNumber})
		}
		var b bytes.Buffer
		if err := Write(&b, rows, WriteOptions{Convention: Convention{Unit: "mm"}}); err != nil {
			t.Fatal(err)
		}
		back, err := Read("again.csv", b.Bytes())
		if err != nil {
			t.Fatalf("what was written is not read: %v\n%s", err, b.String())
		}
		if len(back.Rows) != len(table.Rows) {
			t.Fatalf("%d rows became %d\n%s", len(table.Rows), len(back.Rows), b.String())
		}
		for i, r := range back.Rows {
			w := table.Rows[i]
			r.Line = w.Line
			if r != w {
				t.Fatalf("%+v became %+v", w, r)
			}
		}
	})
}
