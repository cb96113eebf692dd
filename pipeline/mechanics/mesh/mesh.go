// Package mesh cuts regions into triangles for the finite elements: fine where it is told to be, coarse in the open,
// no angle small but where the region itself has one.
package mesh

import (
	"context"
	"errors"

	"panelwright/pipeline/geom"
)

// Domain is what is to be cut into triangles. Lengths are whole nanometres.
type Domain struct {
	Region geom.Region // arcs are followed by chords
	// Lines are straight lines that edges of triangles must follow where they lie within the region or on its
	// border. They may cross one another and the border, touch, and lie on the border.
	Lines  []Line
	Points []geom.Point // where a node must be, within the region or on its border; others are left out
	// Open is how long edges are where nothing is near; Near says where they are shorter.
	Open geom.Length
	Near []Near
	// Grading is how much longer edges may become for each length away from what is near, 0.1 to 1; 0 means 0.35.
	Grading float64
}

// Line is one straight line that edges follow. A Whole line gets no nodes but its ends, those of lines that
// cross it and Domain.Points on it, unless the border or the sizes force more.
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
	Pieces    int
	Lines     [][]int32  // for each line of the domain the nodes on it, in order from From to To
	Points    []int32    // for each point of the domain its node; -1 for those left out
	Border    [][2]int32 // edges on the region's border, the material to the left
}

// Make cuts a domain into triangles. It is the same on every processor. Errors are that ctx is done, or that the region
// cannot be cut, with the place.
func Make(ctx context.Context, d Domain) (*Mesh, error) { return nil, errors.New("not built yet") }
