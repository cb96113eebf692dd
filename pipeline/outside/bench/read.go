package main

import (
	"context"
	"encoding/json"
	"os"
	"regexp"
	"runtime"
	"runtime/debug"
	"runtime/pprof"
	"slices"
	"strconv"

	"panelwright/pipeline"
	"panelwright/pipeline/format/gerber"
	"panelwright/pipeline/panel/artwork"
)

// said is what a reader prints when it is done.
type said struct {
	Things   int   `json:"things"` // what it made of the files, in units of its own
	Warnings int   `json:"warnings"`
	Peak     int64 `json:"peak"` // bytes held at most; 0 where the system does not say
}

// readAll reads files the way the board stage does: all bytes first, then the images, the largest first,
// both several files at a time; bytes are let go when they are read, every image is kept to the end.
// Garbage is collected as often as the command line has it collected.
func readAll(ctx context.Context, files []string, times int, profile, memory string) error {
	if os.Getenv("GOGC") == "" {
		debug.SetGCPercent(50) // as pipeline/cli does
	}
	if memory != "" {
		runtime.MemProfileRate = 4096
	}
	if profile != "" {
		f, err := os.Create(profile)
		if err != nil {
			return err
		}
		defer f.Close()
		if err := pprof.StartCPUProfile(f); err != nil {
			return err
		}
		defer pprof.StopCPUProfile()
	}
	var out said
	for range times {
		images, warnings, err := readOnce(ctx, files)
		if err != nil {
			return err
		}
		out = said{Warnings: warnings}
		for _, m := range images {
			out.Things += things(m)
		}
	}
	if memory != "" {
		f, err := os.Create(memory)
		if err != nil {
			return err
		}
		defer f.Close()
		runtime.GC() // the profile is that of the last collection
		if err := pprof.Lookup("allocs").WriteTo(f, 0); err != nil {
			return err
		}
	}
	out.Peak = peak()
	return json.NewEncoder(os.Stdout).Encode(out)
}

func readOnce(ctx context.Context, files []string) ([]*artwork.Image, int, error) {
	data := make([][]byte, len(files))
	err := pipeline.Each(ctx, runtime.GOMAXPROCS(0), len(files), func(i int) (err error) {
		data[i], err = os.ReadFile(files[i])
		return err
	})
	if err != nil {
		return nil, 0, err
	}
	images := make([]*artwork.Image, len(files))
	reports := make([]*gerber.Report, len(files))
	order := make([]int, len(files))
	for i := range order {
		order[i] = i
	}
	slices.SortStableFunc(order, func(a, b int) int { return len(data[b]) - len(data[a]) })
	err = pipeline.Each(ctx, runtime.GOMAXPROCS(0), len(order), func(k int) (err error) {
		i := order[k]
		images[i], reports[i], err = gerber.Read(files[i], data[i], gerber.Options{})
		data[i] = nil
		return err
	})
	if err != nil {
		return nil, 0, err
	}
	warnings := 0
	for _, r := range reports {
		warnings += len(r.Warnings)
	}
	return images, warnings, nil
}

// things counts objects, and the edges of regions, which are drawn one by one as strokes are.
func things(m *artwork.Image) int {
	n := len(m.Objects)
	for _, r := range m.Regions {
		for _, c := range r.Contours {
			n += len(c)
		}
	}
	return n
}

var highWater = regexp.MustCompile(`(?m)^VmHWM:\s*(\d+) kB$`)

// peak gives the most memory that this process has held, its program's own pages included.
func peak() int64 {
	text, err := os.ReadFile("/proc/self/status")
	if err != nil {
		return 0
	}
	m := highWater.FindSubmatch(text)
	if m == nil {
		return 0
	}
	kB, err := strconv.ParseInt(string(m[1]), 10, 64)
	if err != nil {
		return 0
	}
	return kB << 10
}

// arithmetic is work that needs neither memory nor files, in pieces as files are: what two cores make
// of it is what the machine has to give just now.
func arithmetic(ctx context.Context) error {
	const pieces = 16
	sums := make([]uint64, pieces)
	err := pipeline.Each(ctx, runtime.GOMAXPROCS(0), pieces, func(i int) error {
		x := uint64(i)
		for range 2_000_000 {
			x = x*6364136223846793005 + 1442695040888963407
		}
		sums[i] = x
		return nil
	})
	if err != nil {
		return err
	}
	return json.NewEncoder(os.Stdout).Encode(said{Things: 1 + int(sums[0]&1), Peak: peak()})
}
