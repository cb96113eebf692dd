// Package kernel holds the geometry kernel against other libraries: GEOS 3.11 (Debian's
// python3-shapely) and libpolyclipping 6.4.2 (Debian's libpolyclipping-dev), on the same polygons.
package kernel

import (
	"bytes"
	"context"
	"encoding/binary"
	"fmt"
	"io"
	"math"
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"sync"
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"panelwright/pipeline/geom"
	"panelwright/pipeline/geom/offset"
	"panelwright/pipeline/geom/overlay"
	"panelwright/pipeline/internal/shared"
)

// An operation is what a job asks for.
type operation int64

const (
	union        operation = iota // of a
	intersection                  // of a and b
	difference                    // of a and b
	symmetric                     // difference
	buffer                        // of a by d
	sequence                      // a minus each of b, one after another
	opening                       // what a disc of radius d reaches of a; of GEOS only
	distance                      // from a to b, in place of the area; of GEOS only
)

// A job is one question for all sides: polygons of straight edges in whole nanometres.
type job struct {
	name  string
	op    operation
	a, b  geom.Region
	apart bool // whether the outlines of b neither touch nor overlap, so that they may go in as one
	d     geom.Length
	join  offset.Join
	chord geom.Length // how far chords may stray from round joins
	reps  int         // how often to measure; the best counts
	bound float64     // nm²: what does not matter
	named float64     // nm²: a greater difference that GEOS is allowed here, with the reason beside it
	ours  geom.Region
}

// An answer is what came out.
type answer struct {
	ms                      float64
	area                    float64 // nm²
	pieces, holes           int
	smallPieces, smallHoles int     // smaller than the bound
	differs                 float64 // nm²: area of the symmetric difference from ours; negative if not asked for
}

// length is the length of all edges that a job starts from, in nm.
func (j *job) length() float64 { return j.a.Perimeter() + j.b.Perimeter() }

// encode writes jobs as rows of numbers: their number, then for each: operation, apart, repetitions,
// distance, join (0 round, 1 mitre), chord error, bound, whether to compare with ours; then the
// polygons of a, b and ours: their number, for each its number of rings, for each its number of
// corners, then their coordinates.
func encode(w io.Writer, jobs []job) error {
	var row []int64
	flag := func(b bool) int64 {
		if b {
			return 1
		}
		return 0
	}
	put := func(r geom.Region) {
		row = append(row, int64(len(r)))
		for _, o := range r {
			row = append(row, int64(1+len(o.CutOuts)))
			for _, p := range (geom.Region{o}).Paths() {
				row = append(row, int64(len(p)))
				for _, e := range p {
					row = append(row, int64(e.From.X), int64(e.From.Y))
				}
			}
		}
	}
	row = append(row, int64(len(jobs)))
	for _, j := range jobs {
		row = append(row, int64(j.op), flag(j.apart), int64(max(1, j.reps)), int64(j.d), int64(j.join), int64(j.chord), int64(j.bound), flag(j.ours != nil))
		put(j.a)
		put(j.b)
		put(j.ours)
	}
	return binary.Write(w, binary.LittleEndian, row)
}

// ask lets a program answer jobs.
func ask(t testing.TB, jobs []job, command ...string) []answer {
	t.Helper()
	var in bytes.Buffer
	require.NoError(t, encode(&in, jobs))
	ctx, cancel := context.WithTimeout(t.Context(), 2*time.Minute)
	defer cancel()
	cmd := exec.CommandContext(ctx, command[0], command[1:]...)
	cmd.Stdin = &in
	var stderr bytes.Buffer
	cmd.Stderr = &stderr
	out, err := cmd.Output()
	require.NoError(t, err, "%s", stderr.String())
	lines := strings.Split(strings.TrimSpace(string(out)), "\n")
	require.Len(t, lines, len(jobs))
	answers := make([]answer, len(jobs))
	for i, l := range lines {
		a := &answers[i]
		_, err := fmt.Sscan(l, &a.ms, &a.area, &a.pieces, &a.holes, &a.smallPieces, &a.smallHoles, &a.differs)
		require.NoError(t, err, l)
	}
	return answers
}

const python = "/usr/bin/python3"

func sources() string { return filepath.Join("..", "..", "..", "testdata", "outside", "kernel") }

// geos answers with GEOS.
func geos(t testing.TB, jobs []job) []answer {
	t.Helper()
	if err := exec.Command(python, "-c", "import shapely.geometry").Run(); err != nil {
		shared.Missing(t, "shapely is not here: install the Debian package python3-shapely")
	}
	return ask(t, jobs, python, filepath.Join(sources(), "geos.py"))
}

var compiled struct {
	sync.Once
	dir, program string
	err          error
}

func TestMain(m *testing.M) {
	code := m.Run()
	os.RemoveAll(compiled.dir)
	os.Exit(code)
}

// polyclipping answers with libpolyclipping.
func polyclipping(t testing.TB, jobs []job) []answer {
	t.Helper()
	compiled.Do(func() {
		if compiled.dir, compiled.err = os.MkdirTemp("", "polyclipping"); compiled.err != nil {
			return
		}
		compiled.program = filepath.Join(compiled.dir, "polyclipping")
		if out, err := exec.Command("g++", "-O2", "-o", compiled.program, filepath.Join(sources(), "polyclipping.cpp"), "-lpolyclipping").CombinedOutput(); err != nil {
			compiled.err = fmt.Errorf("%w: %s", err, out)
		}
	})
	if compiled.err != nil {
		shared.Missing(t, "libpolyclipping is not here: install the Debian packages g++ and libpolyclipping-dev ("+compiled.err.Error()+")")
	}
	return ask(t, jobs, compiled.program)
}

// operand is a region as one operand.
func operand(r geom.Region) overlay.Operand { return overlay.Of(r...) }

// answerOf does a job with our kernel.
func answerOf(t testing.TB, j *job) geom.Region {
	t.Helper()
	r, err := solve(t, j)
	require.NoError(t, err, j.name)
	return r
}

func solve(t testing.TB, j *job) (geom.Region, error) {
	ctx := t.Context()
	one := overlay.Options{Workers: 1}
	switch j.op {
	case union:
		return overlay.Union(ctx, one, operand(j.a))
	case intersection:
		return overlay.Intersection(ctx, one, operand(j.a), operand(j.b))
	case difference:
		return overlay.Difference(ctx, one, operand(j.a), operand(j.b))
	case symmetric:
		return overlay.SymmetricDifference(ctx, one, operand(j.a), operand(j.b))
	case buffer:
		return offset.By(ctx, j.a, j.d, offset.Options{Join: j.join, MitreLimit: 1000, Overlay: overlay.Options{ChordError: j.chord, Workers: 1}})
	}
	r := j.a
	for _, o := range j.b {
		var err error
		if r, err = overlay.Difference(ctx, one, operand(r), overlay.Of(o)); err != nil {
			return nil, err
		}
	}
	return r, nil
}

// measure says of a region what the others say of theirs.
func measure(r geom.Region, bound float64) answer {
	a := answer{area: r.Area(), pieces: len(r), differs: -1}
	for _, o := range r {
		if o.Outer.Area() < bound {
			a.smallPieces++
		}
		a.holes += len(o.CutOuts)
		for _, c := range o.CutOuts {
			if math.Abs(c.Area()) < bound {
				a.smallHoles++
			}
		}
	}
	return a
}

// A listener is told what does not agree: a test, or what tests that a difference would be told.
type listener interface {
	require.TestingT
	Helper()
	Logf(format string, args ...any)
}

// agree holds an answer against ours: areas within the length of all edges times a nanometre, pieces
// and cut-outs alike in number but for those smaller than that, which are listed.
func agree(t listener, who string, j *job, ours, theirs answer) {
	t.Helper()
	bound := j.bound
	if who == "GEOS" && j.named > 0 {
		bound = j.named
	}
	require.InDelta(t, theirs.area, ours.area, bound, "%s: area, against %s", j.name, who)
	require.Equal(t, theirs.pieces-theirs.smallPieces, ours.pieces-ours.smallPieces, "%s: pieces, against %s", j.name, who)
	require.Equal(t, theirs.holes-theirs.smallHoles, ours.holes-ours.smallHoles, "%s: cut-outs, against %s", j.name, who)
	if theirs.differs >= 0 {
		require.LessOrEqual(t, theirs.differs, j.bound, "%s: symmetric difference, against %s", j.name, who)
	}
	if ours.pieces != theirs.pieces || ours.holes != theirs.holes {
		t.Logf("%s: %d pieces and %d cut-outs, %s has %d and %d; below the bound of %.3g µm²: %d and %d of ours, %d and %d of theirs",
			j.name, ours.pieces, ours.holes, who, theirs.pieces, theirs.holes, j.bound/1e6, ours.smallPieces, ours.smallHoles, theirs.smallPieces, theirs.smallHoles)
	}
}

// hold does jobs on all sides and compares.
func hold(t *testing.T, jobs []job, compare bool) {
	t.Helper()
	ours := make([]answer, len(jobs))
	for i := range jobs {
		j := &jobs[i]
		if j.bound == 0 {
			j.bound = j.length()
		}
		r := answerOf(t, j)
		ours[i] = measure(r, j.bound)
		if compare {
			j.ours = r
		}
	}
	g, p := geos(t, jobs), polyclipping(t, jobs)
	worst := 0.0
	for i := range jobs {
		agree(t, "GEOS", &jobs[i], ours[i], g[i])
		agree(t, "libpolyclipping", &jobs[i], ours[i], p[i])
		if jobs[i].bound == 0 { // nothing in it
			continue
		}
		worst = max(worst, math.Abs(ours[i].area-g[i].area)/max(jobs[i].bound, jobs[i].named), math.Abs(ours[i].area-p[i].area)/jobs[i].bound)
	}
	t.Logf("%d jobs; the greatest difference of areas is %.2g of the bound", len(jobs), worst)
	shared.Ran(t, "kernel against GEOS: "+t.Name())
	shared.Ran(t, "kernel against libpolyclipping: "+t.Name())
}
