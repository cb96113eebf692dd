package kernel

import (
	"fmt"
	"math"
	"os"
	"runtime"
	"runtime/metrics"
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"panelwright/pipeline/geom"
	"panelwright/pipeline/geom/offset"
)

// BenchmarkKernel prints a table of the kernel against GEOS and libpolyclipping, measured in one run on
// the same polygons, side by side, the best of several each; the others measure themselves, without the
// time for reading and writing. Then it prints how time and memory grow with the number of edges.
//
// Ours is held to one goroutine, as the others are.
//
// Targets: overlays no slower than GEOS, the union of 20,000 shapes at most 0.6 of it, offsets at most
// twice as slow; libpolyclipping's ratio is told, with an aim of 3.
func BenchmarkKernel(b *testing.B) {
	for b.Loop() {
	}
	b.ReportMetric(0, "ns/op")
	ratios(b)
	growth(b)
}

func ratios(b *testing.B) {
	spaced, list := boards(2e6, 0, 0)
	_, abutting := boards(0, 0, 0)
	turned, jittered := boards(0, 0.3, 1)
	rows := []struct {
		job
		target float64
	}{
		{job{name: "panel minus 200 boards, spaced", op: difference, a: spaced, b: list, apart: true}, 1},
		{job{name: "panel minus 200 boards, abutting", op: difference, a: spaced, b: abutting}, 1},
		{job{name: "panel minus 200 boards, turned, ±1 nm", op: difference, a: turned, b: jittered}, 1},
		{job{name: "spaced, as 200 calls", op: sequence, a: spaced, b: list}, 1},
		{job{name: "union of 20,000 shapes", op: union, a: scattered(20000)}, 0.6},
		{job{name: "2,000 corners by +1 mm, round", op: buffer, a: blob(2000), d: geom.MM, chord: 1000}, 2},
		{job{name: "2,000 corners by −1 mm, round", op: buffer, a: blob(2000), d: -geom.MM, chord: 1000}, 2},
		{job{name: "star of 1,000 points by +1 mm, round", op: buffer, a: geom.Region{star(0, 0, 1000, 47e6, 50e6)}, d: geom.MM, chord: 1000}, 2},
		{job{name: "comb of 200 teeth by −0.05 mm, mitre", op: buffer, a: geom.Region{comb(0, 0, 200, 3e5, 2e7, 0.3)}, d: -50 * geom.UM, join: offset.Mitre, chord: 1000}, 2},
	}
	out := os.Stdout
	fmt.Fprintf(out, "\n%-40s %9s %9s %9s %9s %9s %9s %9s\n", "best of each, ms", "ours", "GEOS", "polyclip.", "ours/GEOS", "target", "ours/pol.", "B/edge")
	for _, r := range rows {
		j := r.job
		// Side by side, in turn: whatever else the machine does strikes all.
		mine, g, p := math.Inf(1), math.Inf(1), math.Inf(1)
		reps := 3
		if r.op == sequence || len(r.a) > 10000 {
			reps = 2
		}
		j.reps = reps
		var bytes float64
		for range 3 {
			for range reps {
				ms, alloc := timed2(b, &j)
				mine, bytes = min(mine, ms), alloc
			}
			g = min(g, geos(b, []job{j})[0].ms)
			p = min(p, polyclipping(b, []job{j})[0].ms)
		}
		fmt.Fprintf(out, "%-40s %9.2f %9.2f %9.2f %9.2f %9.1f %9.2f %9.0f\n", j.name, mine, g, p, mine/g, r.target, mine/p, bytes/edges(&j))
	}
}

func edges(j *job) float64 {
	n := 0
	for _, p := range append(j.a.Paths(), j.b.Paths()...) {
		n += len(p)
	}
	return float64(n)
}

// timed gives the milliseconds that a job takes and the bytes that it allocates.
func timed2(b testing.TB, j *job) (ms, bytes float64) {
	runtime.GC()
	var before, after runtime.MemStats
	runtime.ReadMemStats(&before)
	begin := time.Now()
	_, err := solve(b, j)
	ms = float64(time.Since(begin).Microseconds()) / 1000
	require.NoError(b, err)
	runtime.ReadMemStats(&after)
	return ms, float64(after.TotalAlloc - before.TotalAlloc)
}

// growth prints time and memory for ten times as many edges again and again: shapes on an area that
// grows with their number, and one outline with ever more corners.
func growth(b *testing.B) {
	fmt.Fprintf(os.Stdout, "\n%-28s %10s %10s %10s %14s %12s %12s\n", "growth", "edges", "ms", "ns/edge", "ns/edge·log2 n", "B/edge made", "B/edge peak")
	for _, family := range []struct {
		name string
		make func(n int) geom.Region
	}{
		{"union of scattered shapes", func(n int) geom.Region { return scattered(n / 34) }},
		{"one outline, normalised", blob},
		{"panel minus boards", nil},
	} {
		for _, n := range []int{1e3, 1e4, 1e5, 1e6} {
			j := job{op: union}
			if family.make != nil {
				j.a = family.make(n)
			} else {
				j.op, j.apart = difference, true
				j.a, j.b = rows(n / 100)
			}
			ms, bytes := math.Inf(1), 0.0
			for range 3 {
				t, alloc := timed2(b, &j)
				ms, bytes = min(ms, t), alloc
			}
			e := edges(&j)
			fmt.Fprintf(os.Stdout, "%-28s %10.0f %10.2f %10.0f %14.1f %12.0f %12.0f\n", family.name, e, ms, ms*1e6/e, ms*1e6/e/math.Log2(e), bytes/e, peak(b, &j)/e)
		}
	}
}

// rows are n boards of 100 corners each on a panel as large as that takes.
func rows(n int) (panel, list geom.Region) {
	side := int(math.Ceil(math.Sqrt(float64(n))))
	pitch := min(20e6, 1.9e9/float64(side+1))
	for i := range n {
		x, y := -9.5e8+pitch*float64(i%side+1), -9.5e8+pitch*float64(i/side+1)
		list = append(list, geom.Outline{Outer: disc(x, y, 0.45*pitch, 100)})
	}
	size := pitch * float64(side+1)
	return geom.Region{{Outer: polygon([]geom.Point{at(-9.5e8, -9.5e8), at(-9.5e8+size, -9.5e8), at(-9.5e8+size, -9.5e8+size), at(-9.5e8, -9.5e8+size)})}}, list
}

// peak gives how many bytes of the heap a job takes up at once beyond what was there before, collected
// as it goes.
func peak(b *testing.B, j *job) float64 {
	runtime.GC()
	sample := []metrics.Sample{{Name: "/memory/classes/heap/objects:bytes"}}
	read := func() float64 { metrics.Read(sample); return float64(sample[0].Value.Uint64()) }
	base, most := read(), 0.0
	done := make(chan error)
	go func() {
		_, err := solve(b, j)
		done <- err
	}()
	for {
		select {
		case err := <-done:
			require.NoError(b, err)
			return max(most, read()) - base
		default:
			most = max(most, read())
			time.Sleep(100 * time.Microsecond)
		}
	}
}
