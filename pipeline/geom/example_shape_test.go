package geom_test

import (
	"fmt"

	"panelwright/pipeline/geom"
)

func ExampleDistance() {
	a := geom.Outline{Outer: geom.Rectangle(geom.BoxOf(geom.Pt(0, 0), geom.Pt(10*geom.MM, 10*geom.MM)))}
	hole := geom.Pt(13*geom.MM, 14*geom.MM)
	d, p, q := geom.Distance(a, hole)
	fmt.Println(d/1e6, p, q)
	d, _, _ = geom.Distance(a, geom.Pt(geom.MM, geom.MM)) // in the area
	fmt.Println(d)
	// Output:
	// 5 (10, 10) (13, 14)
	// 0
}

func ExampleRegion_Moments() {
	r := geom.Region{{Outer: geom.Rectangle(geom.BoxOf(geom.Pt(0, 0), geom.Pt(30*geom.MM, 20*geom.MM)))}}
	m := r.Moments()
	fmt.Printf("%.6g %v %.6g %.6g\n", m.Area/1e12, m.Centroid(), m.XX/1e24, m.YY/1e24) // mm², mm, mm⁴: 30·20³/12, 20·30³/12
	// Output: 600 (15, 10) 20000 45000
}

func ExampleShapes_Nearest() {
	s := geom.Gather(geom.Pt(9*geom.MM, 0), geom.Pt(2*geom.MM, 0), geom.Pt(-2*geom.MM, 0))
	for _, n := range s.Nearest(geom.Pt(0, 0), 2) {
		fmt.Println(n.Shape, n.Distance/1e6, n.At)
	}
	// Output:
	// 1 2 (2, 0)
	// 2 2 (-2, 0)
}

func ExamplePieces() {
	fmt.Println(geom.Pieces(1e6, geom.Pt(0, 0), geom.Pt(5*geom.MM, 0), geom.Pt(1*geom.MM, 0)))
	// Output: [[0 2] [1]]
}

func ExampleLocator() {
	l := geom.NewLocator(geom.Region{{Outer: geom.Rectangle(geom.BoxOf(geom.Pt(0, 0), geom.Pt(geom.MM, geom.MM)))}})
	fmt.Println(l.Locate(geom.Pt(1, 1)), l.Locate(geom.Pt(0, 1)), l.Locate(geom.Pt(-1, 1)))
	// Output: inside on the edge outside
}
