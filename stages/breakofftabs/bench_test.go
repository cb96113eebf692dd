package breakofftabs_test

import (
	"bytes"
	"context"
	"errors"
	"fmt"
	"io"
	"math"
	"sort"
	"sync"
	"testing"

	"github.com/rs/zerolog"
	"github.com/stretchr/testify/require"

	"panelwright/pipeline"
	"panelwright/pipeline/geom"
	"panelwright/pipeline/panel"
	"panelwright/pipeline/proof"
	"panelwright/pipeline/rout"
	"panelwright/stages/breakofftabs"
	"panelwright/stages/writefab"
)

// memory is a build folder in memory.
type memory struct {
	pipeline.Files
	lock  sync.Mutex
	files map[string][]byte
}

type memoryFile struct {
	bytes.Buffer
	name string
	to   *memory
}

func (f *memoryFile) Close() error {
	f.to.lock.Lock()
	defer f.to.lock.Unlock()
	f.to.files[f.name] = f.Bytes()
	return nil
}

func (m *memory) Create(name string) (io.WriteCloser, error) {
	return &memoryFile{name: name, to: m}, nil
}
func (m *memory) Archive(string, []string) error { return nil }

// built is what a panel became: with tabs, written, and proved.
type built struct {
	panel    panel.Panel
	files    map[string][]byte
	findings []pipeline.Finding // of the stage and of the proof
}

// tabbed runs the stage.
func tabbed(s *breakofftabs.BreakoffTabs, p panel.Panel) (panel.Panel, []pipeline.Finding, error) {
	var found []pipeline.Finding
	if err := s.Check(); err != nil {
		return panel.Panel{}, nil, err
	}
	env := pipeline.NewEnv(pipeline.Env{Log: zerolog.Nop(), Panel: "trial"}, func(f pipeline.Finding) { found = append(found, f) }, nil)
	r, err := s.Run(context.Background(), env, p)
	return r.Panel, found, err
}

// write writes a panel's fabrication files.
func write(p panel.Panel) (map[string][]byte, error) {
	m := &memory{files: map[string][]byte{}}
	env := pipeline.NewEnv(pipeline.Env{Log: zerolog.Nop(), Panel: "trial", Files: m}, func(pipeline.Finding) {}, nil)
	_, err := (&writefab.WriteFab{Slots: "rout"}).Run(context.Background(), env, p)
	return m.files, err
}

// prove runs the proof on written files.
func prove(p panel.Panel, files map[string][]byte) ([]pipeline.Finding, error) {
	in := pipeline.Written{Panel: p, Name: "trial", Read: func(name string) ([]byte, error) {
		if data, ok := files[name]; ok {
			return data, nil
		}
		return nil, errors.New(name + " is not there")
	}}
	for name := range files {
		in.Outputs = append(in.Outputs, name)
	}
	sort.Strings(in.Outputs)
	return proof.Prove(context.Background(), in)
}

// build runs the stage, writes and proves.
func build(s *breakofftabs.BreakoffTabs, p panel.Panel) (built, error) {
	out, found, err := tabbed(s, p)
	if err != nil {
		return built{}, err
	}
	files, err := write(out)
	if err != nil {
		return built{}, err
	}
	more, err := prove(out, files)
	return built{out, files, append(found, more...)}, err
}

// stage gives the stage as it is without options.
func stage() *breakofftabs.BreakoffTabs {
	return breakofftabs.Kind().New().(*breakofftabs.BreakoffTabs)
}

// framed places copies of an outline side by side in a frame of four rails.
func framed(t testing.TB, o geom.Outline, columns, rows int, gap geom.Length) panel.Panel {
	t.Helper()
	board := &panel.Board{Name: "weir", CopperCount: 2, Thickness: 1600 * geom.UM, Outline: o}
	size := o.Outer.Box()
	b := panel.Panel{}.Edit().AddBoard(board)
	for r := range rows {
		for c := range columns {
			at := geom.Pt(geom.Length(c)*(size.Width()+gap), geom.Length(r)*(size.Height()+gap))
			b.AddCopy(panel.Copy{ID: fmt.Sprintf("%s%d", column(c), r+1), Board: board, Column: c, Row: r, Place: panel.Settle(board, 0, at)})
		}
	}
	p, err := b.FitOutline().LayRails([]panel.RailSide{panel.Upper, panel.Lower, panel.Left, panel.Right}, 8*geom.MM, gap, 0, false).Build()
	require.NoError(t, err)
	return p
}

func column(c int) string {
	if c < 26 {
		return string(rune('A' + c))
	}
	return column(c/26-1) + column(c%26)
}

// wavy is a closed outline of n straight edges round a circle.
func wavy(n int, radius geom.Length) geom.Outline {
	p := make(geom.Path, n)
	at := func(i int) geom.Point {
		a := 2 * math.Pi * float64(i%n) / float64(n)
		sin, cos := geom.SinCos(a)
		wave, _ := geom.SinCos(float64(3 * a))
		r := float64(radius) * (1 + float64(0.03*wave))
		return geom.Pt(geom.Round(float64(r*cos)), geom.Round(float64(r*sin)))
	}
	for i := range p {
		p[i] = geom.Line(at(i), at(i+1))
	}
	return geom.Outline{Outer: p}
}

// cushion is a closed outline of n straight edges: a rectangle of the given size with soft corners and
// sides that bulge a little.
func cushion(n int, width, height geom.Length) geom.Outline {
	p := make(geom.Path, n)
	at := func(i int) geom.Point {
		sin, cos := geom.SinCos(2 * math.Pi * float64(i%n) / float64(n))
		soft := func(v float64) float64 { return math.Copysign(math.Sqrt(math.Sqrt(math.Abs(v))), v) }
		return geom.Pt(geom.Round(float64(width)/2*soft(cos)), geom.Round(float64(height)/2*soft(sin)))
	}
	for i := range p {
		p[i] = geom.Line(at(i), at(i+1))
	}
	return geom.Outline{Outer: p}
}

// Planning tabs, the rout program, and proving what was written, for boards whose outline has 300 edges.
func BenchmarkBoards(b *testing.B) {
	s := func() *breakofftabs.BreakoffTabs {
		s := stage()
		s.LongestFreeSpan = 45 * geom.MM
		return s
	}
	for _, n := range []struct{ columns, rows int }{{5, 2}, {10, 10}, {40, 25}} {
		p := framed(b, cushion(300, 22*geom.MM, 30*geom.MM), n.columns, n.rows, 2*geom.MM)
		count := n.columns * n.rows
		b.Run(fmt.Sprintf("plan/%d", count), func(b *testing.B) {
			for b.Loop() {
				_, found, err := tabbed(s(), p)
				require.NoError(b, err)
				require.Empty(b, found)
			}
		})
		out, _, err := tabbed(s(), p)
		require.NoError(b, err)
		var openings geom.Region
		for _, x := range out.Slots() {
			openings = append(openings, x.Outline)
		}
		b.Run(fmt.Sprintf("rout/%d", count), func(b *testing.B) {
			for b.Loop() {
				_, err := rout.Plan(context.Background(), rout.Job{Openings: openings, Outline: out.Outline().Outer, Cutters: out.Cutters()})
				require.NoError(b, err)
			}
		})
		files, err := write(out)
		require.NoError(b, err)
		b.Run(fmt.Sprintf("prove/%d", count), func(b *testing.B) {
			for b.Loop() {
				found, err := prove(out, files)
				require.NoError(b, err)
				require.Empty(b, found)
			}
		})
	}
}
