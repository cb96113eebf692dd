package overlay_test

import (
	"crypto/sha256"
	"flag"
	"fmt"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"

	"panelwright/pipeline/geom"
	"panelwright/pipeline/geom/offset"
	"panelwright/pipeline/geom/overlay"
)

var update = flag.Bool("update", false, "write the digests anew")

// TestSameBytesOnEveryProcessor holds digests of results against those kept in testdata, which "make
// golden" writes on whatever machine and "make arm64" reads on another processor. Each digest is of
// every coordinate of some hundred results. A line for the operands themselves tells whether they were
// the same.
func TestSameBytesOnEveryProcessor(t *testing.T) {
	ctx := t.Context()
	var lines []string
	digest := func(what string, n uint64, make func(seed uint64) []byte) {
		h := sha256.New()
		size := 0
		for s := range n {
			b := make(s)
			size += len(b)
			h.Write(b)
		}
		lines = append(lines, fmt.Sprintf("%x  %d × %s, %d bytes", h.Sum(nil), n, what, size))
	}
	// Seeds that no other test goes through.
	seed := func(s uint64) uint64 { return 1<<60 + s }
	for kind, name := range overlay.SceneKinds {
		digest("operands: "+name, 300, func(s uint64) []byte {
			_, ops := overlay.Scene(kind, seed(s), 40)
			var paths []geom.Outline
			for _, op := range ops {
				for _, p := range op.Paths {
					paths = append(paths, geom.Outline{Outer: p})
				}
			}
			return overlay.Written(paths)
		})
		digest("four operations: "+name, 300, func(s uint64) []byte {
			o, ops := overlay.Scene(kind, seed(s), 40)
			results, err := overlay.Operate(ctx, o, ops)
			require.NoError(t, err)
			var b []byte
			for _, r := range results {
				b = append(b, overlay.Written(r)...)
			}
			return b
		})
	}
	for _, c := range []struct {
		what string
		make func(r geom.Region, d geom.Length, o offset.Options) (geom.Region, error)
	}{
		{"offset, round joins", func(r geom.Region, d geom.Length, o offset.Options) (geom.Region, error) {
			return offset.By(ctx, r, d, o)
		}},
		{"offset, mitres", func(r geom.Region, d geom.Length, o offset.Options) (geom.Region, error) {
			o.Join = offset.Mitre
			return offset.By(ctx, r, d, o)
		}},
		{"offset inwards", func(r geom.Region, d geom.Length, o offset.Options) (geom.Region, error) {
			return offset.By(ctx, r, -d/4, o)
		}},
		{"strokes", func(r geom.Region, d geom.Length, o offset.Options) (geom.Region, error) {
			return offset.Stroke(ctx, r.Paths(), d, o)
		}},
		{"turned copies", func(r geom.Region, d geom.Length, _ offset.Options) (geom.Region, error) {
			turn := geom.Transform{Turn: geom.Angle(d) * 7919 % geom.FullTurn}
			var out geom.Region
			for _, q := range r {
				out = append(out, turn.Outline(q))
			}
			return out, nil
		}},
	} {
		digest(c.what, 300, func(s uint64) []byte {
			kind := int(s % 2 * 2)
			_, ops := overlay.Scene(kind, seed(s), 24)
			o := overlay.Options{ChordError: 20 * geom.UM}
			r, err := overlay.Union(ctx, o, ops...)
			require.NoError(t, err)
			b := r.Box()
			if b.Empty() || b.Width() < 10*geom.UM || b.Width() > 300*geom.MM || b.Height() > 300*geom.MM {
				return nil
			}
			r, err = c.make(r, (b.Width()+b.Height())/40, offset.Options{Overlay: o})
			require.NoError(t, err)
			return overlay.Written(r)
		})
	}
	name := filepath.Join("testdata", "digests.txt")
	got := strings.Join(lines, "\n") + "\n"
	if *update {
		require.NoError(t, os.MkdirAll("testdata", 0o755))
		require.NoError(t, os.WriteFile(name, []byte(got), 0o644))
	}
	want, err := os.ReadFile(name)
	require.NoError(t, err, "make golden writes it")
	require.Equal(t, string(want), got)
}
