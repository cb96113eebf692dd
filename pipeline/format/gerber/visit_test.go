package gerber

import (
	"fmt"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"panelwright/pipeline/panel/artwork"
)

// What Visit is handed, in pieces, is what the image would have held.
func TestVisitHandsOverEveryObject(t *testing.T) {
	var b strings.Builder
	b.WriteString("%FSLAX46Y46*%\n%MOMM*%\n%ADD10C,0.1*%\n%ABD11*%\nD10*\nX0Y0D03*\nX1000Y0D03*\n%AB*%\nG01*\n")
	for i := range 3 * visitAtOnce {
		fmt.Fprintf(&b, "D10*\nX%dY0D03*\n", i*1000)
		if i%97 == 0 {
			fmt.Fprintf(&b, "G36*\nX%dY0D02*\nX%dY5000D01*\nX%dY9000D01*\nX%dY0D01*\nG37*\n", i, i+7, i+1, i)
		}
		if i%500 == 0 {
			b.WriteString("D11*\nX5Y5D03*\n%SRX3Y2I1J1*%\nD10*\nX7Y7D03*\nG36*\nX0Y0D02*\nX9Y0D01*\nX9Y9D01*\nX0Y0D01*\nG37*\n%SR*%\n")
		}
	}
	b.WriteString("M02*\n")
	whole, _, err := Read("x.gbr", []byte(b.String()), Options{})
	require.NoError(t, err)
	n, calls := 0, 0
	kept, _, err := Read("x.gbr", []byte(b.String()), Options{Visit: func(m *artwork.Image, objects []artwork.Object) {
		calls++
		for _, o := range objects {
			want := whole.Objects[n]
			n++
			if o.Kind == artwork.Fill {
				require.Equal(t, whole.Regions[want.Region], m.Regions[o.Region])
				o.Region, want.Region = 0, 0
			}
			require.Equal(t, want, o)
		}
	}})
	require.NoError(t, err)
	assert.Equal(t, len(whole.Objects), n)
	assert.Greater(t, calls, 2)
	assert.Empty(t, kept.Objects)
}
