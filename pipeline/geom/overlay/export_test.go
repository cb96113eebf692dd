package overlay

import (
	"context"

	"panelwright/pipeline/geom"
)

// What tests outside the package take from those inside, so that they can import what imports this.

// SceneKinds names the kinds of scenes, in order.
var SceneKinds = []string{"straight edges", "arcs, chords kept", "arcs"}

// Scene makes the operands that a seed stands for.
func Scene(kind int, seed uint64, most int) (Options, []Operand) {
	_, _, o, ops := sceneOf(sceneKind(kind), seed, most)
	return o, ops
}

// Operate gives the results of the four operations.
func Operate(ctx context.Context, o Options, ops []Operand) ([4]geom.Region, error) {
	r, err := newVerdict(ctx, nil, o, ops).operate(o, ops)
	return r, err
}

// Written gives a region's coordinates, every bit of them.
func Written(r geom.Region) []byte { return written(r) }
