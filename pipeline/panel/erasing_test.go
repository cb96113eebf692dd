package panel

import (
	"context"
	"testing"

	"github.com/stretchr/testify/require"

	"panelwright/pipeline/geom"
	"panelwright/pipeline/panel/artwork"
)

// A clear disc that reaches 2 mm over the right edge erases a neighbour at 1.5 mm, not one at 2 mm: only
// then is the neighbour cut out of it.
func TestClearIsClippedWhereItWouldErase(t *testing.T) {
	for _, c := range []struct {
		gap  geom.Length
		want int
	}{{1500 * geom.UM, 1}, {2 * geom.MM, 0}} {
		p, l := ledge(t, 19*geom.MM, c.gap, 0, 0)
		l.Image.Apertures[0].Width = 6 * geom.MM
		l.Image.Objects[0].Clear = true
		r, err := p.NewCarrier(context.Background())
		require.NoError(t, err)
		for i, copy := range p.Copies() {
			want := c.want
			if i == 1 { // nobody lies to the right of it
				want = 0
			}
			require.Equal(t, want, r.Clipped(copy, l), "%s at %s", copy.ID, c.gap)
			image, _ := r.Layer(copy, l)
			require.Equal(t, want == 1, image.Objects[0].Kind == artwork.Fill, "%s at %s", copy.ID, c.gap)
			if want == 1 {
				require.Equal(t, 20*geom.MM+c.gap, image.Box(image.Objects[0]).Max.X)
				require.True(t, image.Objects[0].Clear)
			}
		}
	}
}
