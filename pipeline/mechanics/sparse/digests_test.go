package sparse

import (
	"bytes"
	"crypto/sha256"
	"encoding/binary"
	"flag"
	"fmt"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"
)

var update = flag.Bool("update", false, "write the digests anew")

// TestSameDigitsOnEveryProcessor holds digests of all digits of some results against those kept in testdata, which "make golden" writes on
// whatever machine and "make arm64" reads on another processor. That of the matrix itself tells whether it was the same.
func TestSameDigitsOnEveryProcessor(t *testing.T) {
	var lines []string
	digest := func(what string, v any) {
		var b bytes.Buffer
		require.NoError(t, binary.Write(&b, binary.LittleEndian, v))
		lines = append(lines, fmt.Sprintf("%x  %s, %d bytes", sha256.Sum256(b.Bytes()), what, b.Len()))
	}
	for i, m := range []model{plateLike(21, 17), farJoints()} {
		name := []string{"plate", "far joints"}[i]
		digest(name+": matrix", m.Val)
		order := Order(m.Matrix, m.x, m.y)
		digest(name+": order", order)
		digest(name+": order by couplings alone", Order(m.Matrix, nil, nil))
		f, err := NewPlan(m.Matrix, order).Factor(t.Context(), m.Matrix, 2)
		require.NoError(t, err)
		digest(name+": factor", f.l)
		x := numbers(4 * m.N)
		f.Solve(x)
		digest(name+": four solutions", x)
		var columns []Column
		for i := range int32(20) {
			columns = append(columns, Column{At: []int32{i, 7 * i, 100}, Val: []float64{1, -2, 3}})
		}
		g, err := f.Gram(t.Context(), columns)
		require.NoError(t, err)
		digest(name+": Gram", g)
		values, vectors, err := Lowest(t.Context(), f, identity(m.N), 5)
		require.NoError(t, err)
		digest(name+": eigenvalues", values)
		for _, v := range vectors {
			digest(name+": eigenvector", v)
		}
	}
	got := strings.Join(lines, "\n") + "\n"
	file := filepath.Join("testdata", "digests.txt")
	if *update {
		require.NoError(t, os.MkdirAll("testdata", 0o755))
		require.NoError(t, os.WriteFile(file, []byte(got), 0o644))
	}
	want, err := os.ReadFile(file)
	require.NoError(t, err)
	require.Equal(t, string(want), got)
}
