// Package mesh cuts regions into triangles for the finite elements: fine where it is told to be, coarse in the open,
// no angle small but where the region itself has one.
//
// Make goes this way:
//
//  1. flatten follows arcs by chords, and leaves out corners that stray no more than these.
//  2. tidy merges what lies closer together than Domain.Tidy, and parts all edges where they meet.
//  3. triangulate makes a constrained Delaunay triangulation, with exact predicates on whole nanometres.
//  4. carve keeps what lies inside the region, by its winding numbers.
//  5. refine adds nodes until triangles are as small as the sizes ask for and have no small angle (J. Ruppert, "A Delaunay
//     refinement algorithm for quality 2-dimensional mesh generation", Journal of Algorithms 18, 1995).
//  6. gather gives the result, with nodes of their own for pieces that meet in a corner only.
package mesh

import (
	"context"
	"errors"
	"fmt"

	"panelwright/pipeline/geom"
)

// Domain is what is to be cut into triangles. Lengths are whole nanometres.
type Domain struct {
	Region geom.Region // arcs are followed by chords, which stray from them by 10 to 50 µm, a fiftieth of the size asked for there
	// Lines are straight lines that edges of triangles must follow where they lie within the region or on its
	// border. They may cross one another and the border, touch, and lie on the border.
	Lines  []Line
	Points []geom.Point // where a node must be, within the region or on its border; others are left out
	// Open is how long edges are where nothing is near; Near says where they are shorter.
	Open geom.Length
	Near []Near
	// Grading is how much longer edges may become for each length away from what is near, 0.1 to 1; 0 means 0.35.
	Grading float64
	// Tidy is how close corners may come before they are taken as one; gaps and slivers up to half as wide vanish. What moves,
	// moves by little more. 0 means 20 µm. Beside arcs gaps are only sure to stay where they are wider than twice what chords stray.
	Tidy geom.Length
}

// Line is one straight line that edges follow. It is divided as the sizes ask for.
type Line struct{ From, To geom.Point }

// Near asks for edges of about Size along Edge.
type Near struct {
	Edge geom.Edge
	Size geom.Length
}

// Mesh is a region cut into triangles.
type Mesh struct {
	Nodes     []geom.Point
	Triangles [][3]int32 // counter-clockwise
	Piece     []int32    // of each triangle: which connected piece it belongs to, from 0
	Pieces    int        // pieces, or parts of one, that meet in a corner only have a node each there
	Lines     [][]int32  // for each line of the domain the nodes on it, in order from From to To; it may have gaps
	Points    []int32    // for each point of the domain its node, one of them where pieces meet; -1 for those left out
	Border    [][2]int32 // edges on the region's border, the material to the left
}

// Make cuts a domain into triangles. It is the same on every processor, and does not depend on the order of outlines, lines and
// points. Where details of the region would take many times the nodes that the sizes ask for, those that are smaller than a fifth
// of the size are left as thin as they are. Errors are that ctx is done, or that the region cannot be cut, with the place.
func Make(ctx context.Context, d Domain) (*Mesh, error) {
	d.fill()
	if err := d.check(); err != nil {
		return nil, err
	}
	m, _, err := build(ctx, d)
	return m, err
}

// build is Make for a domain that is checked; it also tells whether details were left thin.
func build(ctx context.Context, d Domain) (*Mesh, bool, error) {
	sizes := newField(&d)
	wanted, densest := sizes.count(d.Region.Box())
	if wanted > mostNodes {
		return nil, false, fmt.Errorf("mesh: edges as short as asked for would take far more than %d nodes, most of them near %v", mostNodes, densest)
	}
	p, err := tidy(ctx, flatten(&d, sizes), d.Tidy)
	if err != nil {
		return nil, false, err
	}
	t, err := triangulate(ctx, p)
	if err != nil {
		return nil, false, err
	}
	t.carve(p)
	left, err := refine(ctx, t, p, sizes, d.Tidy, wanted)
	if err != nil {
		return nil, false, err
	}
	return gather(t, p), left, nil
}

// fill puts what is left open to what it stands for.
func (d *Domain) fill() {
	if d.Tidy == 0 {
		d.Tidy = 20 * geom.UM
	}
	if d.Grading == 0 {
		d.Grading = 0.35
	}
}

// check says what is wrong with a domain.
func (d *Domain) check() error {
	if d.Open <= 0 {
		return errors.New("mesh: edges in the open must be longer than 0")
	}
	if !(d.Grading >= 0.1 && d.Grading <= 1) {
		return fmt.Errorf("mesh: a grading of %g is not within 0.1 and 1", d.Grading)
	}
	if d.Tidy < 100 || d.Tidy > geom.MM {
		return fmt.Errorf("mesh: to tidy up below %v is not within 0.0001 mm and 1 mm", d.Tidy)
	}
	far := func(ps ...geom.Point) error {
		for _, p := range ps {
			if !p.Within() {
				return fmt.Errorf("mesh: %v lies beyond ±1 m", p)
			}
		}
		return nil
	}
	for _, n := range d.Near {
		if n.Size <= 0 {
			return fmt.Errorf("mesh: edges near %v must be longer than 0", n.Edge.From)
		}
		if err := far(n.Edge.From, n.Edge.To, n.Edge.Center); err != nil {
			return err
		}
	}
	for _, l := range d.Lines {
		if err := far(l.From, l.To); err != nil {
			return err
		}
	}
	if err := far(d.Points...); err != nil {
		return err
	}
	for path := range d.paths() {
		if !path.Closed() {
			return fmt.Errorf("mesh: the region's border at %v is not closed", path[0].From)
		}
		for i, e := range path {
			if i > 0 && path[i-1].To != e.From {
				return fmt.Errorf("mesh: the region's border breaks off at %v", e.From)
			}
			if err := far(e.From, e.To, e.Center); err != nil {
				return err
			}
			if b := e.Box(); !b.Min.Within() || !b.Max.Within() {
				return far(b.Min, b.Max)
			}
		}
	}
	return nil
}

// paths gives all paths of the region that have edges.
func (d *Domain) paths() func(yield func(geom.Path) bool) {
	return func(yield func(geom.Path) bool) {
		for _, o := range d.Region {
			if len(o.Outer) > 0 && !yield(o.Outer) {
				return
			}
			for _, c := range o.CutOuts {
				if len(c) > 0 && !yield(c) {
					return
				}
			}
		}
	}
}
