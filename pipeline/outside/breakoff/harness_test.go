package breakoff

import (
	"bytes"
	"context"
	"errors"
	"fmt"
	"io"
	"slices"
	"strings"
	"sync"

	"github.com/rs/zerolog"
	"github.com/stretchr/testify/require"

	"panelwright/pipeline"
	"panelwright/pipeline/geom"
	"panelwright/pipeline/panel"
	"panelwright/pipeline/proof"
	"panelwright/stages/breakofftabs"
	"panelwright/stages/writefab"
)

// frame lays an array of one board, columns by rows, 2 mm apart in a frame of four rails.
func frame(o geom.Outline, columns, rows int) (panel.Panel, error) {
	return frameApart(o, columns, rows, 2*geom.MM)
}

// frameApart does so with another gap between boards, and between boards and rails.
func frameApart(o geom.Outline, columns, rows int, gap geom.Length) (panel.Panel, error) {
	const rail = 8 * geom.MM
	b := &panel.Board{Name: "gauge", CopperCount: 2, Thickness: 1600 * geom.UM, Outline: o}
	size := o.Box()
	e := panel.Panel{}.Edit().AddBoard(b)
	for y := range rows {
		for x := range columns {
			at := geom.Pt(geom.Length(x)*(size.Width()+gap), geom.Length(y)*(size.Height()+gap))
			e.AddCopy(panel.Copy{ID: fmt.Sprintf("%c%d", 'A'+y, x+1), Board: b, Place: panel.Settle(b, 0, at)})
		}
	}
	return e.FitOutline().LayRails([]panel.RailSide{panel.Upper, panel.Lower, panel.Left, panel.Right}, rail, gap, 0, false).Build()
}

// a made panel is one with tabs, and what was found on the way: errors only.
type made struct {
	panel           panel.Panel
	found           []pipeline.Finding // by the stage
	proved          []pipeline.Finding // by the proof, on the written files
	tabs, unreached int
}

// errorsOf gives findings at error level.
func errorsOf(all []pipeline.Finding) []pipeline.Finding {
	return slices.DeleteFunc(slices.Clone(all), func(f pipeline.Finding) bool { return f.Severity != pipeline.Error })
}

// plan runs stage breakoff_tabs alone.
func plan(ctx context.Context, in panel.Panel, set func(*breakofftabs.BreakoffTabs)) (*made, error) {
	s := breakofftabs.Kind().New().(*breakofftabs.BreakoffTabs)
	if set != nil {
		set(s)
	}
	if err := s.Check(); err != nil {
		return nil, err
	}
	m := &made{}
	got, err := s.Run(ctx, m.env(&memory{}), in)
	if err != nil {
		return nil, err
	}
	m.panel, m.tabs, m.unreached = got.Panel, len(got.Panel.Tabs()), len(got.Panel.Unreached())
	m.found = errorsOf(m.found)
	return m, nil
}

func (m *made) env(files *memory) *pipeline.Env {
	return pipeline.NewEnv(pipeline.Env{Log: zerolog.Nop(), Panel: "tried", Revision: "A", Workers: 2, Files: files, Program: pipeline.Program{Name: "tried", Version: "0"}},
		func(f pipeline.Finding) { m.found = append(m.found, f) }, func() []pipeline.Finding { return m.found })
}

// build runs stage breakoff_tabs, writes the files in memory, and proves them.
func build(ctx context.Context, in panel.Panel, set func(*breakofftabs.BreakoffTabs)) (*made, error) {
	return buildWith(ctx, in, set, true)
}

// buildWith does so with or without the rout program, which takes as long as all the rest and is not what
// is proved.
func buildWith(ctx context.Context, in panel.Panel, set func(*breakofftabs.BreakoffTabs), program bool) (*made, error) {
	m, err := plan(ctx, in, set)
	if err != nil {
		return nil, err
	}
	files := &memory{}
	written := m.panel
	if !program {
		if written, err = m.panel.Edit().SetCutters(nil).Build(); err != nil {
			return nil, err
		}
	}
	if _, err := writefab.Kind().New().Run(ctx, (&made{}).env(files), written); err != nil {
		return nil, err
	}
	w := pipeline.Written{Panel: m.panel, Name: "tried", Read: files.ReadBack, Outputs: files.names, Workers: 2}
	slices.Sort(w.Outputs)
	found, err := proof.Prove(ctx, w)
	m.proved = errorsOf(found)
	return m, err
}

// sentences gives what findings say, a line each.
func sentences(all []pipeline.Finding) string {
	var s strings.Builder
	for _, f := range all {
		fmt.Fprintf(&s, "\n  %s: %s", f.Rule, f.Message)
	}
	return s.String()
}

// memory is a build folder in memory.
type memory struct {
	mu    sync.Mutex
	names []string
	data  map[string]*buffer
}

type buffer struct{ bytes.Buffer }

// Close does nothing.
func (*buffer) Close() error { return nil }

var errNoInput = errors.New("nothing is read here")

func (*memory) List(context.Context, pipeline.InPath) ([]pipeline.InPath, error) {
	return nil, errNoInput
}

func (*memory) Read(context.Context, pipeline.InPath) ([]byte, error) { return nil, errNoInput }

func (m *memory) Create(name string) (io.WriteCloser, error) {
	m.mu.Lock()
	defer m.mu.Unlock()
	if m.data == nil {
		m.data = map[string]*buffer{}
	}
	b := &buffer{}
	m.names, m.data[name] = append(m.names, name), b
	return b, nil
}

func (m *memory) ReadBack(name string) ([]byte, error) {
	m.mu.Lock()
	defer m.mu.Unlock()
	if b := m.data[name]; b != nil {
		return b.Bytes(), nil
	}
	return nil, fmt.Errorf("%s was not made", name)
}

func (*memory) Archive(string, []string) error { return nil }

// holdsPlace fails where a perforation reaches into a board, or a tab stands off the edges it joins.
func holdsPlace(t require.TestingT, name string, p panel.Panel) {
	const rounding = float64(geom.UM)
	outlines := map[string]geom.Outline{}
	for _, c := range p.Copies() {
		outlines[c.ID] = c.Outline()
	}
	for _, h := range p.Perforations() {
		for id, o := range outlines {
			if !o.Box().Grow(geom.MM).HoldsPoint(h.At) {
				continue
			}
			require.NotEqual(t, geom.Inside, o.Locate(h.At), "%s: %s at %v mm lies in %s", name, h.ID, h.At, id)
			require.GreaterOrEqual(t, o.Distance(h.At), float64(h.Diameter)/2-rounding, "%s: %s at %v mm reaches into %s", name, h.ID, h.At, id)
		}
	}
	for _, x := range p.Tabs() {
		for i, id := range x.Copies {
			d := geom.Outline{Outer: outlines[id].Outer}.Distance(x.Feet[i])
			require.LessOrEqual(t, d, rounding, "%s: %s stands %v nm off the edge of %s", name, x.ID, d, id)
		}
	}
}

var _ pipeline.Files = (*memory)(nil)
