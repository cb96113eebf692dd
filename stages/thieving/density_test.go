package thieving_test

import (
	"fmt"
	"math"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"panelwright/pipeline/geom"
	"panelwright/pipeline/panel"
	"panelwright/pipeline/panel/density"
	"panelwright/stages/thieving"
)

// The shares that the stage works out exactly are those that counting samples finds, to a five-hundredth of the copper
// and a ten-thousandth of the panel, without thieving and with it, in both patterns and on copies that are turned.
func TestSharesAreThoseCounted(t *testing.T) {
	for _, turn := range []geom.Angle{0, geom.Quarter, 3 * geom.Quarter} {
		for name, s := range map[string]*thieving.Thieving{"dots": stage(), "lines": stage(lines)} {
			plain := framed(t, aBoard(rectangle(50, 40)), 3, 2, 2*mm, turn, 2*mm, panel.Upper, panel.Lower, panel.Left, panel.Right)
			filled := shape(t, s, plain)
			shares := filled.CopperShares()
			require.Len(t, shares, 4)
			for i, x := range shares {
				for _, y := range []struct {
					p     panel.Panel
					exact panel.Share
				}{{plain, x.Before}, {filled, x.After}} {
					g, err := density.Of(t.Context(), y.p, []panel.Function{x.Layer}, density.Square, func(n int, work func(int) error) error {
						for k := range n {
							if err := work(k); err != nil {
								return err
							}
						}
						return nil
					})
					require.NoError(t, err)
					exact := float64(y.exact) / float64(panel.Whole)
					counted := g.Total(0) / y.p.Outline().Area()
					assert.LessOrEqual(t, math.Abs(counted-exact), float64(exact/500)+1e-4, fmt.Sprint(name, turn, i))
				}
			}
			assert.Greater(t, shares[0].After, shares[0].Before)
		}
	}
}
