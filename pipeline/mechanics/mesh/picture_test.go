package mesh

import (
	"bufio"
	"fmt"
	"os"
	"testing"

	"github.com/stretchr/testify/require"

	"panelwright/pipeline/geom"
)

// draw writes a mesh as an SVG picture where MESH_PICTURES names a folder.
func draw(t testing.TB, name string, d Domain, m *Mesh) {
	dir := os.Getenv("MESH_PICTURES")
	if dir == "" {
		return
	}
	f, err := os.Create(dir + "/" + name + ".svg")
	require.NoError(t, err)
	defer f.Close()
	w := bufio.NewWriter(f)
	defer w.Flush()
	b := geom.BoxOf(m.Nodes...)
	margin := max(b.Max.X-b.Min.X, b.Max.Y-b.Min.Y) / 50
	b = b.Grow(margin)
	x := func(p geom.Point) float64 { return (p.X - b.Min.X).MM() }
	y := func(p geom.Point) float64 { return (b.Max.Y - p.Y).MM() }
	thin := (b.Max.X - b.Min.X).MM() / 4000
	fmt.Fprintf(w, `<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 %g %g"><rect width="100%%" height="100%%" fill="white"/>`+"\n", (b.Max.X - b.Min.X).MM(), (b.Max.Y - b.Min.Y).MM())
	fills := []string{"#cde", "#edc", "#dec", "#ecd", "#dce", "#ced"}
	for i, q := range m.Triangles {
		p := [3]geom.Point{m.Nodes[q[0]], m.Nodes[q[1]], m.Nodes[q[2]]}
		fill := fills[int(m.Piece[i])%len(fills)]
		if smallest(p) < 25.9 {
			fill = "#f66"
		}
		fmt.Fprintf(w, `<path d="M%g %gL%g %gL%g %gZ" fill="%s" stroke="#345" stroke-width="%g"/>`+"\n", x(p[0]), y(p[0]), x(p[1]), y(p[1]), x(p[2]), y(p[2]), fill, thin)
	}
	for _, l := range m.Lines {
		for i := 1; i < len(l); i++ {
			p, q := m.Nodes[l[i-1]], m.Nodes[l[i]]
			fmt.Fprintf(w, `<path d="M%g %gL%g %g" stroke="#c0c" stroke-width="%g"/>`+"\n", x(p), y(p), x(q), y(q), 3*thin)
		}
	}
	for _, n := range m.Points {
		if n >= 0 {
			fmt.Fprintf(w, `<circle cx="%g" cy="%g" r="%g" fill="#c00"/>`+"\n", x(m.Nodes[n]), y(m.Nodes[n]), 6*thin)
		}
	}
	fmt.Fprintln(w, "</svg>")
}
