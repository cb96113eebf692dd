package intake

import (
	"archive/zip"
	"bytes"
	"context"
	"fmt"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"

	"panelwright/pipeline"
)

// inMemory is one file in memory.
type inMemory struct {
	pipeline.Files // the rest is not asked for
	data           []byte
}

func (h inMemory) List(_ context.Context, p pipeline.InPath) ([]pipeline.InPath, error) {
	return []pipeline.InPath{p}, nil
}

func (h inMemory) Read(context.Context, pipeline.InPath) ([]byte, error) { return h.data, nil }

// zipped packs a text into a zip: lines "-- name --" begin its members.
func zipped(text string) []byte {
	var b bytes.Buffer
	z := zip.NewWriter(&b)
	name, body := "", strings.Builder{}
	flush := func() {
		if name == "" {
			return
		}
		if w, err := z.CreateHeader(&zip.FileHeader{Name: name, Method: zip.Store}); err == nil {
			w.Write([]byte(body.String()))
		}
		body.Reset()
	}
	for line := range strings.Lines(text) {
		if rest, ok := strings.CutPrefix(line, "-- "); ok {
			if n, ok := strings.CutSuffix(strings.TrimRight(rest, "\r\n"), " --"); ok {
				flush()
				name = n
				continue
			}
		}
		body.WriteString(line)
	}
	flush()
	z.Close()
	return b.Bytes()
}

// gaugeBoard is all of a small board's data.
const gaugeBoard = `-- gauge/gauge.gbrjob --
{"Header":{"GenerationSoftware":{"Vendor":"Gaugeworks"}},"GeneralSpecs":{"ProjectId":{"Name":"RG-1042","GUID":"","Revision":"C"},
"Size":{"X":20,"Y":10},"LayerNumber":2,"BoardThickness":1.6},"FilesAttributes":[{"Path":"gauge-top.gbr","FileFunction":"Copper,L1,Top"}]}
-- gauge/gauge-top.gbr --
%FSLAX33Y33*%
%MOMM*%
%TF.FileFunction,Copper,L1,Top*%
%ADD10C,1*%
D10*
X5000Y5000D03*
X15000D03*
X5000D02*
G01X15000D01*
M02*
-- gauge/gauge.gbl --
%FSLAX24Y24*%%MOIN*%%ADD10R,0.05X0.04*%D10*X2000Y2000D03*M02*
-- gauge/gauge.gts --
%FSLAX33Y33*%%MOMM*%%AMA*1,1,$1,0,0*%%ADD10A,1.2*%D10*X5000Y5000D03*M02*
-- gauge/gauge-Edge_Cuts.gbr --
%FSLAX33Y33*%%MOMM*%%ADD10C,0.1*%D10*X0Y0D02*G01X20000D01*G75*G03Y10000I0J5000D01*G01X0D01*Y0D01*M02*
-- gauge/gauge.drl --
M48
METRIC,TZ
T1C0.8
%
T1
X5.0Y5.0
X15.0Y5.0
M30
-- gauge/gauge-pos.csv --
Ref,Val,Package,PosX (mm),PosY (mm),Rot,Side
R1,10k,0603,5.0,5.0,90,top
-- gauge/gauge.ipc --
P  UNITS CUST 1
317GND              R1    -1    D0800PA00X+005000Y+005000X1000Y0000R000 S3
999
-- gauge/README.md --
a board
`

func readHeld(t *testing.T, data []byte, workers int) (*Result, error) {
	return Read(context.Background(), inMemory{data: data},
		Request{Name: "gauge", Paths: []pipeline.InPath{{Text: "gauge.zip"}}, Tolerance: DefaultTolerance, Workers: workers})
}

// said is all that a result says, as text.
func said(r *Result, err error) string {
	var b strings.Builder
	if err != nil {
		return err.Error()
	}
	for _, p := range r.Problems {
		fmt.Fprintln(&b, p)
	}
	s := r.Summary([]pipeline.InPath{{Text: "gauge.zip"}})
	fmt.Fprintf(&b, "%+v\n", s)
	return b.String()
}

// FuzzRead: whatever the files of a board are called and hold, they are read without a panic; what is
// said of them does not depend on the number of workers; and of a board that is made of them no file was
// dropped in silence.
func FuzzRead(f *testing.F) {
	f.Add(gaugeBoard)
	f.Add("-- a.gtl --\n%FSLAX33Y33*%%MOMM*%M02*\n-- a.gko --\nX0Y0D02*\n-- a.drl --\nM48\n%\nX1Y1\n")
	f.Add("-- ../a.gtl --\nG04*\n")
	f.Add("-- a.gm1 --\n%FSLAX33Y33*%%MOMM*%G36*X0Y0D02*X9000D01*Y9000D01*X0Y0D01*G37*M02*\n-- a.gtl --\n%FSLAX33Y33*%%MOMM*%M02*\n-- a.gbl --\n%FSLAX33Y33*%%MOMM*%M02*\n")
	f.Fuzz(func(t *testing.T, text string) {
		if len(text) > 1<<16 {
			t.Skip()
		}
		data := zipped(text)
		r, err := readHeld(t, data, 1)
		one := said(r, err)
		if two := said(readHeld(t, data, 4)); one != two {
			t.Fatalf("one worker says\n%s\nfour say\n%s", one, two)
		}
		if err != nil {
			return
		}
		if (len(r.Problems) == 0) != (r.Board != nil) {
			t.Fatalf("%d problems, board %v", len(r.Problems), r.Board != nil)
		}
		for _, p := range r.Problems {
			if strings.TrimSpace(p.Error()) == "" {
				t.Fatal("a problem that says nothing")
			}
		}
		if r.Board == nil {
			return
		}
		for _, s := range r.Board.Sources {
			if (s.Use == "") == (s.Ignored == "") {
				t.Fatalf("%s: used for %q, ignored because %q", s.Name, s.Use, s.Ignored)
			}
		}
	})
}

// The seed of the fuzz target is a board, so that what it finds is not only refusals.
func TestHeldBoardIsRead(t *testing.T) {
	r, err := readHeld(t, zipped(gaugeBoard), 1)
	require.NoError(t, err)
	require.Empty(t, r.Problems)
	require.Len(t, r.Files, 9)
	require.Len(t, r.Board.Layers, 3)
	require.Len(t, r.Board.Drills, 1)
	require.Len(t, r.Board.Parts, 1)
	require.NotNil(t, r.Board.Netlist)
}
