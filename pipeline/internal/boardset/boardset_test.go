package boardset_test

import (
	"bytes"
	"context"
	"fmt"
	"os"
	"path/filepath"
	"testing"

	"github.com/rs/zerolog"
	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"panelwright/pipeline"
	"panelwright/pipeline/geom"
	"panelwright/pipeline/internal/boardset"
	"panelwright/pipeline/internal/shared"
	"panelwright/pipeline/panel"
	"panelwright/pipeline/recipe"
	"panelwright/pipeline/run"
	"panelwright/stages/board"
)

// The sizes, numbers of loops and numbers of drill hits were counted by another program, and stand
// in the notes that come with the data (SOURCE.md of each folder); a slot counts as one hit where it
// is nibbled (G85), and apart from the hits where it is routed. What was found is this reader's own.
var boards = map[string]struct {
	width, height string // mm, two decimals
	cutOuts       int
	copper        int
	hits          int // holes and nibbled slots
	routed        int
	drills        []string
	layers        int // carried
	parts         int // lines of the placement files, by hand
	found         []string
}{
	"control-2l-regions": {"99.80", "137.95", 0, 2, 490, 0, []string{"nonplated-1-2", "plated-1-2"}, 6, 875,
		[]string{"refdes-twice", "placement-outside"}},
	"daughter-2l-arcs74": {"99.95", "69.98", 0, 2, 462, 0, []string{"plated-1-2"}, 6, 0, nil},
	"half-2l-manyslots":  {"162.18", "126.49", 0, 2, 109 + 261, 0, []string{"nonplated-1-2", "plated-1-2"}, 8, 0, nil},
	"module-6l-slots": {"50.80", "22.86", 0, 6, 4 + 504, 4, []string{"nonplated-1-6", "plated-1-6"}, 12, 144,
		[]string{"placement-origin", "placement-origin"}},
	"node-4l-x2":       {"28.00", "80.00", 0, 4, 13 + 289, 6, []string{"nonplated-1-4", "plated-1-4"}, 10, 0, nil},
	"notched-2l-large": {"152.40", "101.60", 0, 2, 739, 0, []string{"plated-1-2"}, 6, 0, nil},
	"pilot-2l-mil":     {"80.00", "40.00", 0, 2, 286, 0, []string{"plated-1-2"}, 8, 116, nil},
	"plate-cutouts":    {"135.15", "94.42", 27, 2, 0, 0, []string{"nonplated-1-2", "plated-1-2"}, 8, 0, []string{"outline-joined"}},
	"square-10l-inch":  {"170.00", "170.00", 0, 10, 10 + 1751, 0, []string{"nonplated-1-10", "plated-1-10"}, 12, 0, []string{"copper-layer-missing"}},
	"tiny-4l-blind": {"13.00", "9.40", 1, 4, 29 + 53 + 167, 0, []string{"nonplated-1-4", "plated-1-2", "plated-2-3", "plated-3-4"}, 8, 38,
		[]string{"placement-origin"}},
	"watch-2l-loops": {"24.40", "24.38", 7, 2, 93, 0, []string{"plated-1-2"}, 8, 35, []string{"refdes-twice"}},
}

func TestBoards(t *testing.T) {
	dir := shared.Dir(t, "boards")
	entries, err := os.ReadDir(dir)
	require.NoError(t, err)
	require.Len(t, boardset.All(), len(entries), "the table must name every folder")
	for _, b := range boardset.All() {
		t.Run(b.Folder, func(t *testing.T) {
			want, ok := boards[b.Folder]
			require.True(t, ok)
			p, findings, err := read(t, dir, b, 1)
			require.NoError(t, err)
			x := p.Board(b.Name())
			box := x.Outline.Box()
			assert.Equal(t, want.width, fmt.Sprintf("%.2f", box.Width().MM()))
			assert.Equal(t, want.height, fmt.Sprintf("%.2f", box.Height().MM()))
			assert.Len(t, x.Outline.CutOuts, want.cutOuts)
			assert.Equal(t, want.copper, x.CopperCount)
			assert.Len(t, x.Layers, want.layers)
			assert.Len(t, x.Parts, want.parts)
			var keys []string
			hits, routed := 0, 0
			for _, d := range x.Drills {
				keys = append(keys, d.Key())
				hits += len(d.Drilling.Holes)
				for _, r := range d.Drilling.Routs {
					if r.Canned {
						hits++
					} else {
						routed++
					}
				}
				for _, h := range d.Drilling.Holes {
					if !box.Grow(geom.MM).HoldsPoint(h.At) {
						t.Fatalf("%s: a hole at %v lies off the board", d.Source, h.At)
					}
				}
			}
			assert.Equal(t, want.drills, keys)
			assert.Equal(t, want.hits, hits)
			assert.Equal(t, want.routed, routed)
			var found []string
			for _, f := range findings {
				assert.NotEqual(t, pipeline.Error, f.Severity, f.Message)
				found = append(found, f.Rule)
			}
			assert.Equal(t, want.found, found)

			files, err := os.ReadDir(filepath.Join(dir, b.Folder))
			require.NoError(t, err)
			assert.Len(t, x.Sources, len(files), "every file is accounted for")
			for _, s := range x.Sources {
				assert.True(t, (s.Use == "") != (s.Ignored == ""), "%s: %q, %q", s.Name, s.Use, s.Ignored)
			}

			again, _, err := read(t, dir, b, 8)
			require.NoError(t, err)
			assert.Equal(t, x, again.Board(b.Name()), "the number of workers shows")
		})
	}
}

// TestSurveys: every board is surveyed without a recipe; what a survey proposes is a recipe that can
// be loaded, once a person has filled in what only a person knows.
func TestSurveys(t *testing.T) {
	dir := shared.Dir(t, "boards")
	for _, b := range boardset.All() {
		t.Run(b.Folder, func(t *testing.T) {
			var out bytes.Buffer
			paths := []pipeline.InPath{{Text: b.Folder, Dir: dir}}
			usable, err := board.Survey(context.Background(), run.NewFiles(context.Background(), dir, ""), paths, &out, false, nil)
			require.NoError(t, err)
			assert.Equal(t, b.Folder != "square-10l-inch", usable)
			text := out.String()
			_, proposed, ok := bytes.Cut([]byte(text), []byte("\na recipe would say\n"))
			require.True(t, ok)
			if b.Folder == "square-10l-inch" {
				assert.Contains(t, text, "-GND1.gbr\" {")
				assert.Contains(t, text, "what keeps these files from being a board")
				return
			}
			assert.NotContains(t, text, "what keeps these files from being a board")
			base := t.TempDir() // where the recipe's folder has the name that the survey was given
			require.NoError(t, os.Mkdir(filepath.Join(base, b.Folder), 0o777))
			path := filepath.Join(base, "x.panel.hcl")
			require.NoError(t, os.WriteFile(path, append([]byte("panel \"x\" {\n  revision = \"A\"\n}\n"), proposed...), 0o666))
			_, err = recipe.Load(path, recipe.Settings{Kinds: []pipeline.Kind{board.Kind()}})
			require.NoError(t, err)
		})
	}
}

// read reads one board through a recipe of its own, as a build would.
func read(t testing.TB, dir string, b boardset.Board, workers int) (panel.Panel, []pipeline.Finding, error) {
	t.Helper()
	base, err := filepath.EvalSymlinks(t.TempDir())
	require.NoError(t, err)
	rel, err := filepath.Rel(base, filepath.Join(dir, b.Folder))
	require.NoError(t, err)
	path := filepath.Join(base, "x.panel.hcl")
	text := "panel \"x\" {\n  revision = \"A\"\n}\n" + b.Stage(filepath.ToSlash(rel))
	require.NoError(t, os.WriteFile(path, []byte(text), 0o666))
	plan, err := recipe.Load(path, recipe.Settings{Kinds: []pipeline.Kind{board.Kind()}})
	require.NoError(t, err)
	require.Len(t, plan.Calls, 1)
	s, err := plan.Calls[0].Stage(nil)
	require.NoError(t, err)
	var findings []pipeline.Finding
	env := pipeline.NewEnv(pipeline.Env{Log: zerolog.Nop(), Panel: "x", Workers: workers, Files: run.NewFiles(context.Background(), base, "")},
		func(f pipeline.Finding) { findings = append(findings, f) }, func() []pipeline.Finding { return findings })
	got, err := s.Run(context.Background(), env, panel.Panel{})
	return got.Panel, findings, err
}

// BenchmarkRead reads the largest board, ten copper layers of 5 MB.
func BenchmarkRead(b *testing.B) {
	dir := shared.Dir(b, "boards")
	for _, x := range boardset.All() {
		if x.Folder != "square-10l-inch" {
			continue
		}
		b.ReportAllocs()
		for b.Loop() {
			if _, _, err := read(b, dir, x, 1); err != nil {
				b.Fatal(err)
			}
		}
	}
}
