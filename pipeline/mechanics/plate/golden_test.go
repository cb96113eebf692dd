package plate

import (
	"crypto/sha256"
	"encoding/binary"
	"flag"
	"fmt"
	"math"
	"math/rand/v2"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"
)

var update = flag.Bool("update", false, "write the digests anew")

// TestSameBitsOnEveryProcessor holds digests of what this package reckons itself, to the last bit, against those kept in
// testdata, which "make golden" writes. Solutions are package sparse's, which has digests of its own; the table of
// verification holds both together.
func TestSameBitsOnEveryProcessor(t *testing.T) {
	r := rand.New(rand.NewPCG(3, 8))
	figures := map[string][]float64{}
	for range 200 {
		s := &shape{}
		for i := range 3 {
			s.x[i], s.y[i] = 300*r.Float64(), 400*r.Float64()
		}
		if !s.measure() {
			s.x[0], s.x[1], s.y[0], s.y[1] = s.x[1], s.x[0], s.y[1], s.y[0]
			require.True(t, s.measure())
		}
		d := Bending{{9000, 2100 * r.Float64(), 0}, {0, 7000, 400}, {700 * r.Float64(), 400, 2600}}
		d[1][0], d[0][2] = d[0][1], d[2][0]
		k, m, at, mean := s.stiffness(&d, 0), s.mass(3e-9), s.atPlace(s.x[0]+1, s.y[0]+2), s.meanDeflection()
		figures["stiffness"] = append(figures["stiffness"], k[:]...)
		figures["mass"] = append(figures["mass"], m[:]...)
		figures["deflection"] = append(append(figures["deflection"], at[:]...), mean[:]...)
		for _, b := range s.curvatures([3]float64{0.2, 0.3, 0.5}) {
			figures["curvatures"] = append(figures["curvatures"], b[:]...)
		}
		j := Joint{}
		for i := range 6 {
			j.A, j.B = append(j.A, Share{int32(i), r.Float64()}), append(j.B, Share{int32(i + 7), r.Float64()})
			for c := range i + 1 {
				j.Stiffness[i][c] = 1e5 * r.Float64()
				j.Stiffness[c][i] = j.Stiffness[i][c]
			}
			j.Stiffness[i][i] += 3e5
		}
		_, means := j.means()
		figures["joints"] = append(figures["joints"], spread(means, &j.Stiffness)...)
		for _, v := range roots(j.Stiffness) {
			figures["joints"] = append(figures["joints"], v[:]...)
		}
	}
	m := &Model{}
	for i := range 12 * 12 {
		m.X, m.Y = append(m.X, float64(5*(i/12))+float64(3*r.Float64())), append(m.Y, float64(5*(i%12))+float64(3*r.Float64()))
		if k := int32(i); i/12 > 0 && i%12 > 0 {
			for _, n := range [2][3]int32{{k - 13, k - 1, k}, {k - 13, k, k - 12}} {
				m.Triangles = append(m.Triangles, Triangle{Nodes: n, D: Bending{{9000, 2100, 700}, {2100, 7000, 400}, {700, 400, 2600}}, Shear: 3000})
			}
		}
	}
	s, err := prepare(m, 1)
	require.NoError(t, err)
	x := State{W: make([]float64, len(m.X)), P: make([]float64, len(m.X)), Q: make([]float64, len(m.X))}
	for i := range m.X {
		x.W[i], x.P[i], x.Q[i] = r.Float64(), r.Float64(), r.Float64()
	}
	for _, v := range s.NodeMoments(s.Moments(x)) {
		figures["moments"] = append(figures["moments"], v[:]...)
	}
	for _, v := range s.RecoveredMoments(x) {
		figures["recovered moments"] = append(figures["recovered moments"], v[:]...)
	}
	var b strings.Builder
	for _, what := range []string{"stiffness", "mass", "deflection", "curvatures", "joints", "moments", "recovered moments"} {
		h := sha256.New()
		for _, x := range figures[what] {
			require.False(t, math.IsNaN(x))
			h.Write(binary.BigEndian.AppendUint64(nil, math.Float64bits(x)))
		}
		fmt.Fprintf(&b, "%x  %s, %d figures\n", h.Sum(nil), what, len(figures[what]))
	}
	name := filepath.Join("testdata", "digests.txt")
	if *update {
		require.NoError(t, os.MkdirAll("testdata", 0o755))
		require.NoError(t, os.WriteFile(name, []byte(b.String()), 0o644))
	}
	want, err := os.ReadFile(name)
	require.NoError(t, err, "make golden writes it")
	require.Equal(t, string(want), b.String())
}
