package intake

import (
	"context"
	"errors"
	"fmt"
	"math"

	"panelwright/pipeline"
	"panelwright/pipeline/geom"
	"panelwright/pipeline/panel"
	"panelwright/pipeline/panel/artwork"
)

const (
	// nearEdge is how far from the board's edge tracks and spacings are looked for (common practice, no
	// published source: what is cut, broken or routed strains the copper within a few millimetres).
	nearEdge = 5 * geom.MM
	// farEdge is how far from the edge copper is looked for at all.
	farEdge = 10 * geom.MM
	// mostWork bounds what one layer's measures may take, as a weight that is about the number of straight
	// pieces that its copper is made of, times the changes of polarity.
	mostWork = 2_000_000
)

// Figure is a measure and where it was taken, in the coordinates of the layers.
type Figure struct {
	Size geom.Length
	At   geom.Point
}

// less orders figures by size, then by place, so that of several alike always the same is told.
func (f Figure) less(g Figure) bool { return f.Size < g.Size || f.Size == g.Size && f.At.Less(g.At) }

// CopperMeasure is what was measured of one copper layer, as it is when all of it has been drawn: what is
// drawn clear is not there. A nil figure means that there is none.
type CopperMeasure struct {
	Layer  panel.Function
	Source string
	// ToEdge is the smallest distance between copper and the board's edge, cut-outs too, up to farEdge: 0
	// where the edge cuts copper. Copper that lies wholly beyond the edge does not count, nor do stretches of the
	// edge that have a class and edgeclass.Beside on either side of them. At is on the copper.
	ToEdge *Figure
	// Track is the thinnest stroke of a round pen within nearEdge of the edge that has no copper on either
	// side. At is its middle.
	Track *Figure
	// Spacing is the smallest gap on the board, within nearEdge of the edge, between pieces of copper that nothing
	// on the layer joins. At is the gap's middle.
	Spacing *Figure
	LeftOut string // why nothing was measured
}

// Measure finds the classes of the edge and measures the copper layers, once the outline is known. An error
// means that ctx is done, or a fault of the geometry.
func (r *Result) Measure(ctx context.Context) error {
	r.measures, r.classes = nil, nil
	if !r.Outline.Found {
		return nil
	}
	var err error
	if r.classes, err = r.findEdges(ctx); err != nil {
		return err
	}
	plain := plainEdges(r.Outline.Outline, r.classes)
	var layers []layer
	for _, l := range r.layers {
		if l.is.Kind == panel.Copper && l.file.Image != nil {
			layers = append(layers, l)
		}
	}
	out := make([]CopperMeasure, len(layers))
	err = pipeline.Each(ctx, min(r.req.Workers, 2), len(layers), func(i int) error {
		l := layers[i]
		out[i] = CopperMeasure{Layer: l.is, Source: l.file.Name}
		err := out[i].measure(ctx, l.file.Image, r.Outline.Outline, plain)
		switch {
		case err == nil:
		case ctx.Err() != nil:
			return ctx.Err()
		default:
			var large *tooLarge
			if !errors.As(err, &large) {
				err = fmt.Errorf("its copper could not be worked out: %w", err)
			}
			out[i].ToEdge, out[i].Track, out[i].Spacing, out[i].LeftOut = nil, nil, nil, err.Error()
		}
		return nil
	})
	if err == nil {
		r.measures = out
	}
	return err
}

// tooLarge says that a layer was not measured, because it would take too long.
type tooLarge struct{ work int }

func (e *tooLarge) Error() string {
	return fmt.Sprintf("not measured: it is drawn with too much detail (weight %d, at most %d is taken)", e.work, mostWork)
}

func (c *CopperMeasure) measure(ctx context.Context, m *artwork.Image, board geom.Outline, plain []geom.Edge) error {
	if w := m.Work(); w > mostWork {
		return &tooLarge{w}
	}
	copper, err := m.Dark(ctx)
	if err != nil || len(copper) == 0 {
		return err
	}
	e := newEdgeFinder(board, board.Edges())
	b := newBorder(copper, e)
	c.ToEdge = b.toEdge(newEdgeFinder(board, plain))
	c.Track = thinnest(m, copper, e)
	c.Spacing = b.spacing()
	return ctx.Err()
}

// edgeFinder answers what lies near some edges of a board.
type edgeFinder struct {
	edges []geom.Edge
	index geom.Index[int]
	where *geom.Locator
}

func newEdgeFinder(board geom.Outline, edges []geom.Edge) *edgeFinder {
	e := &edgeFinder{edges: edges, where: geom.NewLocator(geom.Region{board})}
	for i, x := range e.edges {
		e.index.Insert(x.Box(), i)
	}
	return e
}

// around tells whether the box comes near an edge's box.
func (e *edgeFinder) around(b geom.Box, reach geom.Length) bool {
	near := false
	e.index.Search(b.Grow(reach), func(geom.Box, int) bool { near = true; return false })
	return near
}

// on tells whether a point lies on the board or its edge.
func (e *edgeFinder) on(p geom.Point) bool { return e.where.Locate(p) != geom.Outside }

// near tells whether a point of the board lies within nearEdge of its edge.
func (e *edgeFinder) near(p geom.Point) bool {
	if !e.on(p) {
		return false
	}
	near := false
	e.index.Search(p.Box().Grow(nearEdge), func(_ geom.Box, i int) bool {
		d, _ := geom.PointEdgeDistance(p, e.edges[i])
		near = d <= float64(nearEdge)
		return !near
	})
	return near
}

// thinnest finds the thinnest free stroke of a round pen near the edge.
func thinnest(m *artwork.Image, copper geom.Region, e *edgeFinder) *Figure {
	var where *geom.Locator
	var best *Figure
	for _, o := range m.Objects {
		if o.Clear || o.Kind != artwork.Stroke || o.Edge.From == o.Edge.To && o.Edge.Sense == geom.Straight {
			continue
		}
		a := m.Apertures[o.Aperture]
		if a.Shape != artwork.Circle || a.Width <= 0 {
			continue
		}
		f := Figure{a.Width, o.Edge.At(0.5)}
		if best != nil && !f.less(*best) || !e.around(o.Edge.Box(), nearEdge) || !e.near(f.At) {
			continue
		}
		if where == nil {
			where = geom.NewLocator(copper)
		}
		if free(where, o.Edge, a.Width) {
			best = &f
		}
	}
	return best
}

// free tells whether a stroke has nothing beside it at some place along it: it is then a track of its width,
// not a part of something wider.
func free(copper *geom.Locator, e geom.Edge, width geom.Length) bool {
	beside := width/2 + touching
	for _, f := range [3]float64{0.5, 0.25, 0.75} {
		if copper.Locate(e.At(f)) == geom.Inside && copper.Locate(e.Beside(f, beside)) == geom.Outside && copper.Locate(e.Beside(f, -beside)) == geom.Outside {
			return true
		}
	}
	return false
}

// roundedUM rounds a distance to the micrometre: copper is worked out with arcs in chords within that.
func roundedUM(nm float64) geom.Length {
	return geom.Length(math.Round(nm/float64(geom.UM))) * geom.UM
}
