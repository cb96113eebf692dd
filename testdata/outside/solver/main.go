// Command solver holds package pipeline/mechanics/sparse against the direct solver for large symmetric systems that is kept among
// Go's libraries: gonum's Cholesky of a band matrix, with the unknowns in reversed Cuthill–McKee order. Both solve the same plates in one
// run on one core; of each part of the work the least processor time of some runs counts.
//
// It is a module of its own, so that the program needs nothing of what it is held against.
package main

import (
	"context"
	"fmt"
	"log"
	"math"
	"os"
	"runtime"
	"strings"
	"syscall"
	"time"

	"gonum.org/v1/gonum/mat"

	"panelwright/pipeline/mechanics/sparse"
)

func main() {
	runtime.GOMAXPROCS(1)
	log.SetFlags(0)
	fmt.Printf("%s %s/%s, %s\n", runtime.Version(), runtime.GOOS, runtime.GOARCH, processor())
	fmt.Println("Milliseconds of one core, the least of 5 runs. Ratio: how many times more the band takes. Difference: the greatest of deflections, as a share of the greatest one.")
	fmt.Println()
	fmt.Println("| system | unknowns | | order, analysis | factor | one solution | together | numbers held |")
	fmt.Println("|---|---|---|---|---|---|---|---|")
	for _, p := range []plate{
		square("square plate", 40, 40),
		square("square plate", 100, 99),
		square("strip", 400, 24),
		boards("12 boards on tabs", 4, 3, 25, 22, 2),
	} {
		compare(p)
	}
}

func compare(p plate) {
	k := p.stiffness()
	load := make([]float64, k.N)
	for i, u := range p.unknown {
		if u >= 0 && i%3 == 0 {
			load[u] = 1e-3
		}
	}

	var own, band times
	var x, y []float64
	for range 5 {
		x = own.sparse(p, k, load)
		y = band.band(p, k, load)
	}
	ratio := func(a, b time.Duration) string { return fmt.Sprintf("%.1f", float64(a)/float64(b)) }
	row := func(name, unknowns, what string, order, factor, solve, all, size string) {
		fmt.Printf("| %s | %s | %s | %s | %s | %s | %s | %s |\n", name, unknowns, what, order, factor, solve, all, size)
	}
	ms := func(d time.Duration) string { return fmt.Sprintf("%.1f", float64(d)/1e6) }
	row(p.name, fmt.Sprint(k.N), "sparse", ms(own.order), ms(own.factor), ms(own.solve), ms(own.sum()), fmt.Sprintf("%.2f M", float64(own.held)/1e6))
	row("", "", "band", ms(band.order), ms(band.factor), ms(band.solve), ms(band.sum()), fmt.Sprintf("%.2f M", float64(band.held)/1e6))
	row("", "", "ratio", ratio(band.order, own.order), ratio(band.factor, own.factor), ratio(band.solve, own.solve), ratio(band.sum(), own.sum()),
		fmt.Sprintf("%.1f; difference %.1e", float64(band.held)/float64(own.held), difference(p, x, y)))
}

// times are the least ones of the parts of a solution.
type times struct {
	order, factor, solve time.Duration
	held                 int
}

func (t *times) sum() time.Duration { return t.order + t.factor + t.solve }

func take(least *time.Duration, do func()) {
	runtime.GC()
	start := spent()
	do()
	if d := spent() - start; *least == 0 || d < *least {
		*least = d
	}
}

// spent is the processor time of this process so far: unlike the clock it does not count what others do meanwhile.
func spent() time.Duration {
	var r syscall.Rusage
	if err := syscall.Getrusage(syscall.RUSAGE_SELF, &r); err != nil {
		log.Fatal(err)
	}
	return time.Duration(r.Utime.Nano() + r.Stime.Nano())
}

func (t *times) sparse(p plate, k *sparse.Matrix, load []float64) []float64 {
	var plan *sparse.Plan
	take(&t.order, func() { plan = sparse.NewPlan(k, sparse.Order(k, p.x, p.y)) })
	var f *sparse.Factor
	take(&t.factor, func() {
		var err error
		if f, err = plan.Factor(context.Background(), k, 1); err != nil {
			log.Fatal(err)
		}
	})
	x := append([]float64(nil), load...)
	take(&t.solve, func() { f.Solve(x) })
	t.held = plan.Entries()
	return x
}

func (t *times) band(p plate, k *sparse.Matrix, load []float64) []float64 {
	var place []int32
	take(&t.order, func() { place = p.reversedCuthillMcKee() })
	width := 0
	for c := range k.N {
		for _, r := range k.Row[k.Ptr[c]:k.Ptr[c+1]] {
			width = max(width, int(max(place[r]-place[c], place[c]-place[r])))
		}
	}
	var f mat.BandCholesky
	take(&t.factor, func() {
		b := mat.NewSymBandDense(k.N, width, nil)
		for c := range k.N {
			for e := k.Ptr[c]; e < k.Ptr[c+1]; e++ {
				b.SetSymBand(int(place[k.Row[e]]), int(place[c]), k.Val[e])
			}
		}
		if !f.Factorize(b) {
			log.Fatal("the band's Cholesky factorization says that the matrix is not positive definite")
		}
	})
	b := make([]float64, k.N)
	for u, at := range place {
		b[at] = load[u]
	}
	var v mat.VecDense
	take(&t.solve, func() {
		if err := f.SolveVecTo(&v, mat.NewVecDense(k.N, b)); err != nil {
			log.Print(err) // the condition is bad, as that of plates is
		}
	})
	x := make([]float64, k.N)
	for u, at := range place {
		x[u] = v.AtVec(int(at))
	}
	t.held = k.N * (width + 1)
	return x
}

// difference is the greatest between two solutions' deflections, as a share of the greatest deflection.
func difference(p plate, x, y []float64) float64 {
	most, apart := 0.0, 0.0
	for i, u := range p.unknown {
		if u >= 0 && i%3 == 0 {
			most, apart = math.Max(most, math.Abs(x[u])), math.Max(apart, math.Abs(x[u]-y[u]))
		}
	}
	return apart / most
}

func processor() string {
	b, _ := os.ReadFile("/proc/cpuinfo")
	for l := range strings.Lines(string(b)) {
		if name, ok := strings.CutPrefix(l, "model name"); ok {
			return strings.Trim(name, "\t :\n")
		}
	}
	return "processor unknown"
}
