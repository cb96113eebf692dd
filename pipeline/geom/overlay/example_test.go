package overlay_test

import (
	"context"
	"fmt"

	"panelwright/pipeline/geom"
	"panelwright/pipeline/geom/overlay"
)

func box(x, y, w, h geom.Length) geom.Outline {
	return geom.Outline{Outer: geom.Rectangle(geom.BoxOf(geom.Pt(x, y), geom.Pt(x+w, y+h)))}
}

// What is left of a panel when two boards are cut out of it.
func ExampleDifference() {
	const mm = geom.MM
	panel := overlay.Of(box(0, 0, 100*mm, 60*mm))
	boards := overlay.Of(box(5*mm, 5*mm, 40*mm, 50*mm), box(47*mm, 5*mm, 40*mm, 50*mm))
	frame, err := overlay.Difference(context.Background(), overlay.Options{}, panel, boards)
	if err != nil {
		fmt.Println(err)
		return
	}
	fmt.Println(len(frame), "piece with", len(frame[0].CutOuts), "cut-outs,", frame.Area()/1e12, "mm²")
	// Output: 1 piece with 2 cut-outs, 2000 mm²
}

// A round hole stays round.
func ExampleUnion() {
	const mm = geom.MM
	c := geom.Pt(10*mm, 10*mm)
	from := geom.Pt(7*mm, 10*mm)
	hole := geom.Path{geom.Arc(from, from, c, geom.Clockwise)}
	board := geom.Outline{Outer: geom.Rectangle(geom.BoxOf(geom.Pt(0, 0), geom.Pt(20*mm, 20*mm))), CutOuts: []geom.Path{hole}}
	r, err := overlay.Union(context.Background(), overlay.Options{}, overlay.Of(board), overlay.Of(box(18*mm, 5*mm, 10*mm, 10*mm)))
	if err != nil {
		fmt.Println(err)
		return
	}
	fmt.Println(len(r[0].Outer), "edges outside, the cut-out:", r[0].CutOuts[0][0].Radius()/1e6, "mm about", r[0].CutOuts[0][0].Center)
	// Output: 8 edges outside, the cut-out: 3 mm about (10, 10)
}

// One pass tells which boards overlap, and where.
func ExampleArrangement_Patches() {
	const mm = geom.MM
	a, err := overlay.Arrange(context.Background(), overlay.Options{},
		overlay.Of(box(0, 0, 30*mm, 20*mm)), overlay.Of(box(29*mm, 0, 30*mm, 20*mm)), overlay.Of(box(60*mm, 0, 30*mm, 20*mm)))
	if err != nil {
		fmt.Println(err)
		return
	}
	patches, err := a.Patches(context.Background())
	if err != nil {
		fmt.Println(err)
		return
	}
	for _, p := range patches {
		fmt.Println(p.Operands, p.Region.Area()/1e12, "mm²")
	}
	// Output:
	// [0] 580 mm²
	// [0 1] 20 mm²
	// [1] 580 mm²
	// [2] 600 mm²
}
