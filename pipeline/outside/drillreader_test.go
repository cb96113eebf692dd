package outside

import (
	"bytes"
	"cmp"
	"context"
	"encoding/json"
	"fmt"
	"math"
	"os"
	"os/exec"
	"path/filepath"
	"slices"
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"panelwright/pipeline/internal/shared"
)

// drillRead is what the second reader understands of one drill or rout file, in mm.
type drillRead struct {
	File     string
	Warnings []string
	Holes    []hole
	Slots    []slot
}

type hole struct{ D, X, Y float64 }

type slot struct {
	D, X1, Y1, X2, Y2 float64
	How               string   // "i" straight, "cw", "ccw"
	I, J, A           *float64 // an arc's words
}

// root gives the folder that holds go.mod.
func root(t *testing.T) string {
	t.Helper()
	dir, err := os.Getwd()
	require.NoError(t, err)
	for {
		if _, err := os.Stat(filepath.Join(dir, "go.mod")); err == nil {
			return dir
		}
		up := filepath.Dir(dir)
		require.NotEqual(t, dir, up, "no go.mod above the test")
		dir = up
	}
}

// secondReader reads the files with the reader in testdata/outside.
func secondReader(t *testing.T, files ...string) []drillRead {
	t.Helper()
	dir := filepath.Join(root(t), "testdata", "outside")
	node, err := exec.LookPath("node")
	if err != nil {
		shared.Missing(t, "node, which runs the second drill reader, is not here")
	}
	if _, err := os.Stat(filepath.Join(dir, "node_modules", "gerber-parser")); err != nil {
		shared.Missing(t, "the second drill reader is not here: run npm ci in testdata/outside")
	}
	ctx, stop := context.WithTimeout(context.Background(), 2*time.Minute)
	defer stop()
	cmd := exec.CommandContext(ctx, node, append([]string{filepath.Join(dir, "read-slots.mjs")}, files...)...)
	var out, said bytes.Buffer
	cmd.Stdout, cmd.Stderr = &out, &said
	require.NoError(t, cmd.Run(), said.String())
	var got []drillRead
	require.NoError(t, json.Unmarshal(out.Bytes(), &got))
	require.Len(t, got, len(files))
	for _, r := range got {
		for _, h := range r.Holes {
			require.True(t, h.D > 0, "%s: a hole without a diameter", r.File)
		}
		for _, s := range r.Slots {
			require.True(t, s.D > 0, "%s: a slot without a diameter", r.File)
		}
	}
	return got
}

// on gives the point of a board where it lies on the panel.
func (p place) on(x, y float64) (float64, float64) {
	for range p.quarters & 3 {
		x, y = -y, x
	}
	return x + float64(p.x)/1e6, y + float64(p.y)/1e6
}

// tuple is a hole or a slot as numbers that must all agree.
type tuple [5]float64

const micrometre = 0.001 + 1e-9 // mm; the second part for binary fractions

// pairUp takes every tuple of want out of have, where one lies within 1 µm in each number, and gives
// those of want that have none and those of have that are left.
func pairUp(want, have []tuple) (missing, left []tuple) {
	order := func(a, b tuple) int { return slices.Compare(a[:], b[:]) }
	left = slices.Clone(have)
	slices.SortFunc(left, order)
	taken := make([]bool, len(left))
	for _, w := range want {
		from, _ := slices.BinarySearchFunc(left, w[0]-micrometre, func(t tuple, x float64) int { return cmp.Compare(t[0], x) })
		found := false
		for i := from; i < len(left) && left[i][0] <= w[0]+micrometre && !found; i++ {
			if taken[i] {
				continue
			}
			near := true
			for k := range w {
				near = near && math.Abs(w[k]-left[i][k]) <= micrometre
			}
			if near {
				taken[i], found = true, true
			}
		}
		if !found {
			missing = append(missing, w)
		}
	}
	var rest []tuple
	for i, x := range left {
		if !taken[i] {
			rest = append(rest, x)
		}
	}
	return missing, rest
}

// drillDifferences holds the panel's drill files against the source's, copy by copy: every slot and
// hole of the source must be there once for every copy, within 1 µm, with its tool's diameter. Of the
// panel's own there may be no slots in these files, and holes only outside the copies' outline boxes.
func drillDifferences(b board, source, panel []drillRead) (problems []string, slots, holes int) {
	var wantSlots, haveSlots, wantHoles, haveHoles []tuple
	collect := func(reads []drillRead, p place, slots, holes *[]tuple) {
		for _, r := range reads {
			for _, s := range r.Slots {
				if s.How != "i" {
					problems = append(problems, fmt.Sprintf("%s: a slot that is no straight line, which this check does not judge", r.File))
				}
				x1, y1 := p.on(s.X1, s.Y1)
				x2, y2 := p.on(s.X2, s.Y2)
				*slots = append(*slots, tuple{x1, y1, x2, y2, s.D})
			}
			for _, h := range r.Holes {
				x, y := p.on(h.X, h.Y)
				*holes = append(*holes, tuple{x, y, h.D})
			}
		}
	}
	for _, p := range b.copies {
		collect(source, p, &wantSlots, &wantHoles)
	}
	collect(panel, place{}, &haveSlots, &haveHoles)
	missing, left := pairUp(wantSlots, haveSlots)
	for _, s := range missing {
		problems = append(problems, fmt.Sprintf("no slot from %.4f, %.4f to %.4f, %.4f mm with diameter %.4f", s[0], s[1], s[2], s[3], s[4]))
	}
	for _, s := range left {
		problems = append(problems, fmt.Sprintf("an unknown slot from %.4f, %.4f to %.4f, %.4f mm with diameter %.4f", s[0], s[1], s[2], s[3], s[4]))
	}
	missing, left = pairUp(wantHoles, haveHoles)
	for _, h := range missing {
		problems = append(problems, fmt.Sprintf("no hole at %.4f, %.4f mm with diameter %.4f", h[0], h[1], h[2]))
	}
	for _, h := range left {
		for id, p := range b.copies {
			if x := p.box(b.outline); h[0]*1e6 > float64(x.x0) && h[0]*1e6 < float64(x.x1) && h[1]*1e6 > float64(x.y0) && h[1]*1e6 < float64(x.y1) {
				problems = append(problems, fmt.Sprintf("an unknown hole at %.4f, %.4f mm with diameter %.4f within copy %s", h[0], h[1], h[2], id))
			}
		}
	}
	slices.Sort(problems)
	return problems, len(wantSlots), len(wantHoles)
}

// box gives where a board's box lies on the panel.
func (p place) box(b boxNM) boxNM {
	for range p.quarters & 3 {
		b = boxNM{-b.y1, b.x0, -b.y0, b.x1}
	}
	return boxNM{b.x0 + p.x, b.y0 + p.y, b.x1 + p.x, b.y1 + p.y}
}

// TestSecondReaderReadsEverySlot: on the open boards, the reader finds as many slots as the files'
// text has, counted by what begins one (G85, or M15), so that a slot that it drops is noticed.
func TestSecondReaderReadsEverySlot(t *testing.T) {
	boards := shared.Dir(t, "boards")
	total := 0
	for _, name := range drillFiles(t, boards) {
		text, err := os.ReadFile(name)
		require.NoError(t, err)
		want := bytes.Count(text, []byte("G85")) + bytes.Count(text, []byte("M15"))
		if want == 0 {
			continue
		}
		got := secondReader(t, name)[0]
		require.Len(t, got.Slots, want, name)
		total += want
	}
	require.Equal(t, 145+34+4+6, total, "slots on the open boards, counted in their files")
	shared.Ran(t, "second drill reader: every slot of the open boards")
}

// drillFiles gives the open boards' drill files: those that begin as such files do.
func drillFiles(t *testing.T, boards string) []string {
	t.Helper()
	names, err := filepath.Glob(filepath.Join(boards, "*", "*"))
	require.NoError(t, err)
	var out []string
	for _, name := range names {
		text, err := os.ReadFile(name)
		require.NoError(t, err)
		if head := text[:min(len(text), 400)]; bytes.HasPrefix(head, []byte("M48")) || bytes.Contains(head, []byte("\nM48")) {
			out = append(out, name)
		}
	}
	require.Len(t, out, 19, "drill files of the open boards")
	return out
}

// TestDrillDifferences: both kinds of slots are told from each other's faults; the reader answers
// for both and goes back to drilling after a routed slot.
func TestDrillDifferences(t *testing.T) {
	source := write(t, "source.drl", "M48\nFMAT,2\nINCH,TZ\nT1C0.0354\nT2C0.0200\n%\nG90\nG05\nT1\nX1.0Y-2.0G85X1.1Y-2.0\nT2\nX1.5Y-2.25\nT0\nM30\n")
	b := board{boxNM{20_000_000, -60_000_000, 50_000_000, -40_000_000}, map[string]place{
		"A1": {-15_000_000, 65_000_000, 0}, "B1": {70_000_000, 20_000_000, 2}, "C1": {40_000_000, -10_000_000, 1},
	}}
	for name, c := range map[string]struct {
		body string
		want []string
	}{
		"routed, a hole after the slots": {
			"T1\nG00X10.4Y14.2\nM15\nG01X12.94Y14.2\nM16\nG05\nG00X44.6Y70.8\nM15\nG01X42.06Y70.8\nM16\nG05\nG00X90.8Y15.4\nM15\nG01X90.8Y17.94\nM16\nG05\n" +
				"T2\nX23.1Y7.85\nX31.9Y77.15\nX97.15Y28.1\nX1.0Y1.0\n", nil},
		"canned": {"T1\nX10.4Y14.2G85X12.94Y14.2\nX44.6Y70.8G85X42.06Y70.8\nX90.8Y15.4G85X90.8Y17.94\nT2\nX23.1Y7.85\nX31.9Y77.15\nX97.15Y28.1\n", nil},
		"faults": {"T1\nX10.4Y14.2G85X12.942Y14.2\nX44.6Y70.8G85X42.06Y70.8\nT2\nX90.8Y15.4G85X90.8Y17.94\nX23.1Y7.85\nX31.9Y77.15\nX30.0Y7.0\n", []string{
			"an unknown hole at 30.0000, 7.0000 mm with diameter 0.5080 within copy A1",
			"an unknown slot from 10.4000, 14.2000 to 12.9420, 14.2000 mm with diameter 0.8992",
			"an unknown slot from 90.8000, 15.4000 to 90.8000, 17.9400 mm with diameter 0.5080",
			"no hole at 97.1500, 28.1000 mm with diameter 0.5080",
			"no slot from 10.4000, 14.2000 to 12.9400, 14.2000 mm with diameter 0.8992",
			"no slot from 90.8000, 15.4000 to 90.8000, 17.9400 mm with diameter 0.8992",
		}},
	} {
		t.Run(name, func(t *testing.T) {
			panel := write(t, "panel.drl", "M48\nMETRIC\nT1C0.89916\nT2C0.508\n%\nG90\nG05\n"+c.body+"M30\n")
			got := secondReader(t, source, panel)
			problems, slots, holes := drillDifferences(b, got[:1], got[1:])
			require.Equal(t, c.want, problems)
			require.Equal(t, []int{3, 3}, []int{slots, holes})
			shared.Ran(t, "second drill reader: "+name)
		})
	}
}
