package samples

import (
	"bytes"
	"io"
	"maps"
	"slices"
	"strings"
	"testing"

	"github.com/rs/zerolog"
	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"panelwright/pipeline"
	"panelwright/pipeline/drawing"
	"panelwright/pipeline/format/xnc"
	"panelwright/pipeline/geom"
	"panelwright/pipeline/panel"
	"panelwright/pipeline/panel/artwork"
	"panelwright/stages/writedrawing/detail"
	"panelwright/stages/writedrawing/tables"
	"panelwright/stages/writedrawing/tools"
	"panelwright/stages/writefab"
)

// memory is a build folder in memory.
type memory struct {
	pipeline.Files
	files map[string]*bytes.Buffer
}

func (m memory) Create(name string) (io.WriteCloser, error) {
	b := &bytes.Buffer{}
	m.files[name] = b
	return keep{b}, nil
}

func (m memory) Archive(string, []string) error { return nil }

type keep struct{ *bytes.Buffer }

func (keep) Close() error { return nil }

// written gives the fabricator's files of a panel.
func written(t *testing.T, p panel.Panel) map[string][]byte {
	t.Helper()
	m := memory{files: map[string]*bytes.Buffer{}}
	env := pipeline.NewEnv(pipeline.Env{Log: zerolog.Nop(), Panel: "trial", Files: m, Workers: 1}, func(pipeline.Finding) {}, nil)
	_, err := writefab.Kind().New().Run(t.Context(), env, p)
	require.NoError(t, err)
	out := map[string][]byte{}
	for name, b := range m.files {
		out[name] = b.Bytes()
	}
	return out
}

// What a row says: plated or not, span, slot or hole, and its size.
type row struct {
	plated    bool
	from, to  int
	slot      bool
	diameter  geom.Length
	breakaway bool
}

// The table of holes counts what the written drill files hold, tool by tool.
func TestHolesEqualTheDrillFiles(t *testing.T) {
	for _, x := range allPanels(t) {
		want := map[row]int{}
		for name, data := range written(t, x.panel) {
			if !strings.HasPrefix(name, "fab/") || !strings.HasSuffix(name, ".drl") {
				continue
			}
			d, _, err := xnc.Read(name, data, xnc.Options{})
			require.NoError(t, err, name)
			breakaway := strings.HasSuffix(name, "-breakoff.drl")
			for _, h := range d.Holes {
				want[row{d.Plating == artwork.Plated, d.From, d.To, false, d.Tools[h.Tool].Diameter, breakaway}]++
			}
			for _, r := range d.Routs {
				want[row{d.Plating == artwork.Plated, d.From, d.To, true, d.Tools[r.Tool].Diameter, breakaway}]++
			}
		}
		got := map[row]int{}
		signs := map[string]bool{}
		list := tools.List(x.panel)
		for _, h := range list {
			got[row{h.Plated, h.From, h.To, h.Use == tools.BoardSlot, h.Diameter, h.Use == tools.Perforation}] += h.Count
			if h.Drawn() {
				continue
			}
			key := h.Symbol.Label()
			for _, p := range h.Symbol.Paths(geom.Point{}, tools.Size) {
				for _, e := range p {
					key += e.From.String() + e.To.String()
				}
			}
			assert.False(t, signs[key], "%s: two tools have one symbol", x.name)
			signs[key] = true
		}
		assert.Equal(t, want, got, x.name)
		for _, table := range tables.All(t.Context(), x.panel, drawing.Usual(drawing.Metric)) {
			if table.Name == "Holes and slots" {
				assert.Len(t, table.Rows, len(list), x.name)
			}
		}
	}
}

// Every file of the table of layers is written, and every layer and drill file that is written stands in it.
func TestLayersEqualTheFiles(t *testing.T) {
	for _, x := range allPanels(t) {
		want := map[string]bool{}
		for name := range written(t, x.panel) {
			if strings.HasPrefix(name, "fab/") && (strings.HasSuffix(name, ".gbr") || strings.HasSuffix(name, ".drl")) && !strings.Contains(name, "array-drawing") {
				want[strings.TrimPrefix(name, "fab/")] = true
			}
		}
		got := map[string]bool{}
		s := tables.Usual()
		s.Panel = "trial"
		for _, table := range s.All(t.Context(), x.panel, drawing.Usual(drawing.Metric)) {
			if table.Name == "Layers" {
				for _, r := range table.Rows {
					assert.False(t, got[r[1].S], "%s: %s twice", x.name, r[1].S)
					got[r[1].S] = true
				}
			}
		}
		assert.Equal(t, slices.Sorted(maps.Keys(want)), slices.Sorted(maps.Keys(got)), x.name)
	}
}

// Every table has as many cells a row as columns, letters that can be shown, and states each tab, each copy, each line
// once; long lists stay compact.
func TestTablesStateAll(t *testing.T) {
	for _, u := range []drawing.Units{drawing.Metric, drawing.Inch, drawing.Both} {
		for _, x := range allPanels(t) {
			count := map[drawing.Fact]int{}
			for _, table := range tables.All(t.Context(), x.panel, drawing.Usual(u)) {
				for _, r := range table.Rows {
					assert.Len(t, r, len(table.Columns), "%s: %s", x.name, table.Name)
					for _, c := range r {
						bad, lacks := drawing.Lacks(c.S)
						assert.False(t, lacks, "%s: %q has %q", x.name, c.S, bad)
						for _, f := range c.Of {
							count[f]++
						}
					}
				}
			}
			for _, tab := range x.panel.Tabs() {
				for _, what := range []string{"x", "y"} {
					assert.Equal(t, 1, count[drawing.Fact{Feature: tab.ID, What: what}], "%s: %s of %s", x.name, what, tab.ID)
				}
			}
			sections := detail.Sections(x.panel)
			for _, s := range x.panel.Scores() { // in a section or in the table, not in both
				want := 1
				if sections[s.ID] != "" {
					want = 0
				}
				assert.Equal(t, want, count[drawing.Fact{Feature: s.ID, What: "remaining_web"}], "%s: %s", x.name, s.ID)
			}
			if len(x.panel.Copies()) <= 24 {
				for _, c := range x.panel.Copies() {
					assert.Equal(t, 1, count[drawing.Fact{Feature: c.ID, What: "x"}], "%s: %s", x.name, c.ID)
				}
			}
			for f, n := range count {
				assert.Equal(t, 1, n, "%s: %v is stated %d times", x.name, f, n)
			}
		}
	}
}

func TestLongTablesStayCompact(t *testing.T) {
	for _, x := range madePanels(t) {
		if x.name != "hundred" {
			continue
		}
		require.Greater(t, len(x.panel.Tabs()), 300)
		for _, table := range tables.All(t.Context(), x.panel, drawing.Usual(drawing.Metric)) {
			assert.LessOrEqual(t, len(table.Rows), 100, table.Name)
			t.Logf("%s: %d rows for %d copies, %d tabs", table.Name, len(table.Rows), len(x.panel.Copies()), len(x.panel.Tabs()))
		}
		return
	}
	t.Fatal("no such panel")
}
