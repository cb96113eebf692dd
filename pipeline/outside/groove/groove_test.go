package groove

import (
	"fmt"
	"math"
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"panelwright/pipeline/geom"
	"panelwright/pipeline/internal/shared"
	"panelwright/pipeline/mechanics/groove"
)

// section is the whole section cut into quadrilaterals with eight nodes, plane strain (CPE8), lengths in mm.
type section struct {
	x, z     []float64
	elements [][8]int
	// forces along x at nodes of both ends: a bending stress of 1 MPa at the faces.
	forces map[int]float64
	ends   []int // their nodes
	centre int   // node in the middle of the web
	beside int   // another above it
	moment float64
	length float64
}

// reach is how far the strip goes to either side of the line, in thicknesses, beyond the grooves.
const reach = 2.5

// cut makes the section: the half to the right of the grooves, in rows from the lower to the upper face, and the same
// turned half around, which share the nodes of the web. Quadrilaterals get smaller towards the tips with the power of
// their number, 4.
func cut(s groove.Section, in, out, along int) *section {
	t, web, aside := s.Thickness.MM(), s.Web.MM()/2, s.Offset.MM()/2
	depth, slope := t/2-web, math.Tan(s.Angle.Degrees()/2*math.Pi/180)
	near := func(i, n int) float64 { return math.Pow(float64(i)/float64(n), 4) }
	var rows []float64
	for i := out; i > 0; i-- {
		rows = append(rows, -web-depth*near(i, out))
	}
	low := len(rows)
	for i := range in {
		rows = append(rows, -web*(1-near(i, in)))
	}
	for i := in; i >= 0; i-- {
		rows = append(rows, web*(1-near(i, in)))
	}
	high := len(rows) - 1
	for i := 1; i <= out; i++ {
		rows = append(rows, web+depth*near(i, out))
	}
	end := aside + depth*slope + reach*t
	flank := func(z float64) float64 {
		switch {
		case z > web:
			return aside + (z-web)*slope
		case z < -web:
			return -aside + (-z-web)*slope
		}
		return aside * z / web
	}
	m := &section{forces: map[int]float64{}, moment: t * t / 6, length: 2 * end}
	// Nodes by twice the column and row, of both halves.
	var node [2]map[[2]int]int
	for half, sign := range []float64{1, -1} {
		node[half] = map[[2]int]int{}
		for i := range 2*along + 1 {
			for j := range 2*len(rows) - 1 {
				if i%2 == 1 && j%2 == 1 {
					continue
				}
				if half == 1 && i == 0 && j >= 2*low && j <= 2*high {
					node[1][[2]int{i, j}] = node[0][[2]int{0, 2*len(rows) - 2 - j}]
					continue
				}
				z := (rows[j/2] + rows[(j+1)/2]) / 2
				xi := end * (near(i/2, along) + near((i+1)/2, along)) / 2
				node[half][[2]int{i, j}] = len(m.x)
				m.x = append(m.x, sign*(xi+flank(z)*(1-xi/end)))
				m.z = append(m.z, sign*z)
			}
		}
		for i := range along {
			for j := range len(rows) - 1 {
				var e [8]int
				for k, d := range [8][2]int{{0, 0}, {2, 0}, {2, 2}, {0, 2}, {1, 0}, {2, 1}, {1, 2}, {0, 1}} {
					e[k] = node[half][[2]int{2*i + d[0], 2*j + d[1]}]
				}
				m.elements = append(m.elements, e)
			}
		}
		for j := range len(rows) - 1 {
			a, b := rows[j], rows[j+1]
			for k, f := range [3]float64{a, 2 * (a + b), b} {
				m.forces[node[half][[2]int{2 * along, 2*j + k}]] += f / (t / 2) * (b - a) / 6
			}
		}
		for j := range 2*len(rows) - 1 {
			m.ends = append(m.ends, node[half][[2]int{2 * along, j}])
		}
	}
	m.centre, m.beside = node[0][[2]int{0, low + high}], node[0][[2]int{0, low + high + 1}]
	return m
}

// input is the job as CalculiX reads it: x across the line, y through the thickness, z along the line.
// It reads the first 20 characters of a number.
func (m *section) input(c groove.Material) string {
	var s strings.Builder
	s.WriteString("*NODE, NSET=ALL\n")
	for i := range m.x {
		fmt.Fprintf(&s, "%d, %.14f, %.14f, 0\n", i+1, m.x[i], m.z[i])
	}
	s.WriteString("*ELEMENT, TYPE=CPE8, ELSET=BOARD\n")
	for i, e := range m.elements {
		fmt.Fprintf(&s, "%d", i+1)
		for _, n := range e {
			fmt.Fprintf(&s, ", %d", n+1)
		}
		s.WriteString("\n")
	}
	s.WriteString("*NSET, NSET=ENDS\n")
	for _, n := range m.ends {
		fmt.Fprintf(&s, "%d,\n", n+1)
	}
	s.WriteString("*MATERIAL, NAME=WOVEN\n*ELASTIC, TYPE=ENGINEERING CONSTANTS\n")
	// The shear moduli along the line bear nothing here.
	fmt.Fprintf(&s, "%.12g, %.12g, %.12g, %.12g, %.12g, %.12g, %.12g, %.12g\n%.12g, 293\n", c.Across, c.Through, c.Along,
		c.AcrossThrough, c.AcrossAlong, c.AlongThrough*c.Through/c.Along, c.Shear, c.Shear, c.Shear)
	s.WriteString("*SOLID SECTION, ELSET=BOARD, MATERIAL=WOVEN\n1.\n*BOUNDARY\n")
	fmt.Fprintf(&s, "%d, 1, 2\n%d, 1, 1\n", m.centre+1, m.beside+1)
	s.WriteString("*STEP\n*STATIC\n*CLOAD\n")
	for _, n := range m.ends {
		fmt.Fprintf(&s, "%d, 1, %.12g\n", n+1, m.forces[n])
	}
	s.WriteString("*NODE PRINT, NSET=ENDS\nU\n*END STEP\n")
	return s.String()
}

// compliance asks CalculiX.
func (m *section) compliance(t *testing.T, c groove.Material) float64 {
	t.Helper()
	program, err := exec.LookPath("ccx")
	if err != nil {
		shared.Missing(t, "ccx is not here: install the Debian package calculix-ccx")
	}
	dir := t.TempDir()
	require.NoError(t, os.WriteFile(filepath.Join(dir, "job.inp"), []byte(m.input(c)), 0o600))
	cmd := exec.CommandContext(t.Context(), program, "job")
	cmd.Dir, cmd.Env = dir, append(os.Environ(), "OMP_NUM_THREADS=1")
	said, err := cmd.CombinedOutput()
	require.NoError(t, err, "%s", said)
	raw, err := os.ReadFile(filepath.Join(dir, "job.dat"))
	require.NoError(t, err)
	work, seen := 0.0, 0
	for line := range strings.Lines(string(raw)) {
		var n int
		var u, v, w float64
		if k, _ := fmt.Sscan(line, &n, &u, &v, &w); k == 4 {
			work += m.forces[n-1] * u
			seen++
		}
	}
	require.Equal(t, len(m.ends), seen, "%s", said)
	// The uncut strip by plate theory in plane strain.
	stiff := c.Across / (1 - c.AcrossAlong*c.AcrossAlong*c.Along/c.Across)
	thick := math.Cbrt(6 * m.moment * math.Sqrt(6*m.moment))
	return work/(m.moment*m.moment) - 12*m.length/(stiff*thick*thick*thick)
}

// TestAgainstCalculiX: score lines as they are made, and others, within 1 %.
func TestAgainstCalculiX(t *testing.T) {
	alike := groove.Material{Across: 10_000, Along: 10_000, Through: 10_000, Shear: 10_000 / 2.6, AcrossAlong: 0.3, AcrossThrough: 0.3, AlongThrough: 0.3}
	woven := groove.Material{Across: 21_000, Along: 24_000, Through: 8_000, Shear: 3_500, AcrossAlong: 0.119, AcrossThrough: 0.3, AlongThrough: 0.3}
	for _, c := range []struct {
		name string
		s    groove.Section
		m    groove.Material
	}{
		{"a third of 1.6 mm, 30 degrees", groove.Section{Thickness: 1600 * geom.UM, Web: 533 * geom.UM, Angle: 30 * geom.Degree}, woven},
		{"0.4 of 1.6 mm, 45 degrees, tips 0.1 mm beside each other", groove.Section{Thickness: 1600 * geom.UM, Web: 400 * geom.UM, Offset: 100 * geom.UM, Angle: 45 * geom.Degree}, woven},
		{"0.3 of 0.8 mm, 60 degrees, tips as far beside each other", groove.Section{Thickness: 800 * geom.UM, Web: 300 * geom.UM, Offset: 300 * geom.UM, Angle: 60 * geom.Degree}, woven},
		{"a slit, all directions alike", groove.Section{Thickness: 1000 * geom.UM, Web: 200 * geom.UM}, alike},
	} {
		t.Run(c.name, func(t *testing.T) {
			want := cut(c.s, 10, 10, 16).compliance(t, c.m)
			got, err := groove.Compliance(t.Context(), c.s, c.m)
			require.NoError(t, err)
			t.Logf("CalculiX %.6g rad/N, we %.6g: %+.2f %%", want, got, 100*(got/want-1))
			assert.InEpsilon(t, want, got, 0.01)
			shared.Ran(t, "groove against CalculiX: "+c.name)
		})
	}
}
