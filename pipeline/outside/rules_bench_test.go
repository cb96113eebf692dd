package outside

import (
	"fmt"
	"os"
	"path/filepath"
	"runtime"
	"slices"
	"syscall"
	"testing"
	"time"

	"github.com/rs/zerolog"
	"github.com/stretchr/testify/require"

	"panelwright/pipeline"
	"panelwright/pipeline/geom"
	"panelwright/pipeline/internal/boardset"
	"panelwright/pipeline/internal/shared"
	"panelwright/pipeline/panel"
	"panelwright/pipeline/recipe"
	"panelwright/pipeline/rule"
	"panelwright/pipeline/run"
	"panelwright/stages"
	"panelwright/stages/rules"
)

// BenchmarkRules judges a panel of 100 copies of the largest open board, with tabs and with score lines, by every
// rule, as the rules stage does once everything is read; and one of a board whose edge is castellated. The target is
// 1 s. The share of each rule that takes more than a twentieth of the time of all rules, one after the other, stands
// beside it.
func BenchmarkRules(b *testing.B) {
	const target = time.Second
	for _, c := range []struct {
		folder string
		stage  string // that parts the boards
		gap    geom.Length
	}{{largest, "breakoff_tabs", 2 * geom.MM}, {largest, "score_lines", 0}, {"module-6l-slots", "breakoff_tabs", 2 * geom.MM}} {
		b.Run(c.folder+"/"+c.stage, func(b *testing.B) {
			p := hundred(b, c.folder, c.stage, c.gap)
			total, took := shares(b, p)
			env := pipeline.NewEnv(pipeline.Env{Log: zerolog.Nop(), Workers: runtime.GOMAXPROCS(0), Rules: rule.All()}, func(pipeline.Finding) {}, nil)
			var before, after syscall.Rusage
			require.NoError(b, syscall.Getrusage(syscall.RUSAGE_SELF, &before))
			for b.Loop() {
				_, err := rules.Kind().New().Run(b.Context(), env, p)
				require.NoError(b, err)
			}
			require.NoError(b, syscall.Getrusage(syscall.RUSAGE_SELF, &after))
			b.ReportMetric(b.Elapsed().Seconds()/float64(b.N), "s/op")
			b.ReportMetric(float64(after.Utime.Nano()-before.Utime.Nano())/1e9/float64(b.N), "processor-s/op") // what other programs take does not count
			b.ReportMetric(b.Elapsed().Seconds()/float64(b.N)/target.Seconds(), "time/target")
			b.ReportMetric(total.Seconds(), "s-one-by-one")
			for name, t := range took {
				if t*20 > total {
					b.ReportMetric(100*float64(t)/float64(total), "%:"+name)
				}
			}
		})
	}
}

// shares measures what part of the rules' time each of them takes, one after the other, with limits as they are unless
// a recipe sets them.
func shares(b *testing.B, p panel.Panel) (total time.Duration, took map[string]time.Duration) {
	limits := map[string]float64{}
	var judged []pipeline.Rule
	for _, r := range rule.All() {
		limit := r.Default
		if r.DefaultFor != nil {
			limit, _ = r.DefaultFor(p)
		}
		if r.JudgedBy == "" && (limit != nil || r.Bound == pipeline.NoBound) {
			judged = append(judged, r)
			if limit != nil {
				limits[r.Name] = *limit
			}
		}
	}
	took = map[string]time.Duration{}
	for _, r := range judged {
		begun := time.Now()
		this := pipeline.Case{Panel: p, Limit: limits[r.Name], Workers: 1}
		found, err := r.Judge(b.Context(), this)
		require.NoError(b, err)
		if r.Measure != nil {
			_, err := r.Measure(b.Context(), this, found)
			require.NoError(b, err)
		}
		took[r.Name] = time.Since(begun)
		total += took[r.Name]
	}
	return total, took
}

// hundred gives a panel of 10 x 10 copies of an open board between two rails, with marks, and tabs or score lines. The
// largest board makes it longer than the metre that coordinates may reach from the panel's corner, so that it lies
// with its middle on the origin.
func hundred(b *testing.B, folder, parting string, gap geom.Length) panel.Panel {
	boards := shared.Dir(b, "boards")
	dir := b.TempDir()
	require.NoError(b, os.CopyFS(filepath.Join(dir, "data"), os.DirFS(filepath.Join(boards, folder))))
	text := "panel \"bench\" {\n  revision = \"A\"\n}\n"
	name := ""
	for _, x := range boardset.All() {
		if x.Folder == folder {
			text, name = text+x.Stage("data"), x.Name()
		}
	}
	path := filepath.Join(dir, "bench.panel.hcl")
	require.NoError(b, os.WriteFile(path, []byte(text+fmt.Sprintf("stage \"array\" {\n  board   = %q\n  columns = 1\n  rows    = 1\n}\n", name)), 0o644))
	plan, err := recipe.Load(path, recipe.Settings{Kinds: stages.All(), Rules: rule.All()})
	require.NoError(b, err)
	read, err := run.Build(b.Context(), plan, run.Options{CheckOnly: true, Rules: rule.All()})
	require.NoError(b, err)
	board := read.Panel.Board(name)

	size := board.Outline.Box()
	e := panel.Panel{}.Edit().AddBoard(board)
	for row := range 10 {
		for column := range 10 {
			at := geom.Pt(geom.Length(column)*(size.Width()+gap), geom.Length(row)*(size.Height()+gap))
			e.AddCopy(panel.Copy{ID: fmt.Sprintf("%c%d", 'A'+column, row+1), Board: board, Column: column, Row: row, Place: panel.Settle(board, 0, at)})
		}
	}
	e.FitOutline().LayRails([]panel.RailSide{panel.Upper, panel.Lower}, 10*geom.MM, gap, 2*geom.MM, false)
	middle := geom.Pt(5*size.Width()+9*gap/2, 5*size.Height()+9*gap/2+gap+10*geom.MM)
	p, err := e.Shift(geom.Pt(-middle.X, -middle.Y)).Build()
	require.NoError(b, err)
	env := pipeline.NewEnv(pipeline.Env{Log: zerolog.Nop(), Workers: runtime.GOMAXPROCS(0)}, func(pipeline.Finding) {}, nil)
	for _, kind := range stages.All() {
		if slices.Contains([]string{"tooling_holes", "fiducials", parting}, kind.Name) {
			out, err := kind.New().Run(b.Context(), env, p)
			require.NoError(b, err, kind.Name)
			p = out.Panel
		}
	}
	return p
}
