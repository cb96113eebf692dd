package batch

import (
	"context"
	"math"
	"os"
	"path/filepath"
	"runtime/debug"
	"strconv"
	"strings"

	"golang.org/x/sync/semaphore"

	"panelwright/pipeline/recipe"
	"panelwright/pipeline/run"
)

// What a build needs: ten times its input and 64 MiB (make bench measures it).
const (
	needBase   = 64 << 20
	needFactor = 10
)

// memory lets builds begin as long as what they need by estimate is to be had. One build may always begin.
type memory struct {
	most int64
	left *semaphore.Weighted
}

// newMemory shares out most bytes; with 0, three quarters of what the machine has to spare.
func newMemory(most int64) *memory {
	if most <= 0 {
		most = math.MaxInt64 / 4
		if spare := spare(); spare > 0 {
			most = max(spare/4*3, needBase)
		}
	}
	return &memory{most, semaphore.NewWeighted(most)}
}

// take waits until there is memory for the plan's build, and gives back how to free it.
func (m *memory) take(ctx context.Context, plan *recipe.Plan) (free func(), err error) {
	need := min(need(ctx, plan), m.most)
	if err := m.left.Acquire(ctx, need); err != nil {
		return nil, run.ErrInterrupted
	}
	return func() { m.left.Release(need) }, nil
}

// need estimates what a build needs, by the size of the files that the recipe names.
func need(ctx context.Context, plan *recipe.Plan) int64 {
	base := filepath.Dir(plan.Path)
	paths, _ := plan.Paths()
	files := run.NewFiles(ctx, base, "")
	var bytes int64
	for _, p := range paths {
		found, err := files.List(ctx, p)
		if err != nil {
			continue // the build tells
		}
		for _, f := range found {
			dir := f.Dir
			if !filepath.IsAbs(dir) {
				dir = filepath.Join(base, dir)
			}
			if info, err := os.Stat(filepath.Join(dir, filepath.FromSlash(f.Text))); err == nil {
				bytes += info.Size()
			}
		}
	}
	return needBase + needFactor*bytes
}

// spare tells how many bytes of memory this process may still use, by the system, a container's limit and GOMEMLIMIT; 0 where
// nothing tells.
func spare() int64 {
	spare := int64(0)
	less := func(n int64) {
		if n > 0 && (spare == 0 || n < spare) {
			spare = n
		}
	}
	if limit := debug.SetMemoryLimit(-1); limit != math.MaxInt64 {
		less(limit)
	}
	less(available("/proc/meminfo"))
	if limit := number("/sys/fs/cgroup/memory.max"); limit > 0 {
		less(limit - number("/sys/fs/cgroup/memory.current"))
	}
	return spare
}

// available reads the line MemAvailable of Linux's memory table.
func available(path string) int64 {
	data, err := os.ReadFile(path)
	if err != nil {
		return 0
	}
	for line := range strings.Lines(string(data)) {
		if f := strings.Fields(line); len(f) == 3 && f[0] == "MemAvailable:" && f[2] == "kB" {
			n, _ := strconv.ParseInt(f[1], 10, 64)
			return n << 10
		}
	}
	return 0
}

// number reads a file that holds one number; 0 for anything else.
func number(path string) int64 {
	data, err := os.ReadFile(path)
	if err != nil {
		return 0
	}
	n, _ := strconv.ParseInt(strings.TrimSpace(string(data)), 10, 64)
	return n
}
