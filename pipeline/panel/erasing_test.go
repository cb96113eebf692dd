package panel

import (
	"context"
	"testing"

	"github.com/stretchr/testify/require"

	"panelwright/pipeline/geom"
	"panelwright/pipeline/panel/artwork"
)

// A clear disc that reaches 2 mm over the right edge erases a neighbour at 1.5 mm, not one at 2 mm: only
// then is it clipped, for every copy.
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
		require.Equal(t, c.want, r.ClippedToBoard(l))
		for _, copy := range p.Copies() {
			image, _ := r.Layer(copy, l)
			require.Equal(t, c.want == 1, image.Objects[0].Kind == artwork.Fill, "%s at %s", copy.ID, c.gap)
			if c.want == 1 {
				require.Equal(t, 20*geom.MM, image.Box(image.Objects[0]).Max.X)
				require.True(t, image.Objects[0].Clear)
			}
		}
	}
}
