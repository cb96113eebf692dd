package outside

import (
	"crypto/sha256"
	"fmt"
	"os"
	"os/exec"
	"path/filepath"
	"syscall"
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"panelwright/pipeline/internal/boardset"
	"panelwright/pipeline/internal/shared"
)

// largest is the open board with the most bytes of layer data.
const largest = "square-10l-inch"

// BenchmarkWholeBuild builds a 4 x 3 panel of the largest open board in a process of its own, all
// files and the proof included, and reports its peak memory. The target for the time is 2 s; peak
// memory is given as a share of its target, 10 times the input's bytes and 64 MiB. The ratio to
// hashing the input tells a slow machine from a slow program.
func BenchmarkWholeBuild(b *testing.B) {
	boards := shared.Dir(b, "boards")
	dir := b.TempDir()
	tool := filepath.Join(dir, "panelwright")
	if out, err := exec.Command("go", "build", "-o", tool, "../../cmd/panelwright").CombinedOutput(); err != nil {
		b.Fatalf("%v: %s", err, out)
	}
	input, hashing := int64(0), time.Duration(0)
	entries, err := os.ReadDir(filepath.Join(boards, largest))
	require.NoError(b, err)
	require.NoError(b, os.CopyFS(filepath.Join(dir, "data"), os.DirFS(filepath.Join(boards, largest))))
	for _, e := range entries {
		data, err := os.ReadFile(filepath.Join(boards, largest, e.Name()))
		require.NoError(b, err)
		input += int64(len(data))
		begun := time.Now()
		sha256.Sum256(data)
		hashing += time.Since(begun)
	}
	recipe := filepath.Join(dir, "bench.panel.hcl")
	require.NoError(b, os.WriteFile(recipe, []byte(wholeBuild()), 0o644))
	peak := int64(0)
	for b.Loop() {
		cmd := exec.Command(tool, "build", "-o", filepath.Join(dir, "build"), recipe)
		out, err := cmd.CombinedOutput()
		if err != nil {
			b.Fatalf("%v: %s", err, out)
		}
		peak = max(peak, cmd.ProcessState.SysUsage().(*syscall.Rusage).Maxrss<<10)
	}
	target := 10*input + 64<<20
	b.ReportMetric(float64(peak)/(1<<20), "peak-MiB")
	b.ReportMetric(float64(peak)/float64(target), "peak/target")
	b.ReportMetric(float64(b.Elapsed())/float64(b.N)/float64(hashing), "time/hashing-input")
	b.SetBytes(input)
}

func wholeBuild() string {
	for _, x := range boardset.All() {
		if x.Folder == largest {
			return fmt.Sprintf("panel \"bench\" {\n  revision = \"A\"\n}\n%s"+`
stage "array" {
  board   = %q
  columns = 4
  rows    = 3
  gap     = "2 mm"
}
stage "rails" {}
stage "tooling_holes" {}
stage "fiducials" {}
stage "breakoff_tabs" {}
stage "rules" {
  limit "copper-to-edge" {
    at_least = "0.2 mm" # the board's own copper keeps 0.24 mm
  }
  limit "panel-size" {
    at_most = "700 mm"
  }
  limit "panel-breadth" {
    at_most = "600 mm"
  }
}
stage "write_fab" {}
stage "write_assembly" {}
stage "write_report" {}
`, x.Stage("data"), x.Name())
		}
	}
	return ""
}
