package outside

import (
	"slices"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"

	"panelwright/pipeline/format/gerber"
	"panelwright/pipeline/geom"
	"panelwright/pipeline/internal/corpus"
	"panelwright/pipeline/internal/shared"
	"panelwright/pipeline/panel/artwork"
)

// TestOpenFilesPlanted: what our reader could get wrong in a file is seen by both comparisons.
func TestOpenFilesPlanted(t *testing.T) {
	v, r := newViewer(t), newRasteriser(t)
	f := openFiles(t, func(r corpus.Row) bool { return strings.HasSuffix(r.Path, "/test-merge-b.gbx") })[0]
	first := func(m *artwork.Image, k artwork.Kind) *artwork.Object {
		return &m.Objects[slices.IndexFunc(m.Objects, func(o artwork.Object) bool { return o.Kind == k && o.Clear == (k == artwork.Flash) })]
	}
	for _, c := range []struct {
		name  string
		plant func(m *artwork.Image)
		same  bool
	}{
		{"nothing", func(*artwork.Image) {}, true},
		{"a clear flash left out", func(m *artwork.Image) {
			i := slices.IndexFunc(m.Objects, func(o artwork.Object) bool { return o.Kind == artwork.Flash })
			m.Objects = slices.Delete(m.Objects, i, i+1)
		}, false},
		{"a clear flash taken as dark", func(m *artwork.Image) { first(m, artwork.Flash).Clear = false }, false},
		{"a stroke 0.1 mm short", func(m *artwork.Image) { first(m, artwork.Stroke).Edge.To.X += geom.MM / 10 }, false},
		{"an aperture 0.2 mm too large", func(m *artwork.Image) {
			a := slices.Clone(m.Apertures)
			a[first(m, artwork.Flash).Aperture].Height += geom.MM / 5
			m.Apertures = a
		}, false},
		{"all of it 0.1 mm off", func(m *artwork.Image) {
			for i := range m.Objects {
				e := &m.Objects[i].Edge
				e.From.Y, e.To.Y = e.From.Y+geom.MM/10, e.To.Y+geom.MM/10
			}
		}, false},
	} {
		t.Run(c.name, func(t *testing.T) {
			m := *f.image
			m.Objects = slices.Clone(m.Objects)
			c.plant(&m)
			x := f
			x.image = &m
			var out strings.Builder
			require.NoError(t, gerber.Write(&out, gerber.Header{}, []gerber.Piece{{Image: &m}}))
			x.written = write(t, "planted.gbr", out.String())
			d := &drawings{v: v, r: r, file: x, box: f.image.Extent(), dpi: 1000, done: map[drawingKey]*bitmap{}}
			for _, pair := range [][2]way{{viewerOnSource, viewerOnWritten}, {ownSVG, secondSVG}} {
				n, where, err := d.differs(pair[0], pair[1], false)
				require.NoError(t, err)
				require.Equal(t, c.same, n == 0, where)
			}
			shared.Ran(t, "open file, planted: "+c.name)
		})
	}
}
