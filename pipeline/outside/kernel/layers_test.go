package kernel

import (
	"cmp"
	"flag"
	"fmt"
	"maps"
	"math"
	"os"
	"path/filepath"
	"slices"
	"testing"

	"github.com/stretchr/testify/require"

	"panelwright/pipeline/format/gerber"
	"panelwright/pipeline/geom"
	"panelwright/pipeline/geom/overlay"
	"panelwright/pipeline/internal/boardset"
	"panelwright/pipeline/internal/shared"
	"panelwright/pipeline/panel/artwork"
)

// everyLayer asks for every layer of copper; otherwise it is one of each board, the first by name.
var everyLayer = flag.Bool("every-layer", false, "hold every layer of copper of the open boards against the libraries, not one of each board")

// copperFiles says which files of an open board are its copper layers, and how many layers have
// anything on them. It is read off the names and the SOURCE.md beside them.
var copperFiles = map[string]struct {
	patterns []string
	layers   int
}{
	"control-2l-regions": {[]string{"*copper*"}, 2},
	"daughter-2l-arcs74": {[]string{"*_Cu.g[tb]l"}, 2},
	"half-2l-manyslots":  {[]string{"*.Cu.g[tb]l"}, 2},
	"module-6l-slots":    {[]string{"*-Cu*.gbr", "*-inner*.gbr"}, 6},
	"node-4l-x2":         {[]string{"*_Cu.gbr"}, 4},
	"notched-2l-large":   {[]string{"*-Front.gtl", "*-Back.gbl"}, 2},
	"pilot-2l-mil":       {[]string{"*.G[TB]L"}, 2},
	"plate-cutouts":      {[]string{"*-Cu*.gbr"}, 0}, // two, without copper
	"square-10l-inch":    {[]string{"*-TOP.gtl", "*-BOTTOM.gbl", "*-GND[13].gbr", "*-PWR.gbr", "*-SIGNAL*.gbr"}, 9},
	"tiny-4l-blind":      {[]string{"*.Cu.g*"}, 4},
	"watch-2l-loops":     {[]string{"copper_*.gbr"}, 2},
}

// The copper of the open boards (see everyLayer): pads, strokes, regions, dark and clear in the order
// in which they are drawn. All sides get the same polygons, made here and not by the kernel. Each
// change of polarity is a job of its own, which begins with what we made of the one before. Contours
// that touch or cross themselves, as those of regions with cut-ins do, are jobs of their own as they
// stand in the file, and enter the layer as what we made of them.
func TestCopperOfOpenBoards(t *testing.T) {
	require.Len(t, copperFiles, len(boardset.All()), "the table must name every board")
	for _, b := range boardset.All() {
		t.Run(b.Folder, func(t *testing.T) {
			t.Parallel()
			dir := filepath.Join(shared.Dir(t, "boards"), b.Folder)
			layers := map[string]*artwork.Image{}
			for _, pattern := range copperFiles[b.Folder].patterns {
				names, err := filepath.Glob(filepath.Join(dir, pattern))
				require.NoError(t, err)
				require.NotEmpty(t, names, pattern)
				for _, name := range names {
					data, err := os.ReadFile(name)
					require.NoError(t, err)
					img, _, err := gerber.Read(name, data, gerber.Options{})
					require.NoError(t, err)
					if len(img.Objects) > 0 {
						layers[filepath.Base(name)] = img
					}
				}
			}
			require.Len(t, layers, copperFiles[b.Folder].layers)
			asked := slices.Sorted(maps.Keys(layers))
			if len(asked) > 1 && !*everyLayer {
				asked = asked[:1]
			}
			some := 0
			for names := range slices.Chunk(asked, 2) {
				some++
				t.Run(fmt.Sprint("layers ", some), func(t *testing.T) {
					t.Parallel()
					var jobs []job
					for _, name := range names {
						jobs = append(jobs, layerJobs(t, name, layers[name])...)
					}
					hold(t, jobs, true)
				})
			}
		})
	}
}

// layerJobs draws a layer, one job for each run of objects of one polarity.
func layerJobs(t *testing.T, name string, img *artwork.Image) []job {
	t.Helper()
	var jobs []job
	var so geom.Region // what is drawn so far
	for i := 0; i < len(img.Objects); {
		erase := img.Objects[i].Clear
		var run geom.Region
		for ; i < len(img.Objects) && img.Objects[i].Clear == erase; i++ {
			shapes, raw := shapesOf(t, img, img.Objects[i])
			run = append(run, shapes...)
			for _, contour := range raw {
				jobs = append(jobs, job{name: fmt.Sprintf("%s, contour of object %d", name, i), op: union, a: geom.Region{{Outer: contour}}})
			}
		}
		j := job{name: fmt.Sprintf("%s, up to object %d", name, i), op: union, a: slices.Concat(so, run)}
		if erase {
			j.op, j.a, j.b = difference, so, run
		}
		jobs = append(jobs, j)
		if i < len(img.Objects) {
			so = answerOf(t, &j)
		}
	}
	return jobs
}

// shapesOf gives the simple polygons that an object covers together, and the contours of regions that
// are not simple as they stand.
func shapesOf(t *testing.T, img *artwork.Image, o artwork.Object) (shapes geom.Region, raw []geom.Path) {
	t.Helper()
	if o.Kind == artwork.Fill {
		for _, c := range img.Regions[o.Region].Contours {
			p := flat(c)
			if p.Area() < 0 {
				p = p.Reverse()
			}
			r, err := overlay.Union(t.Context(), overlay.Options{}, overlay.Operand{Paths: []geom.Path{p}})
			require.NoError(t, err)
			if len(r) != 1 || len(r[0].CutOuts) > 0 || len(r[0].Outer) != len(p) {
				raw = append(raw, p)
			}
			shapes = append(shapes, r...)
		}
		return shapes, raw
	}
	a := img.Apertures[o.Aperture]
	require.Zero(t, a.Hole, "an aperture with a hole")
	pen := penOf(t, a)
	if o.Kind == artwork.Flash {
		for _, part := range pen {
			shapes = append(shapes, geom.Outline{Outer: moved(part, o.Edge.From)})
		}
		return shapes, nil
	}
	require.Len(t, pen, 1, "a stroke's pen")
	for _, e := range flat(geom.Path{o.Edge}) {
		shapes = append(shapes, geom.Outline{Outer: swept(a, pen[0], e)})
	}
	return shapes, nil
}

// coarse is how far the chords of discs and arcs may stray from them. How fine the polygons are is of
// no matter as long as all sides get the same, and this keeps it short.
const coarse = 20_000 // nm

// chords is how many chords an arc of such a radius and angle needs.
func chords(r, angle float64) int {
	return max(1, int(math.Ceil(math.Abs(angle)/(2*math.Acos(1-min(1, coarse/r))))))
}

// flat gives straight edges for arcs.
func flat(p geom.Path) geom.Path {
	var out geom.Path
	for _, e := range p {
		from := e.From
		if e.Sense != geom.Straight {
			_, sweep := e.Angles()
			n := chords(e.Radius(), sweep)
			for k := 1; k < n; k++ {
				to := e.At(float64(k) / float64(n))
				out, from = append(out, geom.Line(from, to)), to
			}
		}
		out = append(out, geom.Line(from, e.To))
	}
	return out
}

func moved(corners []geom.Point, by geom.Point) geom.Path {
	out := make([]geom.Point, len(corners))
	for i, c := range corners {
		out[i] = c.Add(by)
	}
	return polygon(out)
}

// corners gives those of a disc about a place, from an angle on.
func corners(x, y, r, from float64) []geom.Point {
	return round(x, y, max(8, 4*chords(r, math.Pi/2)), from, func(float64) float64 { return r })
}

// bar gives the corners of a rectangle about a place, turned about the origin.
func bar(x, y, w, h float64, turn geom.Angle) []geom.Point {
	s, c := turn.SinCos()
	var out []geom.Point
	for _, k := range [4][2]float64{{-1, -1}, {1, -1}, {1, 1}, {-1, 1}} {
		u, v := x+k[0]*w/2, y+k[1]*h/2
		out = append(out, at(u*c-v*s, u*s+v*c))
	}
	return out
}

// penOf gives the convex polygons that an aperture covers about the origin.
func penOf(t *testing.T, a artwork.Aperture) [][]geom.Point {
	t.Helper()
	w, h := float64(a.Width), float64(a.Height)
	switch a.Shape {
	case artwork.Circle:
		return [][]geom.Point{corners(0, 0, w/2, 0)}
	case artwork.Rectangle:
		return [][]geom.Point{bar(0, 0, w, h, 0)}
	case artwork.Obround:
		r := min(w, h) / 2
		return [][]geom.Point{hull(append(corners(w/2-r, h/2-r, r, 0), corners(r-w/2, r-h/2, r, 0)...))}
	case artwork.Polygon:
		return [][]geom.Point{round(0, 0, a.Vertices, a.Turn.Degrees()*math.Pi/180, func(float64) float64 { return w / 2 })}
	}
	var out [][]geom.Point
	for _, p := range a.Primitives {
		require.False(t, p.Off, "a macro that erases")
		require.Equal(t, artwork.PrimCenterLine, p.Kind, "a macro's primitive")
		out = append(out, bar(float64(p.Points[0].X), float64(p.Points[0].Y), float64(p.Size[0]), float64(p.Size[1]), p.Turn))
	}
	return out
}

// swept gives what a pen covers on its way along a straight edge. A round pen is turned, so that the
// sides of its way lie as far from the edge as they should.
func swept(a artwork.Aperture, pen []geom.Point, e geom.Edge) geom.Path {
	if a.Shape == artwork.Circle {
		d := e.To.Sub(e.From)
		pen = corners(0, 0, float64(a.Width)/2, math.Atan2(float64(d.Y), float64(d.X)))
	}
	var all []geom.Point
	for _, c := range pen {
		all = append(all, e.From.Add(c), e.To.Add(c))
	}
	return polygon(hull(all))
}

// hull gives the corners of the smallest convex polygon round points, counter-clockwise.
func hull(points []geom.Point) []geom.Point {
	slices.SortFunc(points, func(p, q geom.Point) int { return cmp.Or(cmp.Compare(p.X, q.X), cmp.Compare(p.Y, q.Y)) })
	var out []geom.Point
	for range 2 { // from left to right below, then back above
		base := len(out)
		for _, p := range points {
			for n := len(out); n >= base+2 && out[n-1].Sub(out[n-2]).Cross(p.Sub(out[n-2])) <= 0; n = len(out) {
				out = out[:n-1]
			}
			out = append(out, p)
		}
		out = out[:len(out)-1] // the next half begins with it
		slices.Reverse(points)
	}
	return out
}
