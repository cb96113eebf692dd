package outside

import (
	"bytes"
	"cmp"
	"context"
	"crypto/sha256"
	"encoding/hex"
	"errors"
	"io"
	"maps"
	"runtime"
	"slices"
	"syscall"
	"testing"
	"time"

	"github.com/rs/zerolog"
	"github.com/stretchr/testify/require"

	"panelwright/pipeline"
	"panelwright/pipeline/geom"
	"panelwright/pipeline/panel"
	"panelwright/pipeline/panel/density"
	"panelwright/pipeline/rule"
	"panelwright/stages"
	"panelwright/stages/rules"
)

// spent is the processor time that this program has taken: what other programs take does not count.
func spent(b *testing.B) time.Duration {
	var u syscall.Rusage
	require.NoError(b, syscall.Getrusage(syscall.RUSAGE_SELF, &u))
	return time.Duration(u.Utime.Nano() + u.Stime.Nano())
}

// against reports what was measured beside a target of wall time.
func against(b *testing.B, before time.Duration, target time.Duration) {
	n := float64(b.N)
	b.ReportMetric(b.Elapsed().Seconds()/n, "s/op")
	b.ReportMetric((spent(b)-before).Seconds()/n, "processor-s/op")
	b.ReportMetric(b.Elapsed().Seconds()/n/target.Seconds(), "time/target")
}

// BenchmarkDensity reckons how much of a panel of 100 copies of the largest open board is copper, square by square, for
// both outer layers. It should add little to the papers: the target is 0.3 s.
func BenchmarkDensity(b *testing.B) {
	p := hundred(b, largest, "breakoff_tabs", 2*geom.MM)
	before := spent(b)
	for b.Loop() {
		_, err := density.Of(b.Context(), p, density.Outer(p), density.Square, func(n int, work func(int) error) error {
			return pipeline.Each(b.Context(), runtime.GOMAXPROCS(0), n, work)
		})
		require.NoError(b, err)
	}
	against(b, before, 300*time.Millisecond)
}

// papers are the stages that write for people, in the order of a recipe.
var papers = []string{"write_assembly", "write_drawing", "write_report"}

// BenchmarkPapers writes all papers of a panel of 100 copies of the largest open board, with tabs and with score lines:
// from the finished panel and its findings to the last byte, what waits for the proof included. The target is 1.5 s. The
// share of each stage that takes more than a twentieth stands beside it, and the bytes of the page.
func BenchmarkPapers(b *testing.B) {
	for _, c := range []struct {
		stage string // that parts the boards
		gap   geom.Length
	}{{"breakoff_tabs", 2 * geom.MM}, {"score_lines", 0}} {
		b.Run(c.stage, func(b *testing.B) {
			p := hundred(b, largest, c.stage, c.gap)
			var found []pipeline.Finding
			var judged []pipeline.Judged
			judging := pipeline.NewEnv(pipeline.Env{Log: zerolog.Nop(), Workers: runtime.GOMAXPROCS(0), Rules: rule.All()}, func(f pipeline.Finding) { found = append(found, f) }, nil).
				With(pipeline.Hooks{Judged: func(j pipeline.Judged) { judged = append(judged, j) }})
			_, err := rules.Kind().New().Run(b.Context(), judging, p)
			require.NoError(b, err)
			took := map[string]time.Duration{}
			var files map[string][]byte
			before := spent(b)
			for b.Loop() {
				clear(took)
				files = writePapers(b, p, found, judged, took)
			}
			against(b, before, 1500*time.Millisecond)
			total := time.Duration(0)
			for _, t := range took {
				total += t
			}
			for name, t := range took {
				if t*20 > total {
					b.ReportMetric(100*float64(t)/float64(total), "%:"+name)
				}
			}
			if page := files["report/index.html"]; page != nil {
				b.ReportMetric(float64(len(page))/1e6, "MB:index.html")
			}
		})
	}
}

// writePapers carries out the stages that write papers, and what of them waits for the end.
func writePapers(b *testing.B, p panel.Panel, found []pipeline.Finding, judged []pipeline.Judged, took map[string]time.Duration) map[string][]byte {
	k := &inMemory{files: map[string][]byte{}}
	var fields []pipeline.Field
	end := pipeline.End{Released: false, Notice: "NOT FOR RELEASE: measured, not made", Findings: found, Judged: judged}
	env := func() *pipeline.Env {
		return pipeline.NewEnv(pipeline.Env{Log: zerolog.Nop(), Panel: "bench", Revision: "A", Workers: runtime.GOMAXPROCS(0), Files: k, Rules: rule.All(),
			Program: pipeline.Program{Name: "panelwright", Version: "bench"}}, func(pipeline.Finding) {}, func() []pipeline.Finding { return found }).
			With(pipeline.Hooks{Show: func(f pipeline.Field) { fields = append(fields, f) }, Released: func() bool { return false }})
	}
	var waiting []func() error
	for _, kind := range stages.All() {
		if !slices.Contains(papers, kind.Name) {
			continue
		}
		begun := time.Now()
		s := kind.New()
		_, err := s.Run(b.Context(), env(), p)
		require.NoError(b, err, kind.Name)
		took[kind.Name] += time.Since(begun)
		if f, ok := s.(pipeline.Finisher); ok {
			waiting = append(waiting, func() error {
				begun := time.Now()
				defer func() { took[kind.Name+"-closing"] += time.Since(begun) }()
				return f.Finish(b.Context(), env(), p, end)
			})
		}
	}
	end.Fields, end.Outputs = fields, k.sums()
	for _, f := range waiting {
		require.NoError(b, f())
	}
	return k.files
}

// inMemory is a build folder that is thrown away.
type inMemory struct{ files map[string][]byte }

type inMemoryFile struct {
	bytes.Buffer
	done func([]byte)
}

func (f *inMemoryFile) Close() error { f.done(f.Bytes()); return nil }

func (k *inMemory) Create(name string) (io.WriteCloser, error) {
	return &inMemoryFile{done: func(data []byte) { k.files[name] = data }}, nil
}

func (k *inMemory) ReadBack(name string) ([]byte, error) {
	data, ok := k.files[name]
	if !ok {
		return nil, errors.New("no file " + name)
	}
	return data, nil
}

func (k *inMemory) Archive(string, []string) error { return nil }

func (k *inMemory) List(context.Context, pipeline.InPath) ([]pipeline.InPath, error) {
	return nil, errors.New("nothing is read here")
}

func (k *inMemory) Read(context.Context, pipeline.InPath) ([]byte, error) {
	return nil, errors.New("nothing is read here")
}

func (k *inMemory) sums() []pipeline.FileSum {
	var out []pipeline.FileSum
	for _, name := range slices.SortedFunc(maps.Keys(k.files), cmp.Compare) {
		sum := sha256.Sum256(k.files[name])
		out = append(out, pipeline.FileSum{Name: name, SHA256: hex.EncodeToString(sum[:]), Bytes: int64(len(k.files[name]))})
	}
	return out
}
