package overlay

import (
	"os"
	"os/exec"
	"regexp"
	"slices"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// exact are functions of package math whose result the IEEE 754 standard leaves no choice about, or
// that only move bits: the same everywhere. All others are approximations in which the compiler fuses
// products with sums on some processors.
var exact = []string{"Abs", "Ceil", "Copysign", "Float64bits", "Float64frombits", "Floor", "Frexp", "Inf", "IsInf", "IsNaN",
	"Ldexp", "Max", "Min", "Mod", "Modf", "NaN", "Remainder", "Round", "RoundToEven", "Signbit", "Sqrt", "Trunc",
	"abs", "archCeil", "archFloor", "archMax", "archMin", "archModf", "archTrunc", "ceil", "floor", "frexp", "ldexp", "max", "min", "mod", "modf", "remainder", "sqrt", "trunc"}

// Coordinates must be the same on every processor. Go may round a product and a sum once instead of
// twice where the processor can do both at a stroke ("An implementation may combine multiple
// floating-point operations into a single fused operation", The Go Programming Language Specification,
// Floating-point operators), as it does on arm64 and not on amd64. So the geometry packages are compiled
// for arm64, and no such instruction may be in them.
func TestNoFusedProducts(t *testing.T) {
	cmd := exec.CommandContext(t.Context(), "go", "build", "-trimpath", "-gcflags=-S", "panelwright/pipeline/geom/...")
	cmd.Env = append(os.Environ(), "GOARCH=arm64", "CGO_ENABLED=0", "GOFLAGS=")
	if _, err := exec.LookPath("go"); err != nil {
		t.Skip("there is no go command here")
	}
	out, err := cmd.CombinedOutput()
	require.NoError(t, err, "%.2000s", out)
	fused, calls, products := judgeAssembly(string(out))
	require.Greater(t, products, 100, "this is not the assembly of the geometry packages")
	assert.Empty(t, fused, "products fused with sums on arm64: write float64(a*b) + c")
	assert.Empty(t, calls, "approximations of package math, which differ from one processor to another: geom has SinCos and Atan2")
}

var (
	instruction = regexp.MustCompile(`\(([^()]*\.go:\d+)\)\t([A-Z0-9]+)\t(.*)`)
	mathCall    = regexp.MustCompile(`\bmath\.([A-Za-z0-9]+)\(SB\)`)
)

// judgeAssembly lists the places of fused instructions and of calls of approximations, and counts
// plain products.
func judgeAssembly(s string) (fused, calls []string, products int) {
	for line := range strings.Lines(s) {
		m := instruction.FindStringSubmatch(line)
		if m == nil {
			continue
		}
		place := m[1]
		if i := strings.Index(place, "pipeline/geom/"); i >= 0 {
			place = place[i:]
		} else if i := strings.LastIndex(place, "/"); i >= 0 { // what was inlined
			place = place[i+1:]
		}
		switch op := m[2]; {
		case strings.HasPrefix(op, "FM") && strings.Contains(op, "ADD"), strings.HasPrefix(op, "FM") && strings.Contains(op, "SUB"),
			strings.HasPrefix(op, "FNM") && (strings.Contains(op, "ADD") || strings.Contains(op, "SUB")):
			if strings.HasPrefix(place, "pipeline/geom/") { // the R-tree's own do not matter: see geom.Index
				fused = append(fused, place)
			}
		case op == "FMULD":
			products++
		case op == "CALL" || op == "JMP":
			if c := mathCall.FindStringSubmatch(m[3]); c != nil && !slices.Contains(exact, c[1]) {
				calls = append(calls, place+" math."+c[1])
			}
		}
	}
	slices.Sort(fused)
	slices.Sort(calls)
	return slices.Compact(fused), slices.Compact(calls), products
}

func TestFusedProductsAreSeen(t *testing.T) {
	fused, calls, products := judgeAssembly(
		"\t0x0020 00032 (panelwright/pipeline/geom/overlay/flatten.go:109)\tFMADDD\tF0, F1, F2, F3\n" +
			"\t0x0020 00032 (/x/pipeline/geom/path.go:1)\tFNMSUBD\tF0, F1, F2, F3\n" +
			"\t0x0020 00032 (/x/pipeline/geom/path.go:2)\tFMULD\tF0, F1, F2\n" +
			"\t0x0020 00032 (/x/pipeline/geom/path.go:3)\tFMOVD\tF0, F1\n" +
			"\t0x0020 00032 (/x/pipeline/geom/path.go:4)\tCALL\tmath.Sincos(SB)\n" +
			"\t0x0020 00032 (/x/pipeline/geom/path.go:5)\tCALL\tmath.Floor(SB)\n" +
			"\t0x0020 00032 (/usr/lib/go/src/math/atan2.go:6)\tCALL\tmath.atan2(SB)\n")
	assert.Equal(t, []string{"pipeline/geom/overlay/flatten.go:109", "pipeline/geom/path.go:1"}, fused)
	assert.Equal(t, []string{"atan2.go:6 math.atan2", "pipeline/geom/path.go:4 math.Sincos"}, calls)
	assert.Equal(t, 1, products)
}
