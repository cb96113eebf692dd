package boards

import (
	"math/rand/v2"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// Small boards are as sound as the demo boards: by what is read back of some of them.
func TestSmallBoards(t *testing.T) {
	layers, square := map[int]int{}, map[bool]int{}
	for n := 1; n <= 50; n++ {
		b := small(rand.New(rand.NewPCG(1, uint64(n))), n)
		layers[b.layers]++
		square[b.square]++
		for i, p := range b.parts {
			for _, q := range []pt{{p.court.x0, p.court.y0}, {p.court.x1, p.court.y0}, {p.court.x1, p.court.y1}, {p.court.x0, p.court.y1}} {
				assert.Greater(t, b.inset(q), 0.0, "%s: %s reaches over the edge", b.name, p.ref)
			}
			for _, q := range b.parts[:i] {
				assert.False(t, standInEachOther(p, q), "%s: %s and %s overlap", b.name, p.ref, q.ref)
			}
		}
		if n%17 != 0 {
			continue
		}
		b.finish()
		assert.LessOrEqual(t, float64(b.unrouted), 0.1*float64(len(b.pads())), "%s: pads left without a track", b.name)
		for _, f := range b.files() {
			if strings.Contains(f.Name, "_copper_") {
				p := newPainting(b, pixel)
				read(t, f.Data, p.paint)
				require.Empty(t, p.meets, "%s: nets that meet", f.Name)
				require.Empty(t, p.near(mm(0.19)), "%s: nets nearer than 0.19 mm", f.Name)
				require.Empty(t, p.nearEdge(b, b.edgeClear-mm(0.012)), "%s: copper too near to the edge", f.Name)
			}
		}
	}
	assert.Greater(t, min(layers[2], layers[4], square[true], square[false]), 10)
}

func TestSmallBoardsAreTheSameEachTimeAndNoTwoAlike(t *testing.T) {
	assert.Equal(t, Small(1, 2), Small(1, 2))
	a, z := Small(1, 1), Small(1, 4)
	assert.NotEqual(t, a.PartNumber, z.PartNumber)
	assert.NotEqual(t, a.Files[0].Data, z.Files[0].Data)
	assert.NotEqual(t, a.Files[0].Data, Small(2, 1).Files[0].Data)
}
