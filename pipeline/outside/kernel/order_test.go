package kernel

import (
	"math/rand/v2"
	"os"
	"path/filepath"
	"slices"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"panelwright/pipeline/format/gerber"
	"panelwright/pipeline/geom"
	"panelwright/pipeline/internal/boardset"
	"panelwright/pipeline/internal/shared"
	"panelwright/pipeline/panel/artwork"
)

// TestRegionInOnOpenBoards: on every copper layer of the open boards, what RegionIn gives within windows
// agrees, point by point, with the last object in drawing order that covers the point. Points nearer than
// 3 µm to the border of what RegionIn gives are left out: chords may stray by 1 µm. Windows lie about
// objects, clear ones first, so that polarity is tried where there is any.
func TestRegionInOnOpenBoards(t *testing.T) {
	points, erased, layers := 0, 0, 0
	for _, b := range boardset.All() {
		for _, pattern := range copperFiles[b.Folder].patterns {
			names, err := filepath.Glob(filepath.Join(shared.Dir(t, "boards"), b.Folder, pattern))
			require.NoError(t, err)
			for _, name := range names {
				data, err := os.ReadFile(name)
				require.NoError(t, err)
				m, _, err := gerber.Read(name, data, gerber.Options{})
				require.NoError(t, err)
				if len(m.Objects) == 0 {
					continue
				}
				layers++
				p, e := orderOn(t, filepath.Join(b.Folder, filepath.Base(name)), m)
				points, erased = points+p, erased+e
			}
		}
	}
	t.Logf("%d layers, %d points, %d of them cleared", layers, points, erased)
	assert.Equal(t, 35, layers)
	assert.Greater(t, points, 20_000)
	assert.Greater(t, erased, 100, "polarity was hardly tried")
}

// orderOn tries some windows of a layer, and tells how many points were compared, and how many of them lie
// where something dark was cleared.
func orderOn(t *testing.T, name string, m *artwork.Image) (points, erased int) {
	t.Helper()
	rng := rand.New(rand.NewPCG(7, uint64(len(m.Objects))))
	var index geom.Index[int]
	var clear []int
	for i, o := range m.Objects {
		index.Insert(m.Box(o), i)
		if o.Clear {
			clear = append(clear, i)
		}
	}
	within := func(b geom.Box) (out []int) {
		index.Search(b, func(_ geom.Box, i int) bool {
			out = append(out, i)
			return true
		})
		slices.Sort(out)
		return out
	}
	for k := range 16 {
		i := rng.IntN(len(m.Objects))
		if k%2 == 0 && len(clear) > 0 {
			i = clear[rng.IntN(len(clear))]
		}
		o := m.Objects[i]
		at := m.Box(o).Center()
		if k%4 > 1 { // about a place where it begins instead
			at = m.Anchor(o)
		}
		window := geom.BoxOf(at).Grow(700 * geom.UM)
		r, err := m.RegionIn(t.Context(), window, within(window))
		require.NoError(t, err, name)
		where := geom.NewLocator(r)
		var border []*geom.Prepared
		for _, p := range r.Paths() {
			border = append(border, geom.Prepare(p))
		}
		for range 60 {
			q := window.Min.Add(geom.Pt(geom.Length(rng.Int64N(int64(window.Width()))), geom.Length(rng.Int64N(int64(window.Height())))))
			if slices.ContainsFunc(border, func(p *geom.Prepared) bool {
				d, _, _ := p.Distance(q)
				return d < 3000
			}) {
				continue
			}
			dark, once := false, false
			for _, j := range within(geom.BoxOf(q)) {
				if covers(m, m.Objects[j], q) {
					dark = !m.Objects[j].Clear
					once = once || dark
				}
			}
			points++
			if once && !dark {
				erased++
			}
			if !assert.Equal(t, dark, where.Locate(q) == geom.Inside, "%s at %v", name, q) {
				return points, erased
			}
		}
	}
	return points, erased
}

// covers tells whether an object draws a point, primitive by primitive, without areas being overlaid.
func covers(m *artwork.Image, o artwork.Object, q geom.Point) bool {
	if o.Kind != artwork.Flash {
		return m.DistanceToPoint(o, q) == 0
	}
	a := m.Apertures[o.Aperture]
	if a.Shape != artwork.Macro {
		return m.DistanceToPoint(o, q) == 0 && q.Distance(o.Edge.From) >= float64(a.Hole)/2
	}
	dark := false
	for _, p := range a.Primitives {
		off := p.Off
		p.Off = false
		one := artwork.Image{Apertures: []artwork.Aperture{{Shape: artwork.Macro, Primitives: []artwork.Primitive{p}}}}
		if one.DistanceToPoint(artwork.Object{Kind: artwork.Flash, Region: -1, Edge: o.Edge}, q) == 0 {
			dark = !off
		}
	}
	return dark
}
