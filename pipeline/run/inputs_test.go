//go:build unix

package run

import (
	"context"
	"os"
	"path/filepath"
	"strings"
	"sync"
	"syscall"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"panelwright/pipeline"
)

// inputFiles gives Files over a project, and the folder of its recipe.
func inputFiles(t *testing.T) (*Files, string) {
	t.Helper()
	dir := filepath.Dir(project(t, t.TempDir()))
	return NewFiles(t.Context(), dir, ""), dir
}

func TestList(t *testing.T) {
	files, dir := inputFiles(t)
	for text, want := range map[string]string{
		"../data/gauge":                   "../data/gauge/bottom/copper.gbr|../data/gauge/bottom/readme [1]|../data/gauge/outline.gbr|../data/gauge/top/copper.gbr",
		"../data/gauge/":                  "../data/gauge/bottom/copper.gbr|../data/gauge/bottom/readme [1]|../data/gauge/outline.gbr|../data/gauge/top/copper.gbr",
		"../data/gauge/outline.gbr":       "../data/gauge/outline.gbr",
		"../data/gauge/bottom/readme [1]": "../data/gauge/bottom/readme [1]",
		"../data/gauge/.hidden":           "../data/gauge/.hidden",
		"../data/gauge/**/*.gbr":          "../data/gauge/bottom/copper.gbr|../data/gauge/outline.gbr|../data/gauge/top/copper.gbr",
		"../data/*/*.gbr":                 "../data/gauge/outline.gbr",
		"../data/**/copper.{gbr,ger}":     "../data/gauge/bottom/copper.gbr|../data/gauge/top/copper.gbr",
		"../data/gauge/**/.*":             "../data/gauge/.hidden",
	} {
		got, err := files.List(t.Context(), pipeline.InPath{Text: text, Dir: dir})
		require.NoError(t, err, text)
		var list []string
		for _, p := range got {
			assert.Equal(t, dir, p.Dir)
			list = append(list, p.Text)
		}
		assert.Equal(t, want, strings.Join(list, "|"), text)
	}
	got, err := files.List(t.Context(), pipeline.InPath{Text: "top", Dir: filepath.Join(dir, "..", "data", "gauge")})
	require.NoError(t, err)
	_, err = files.Read(t.Context(), got[0])
	require.NoError(t, err)
	assert.Equal(t, "../data/gauge/top/copper.gbr", files.Inputs()[0].Name, "recorded from the recipe's folder, not the standard's")
}

func TestListRefuses(t *testing.T) {
	files, dir := inputFiles(t)
	data := filepath.Join(dir, "..", "data")
	require.NoError(t, os.MkdirAll(filepath.Join(data, "empty", "inner"), 0o755))
	for link, to := range map[string]string{"loop/round": ".", "dead/end": "nowhere"} {
		require.NoError(t, os.MkdirAll(filepath.Join(data, filepath.Dir(link)), 0o755))
		require.NoError(t, os.Symlink(to, filepath.Join(data, link)))
	}
	require.NoError(t, os.Mkdir(filepath.Join(data, "pipes"), 0o755))
	require.NoError(t, syscall.Mkfifo(filepath.Join(data, "pipes", "p"), 0o644))
	files.own = []string{filepath.Join(dir, "build", "gauge")}
	require.NoError(t, os.MkdirAll(files.own[0], 0o755))
	require.NoError(t, os.WriteFile(filepath.Join(files.own[0], "x.gbr"), nil, 0o644))
	for text, want := range map[string]string{
		"":                    "the path is empty",
		"../data/none":        "../data/none: there is no such file or folder",
		"../data/none/*.gbr":  "../data/none: there is no such file or folder",
		"../data/*.gbr":       "../data/*.gbr: matches no file",
		"../data/empty":       "../data/empty: the folder holds no files",
		"../data/gauge/[x":    "is not a well-formed glob",
		"../data/loop":        "../data/loop/round: is a link to a folder; name that folder itself",
		"../data/dead":        "../data/dead/end: is a link that leads nowhere",
		"../data/pipes":       "../data/pipes/p: is not an ordinary file",
		"../data/pipes/*":     "../data/pipes/p: is not an ordinary file",
		"/etc/hostname":       "/etc/hostname: an absolute path is on one machine only",
		`..\data`:             "paths are written with slashes, not backslashes",
		"a\x00b":              "cannot hold a zero character",
		"build/gauge":         "build/gauge/x.gbr: lies in the build folder that this build replaces",
		"**/*.gbr":            "build/gauge/x.gbr: lies in the build folder that this build replaces",
		"../data/gauge/top/x": "there is no such file or folder",
	} {
		_, err := files.List(t.Context(), pipeline.InPath{Text: text, Dir: dir})
		require.ErrorContains(t, err, want, text)
		assert.NotContains(t, err.Error(), dir, "no absolute path")
	}
	got, err := files.List(t.Context(), pipeline.InPath{Text: "../data/**/*.gbr", Dir: dir})
	require.NoError(t, err, "a glob does not follow links round and round")
	assert.Len(t, got, 3)
}

func TestListStops(t *testing.T) {
	files, dir := inputFiles(t)
	ctx, cancel := context.WithCancel(t.Context())
	cancel()
	for _, text := range []string{"../data/gauge", "../data/**/*.gbr"} {
		_, err := files.List(ctx, pipeline.InPath{Text: text, Dir: dir})
		assert.ErrorIs(t, err, context.Canceled, text)
	}
	deep := filepath.Join(dir, strings.Repeat("d/", 70))
	require.NoError(t, os.MkdirAll(deep, 0o755))
	_, err := files.List(t.Context(), pipeline.InPath{Text: "d", Dir: dir})
	assert.ErrorContains(t, err, "folders lie more than 64 deep")
	w := &lister{f: files, ctx: t.Context()}
	assert.NoError(t, w.count("x", maxEntries))
	assert.ErrorContains(t, w.count("x", 1), "means more than 100000 files and folders")
}

func TestRead(t *testing.T) {
	files, dir := inputFiles(t)
	big := filepath.Join(dir, "big.gbr")
	require.NoError(t, os.WriteFile(big, nil, 0o644))
	require.NoError(t, os.Truncate(big, MaxInput+1)) // sparse: takes no room
	require.NoError(t, syscall.Mkfifo(filepath.Join(dir, "pipe"), 0o644))
	for text, want := range map[string]string{
		"big.gbr": "big.gbr: is larger than 256 MiB",
		"pipe":    "pipe: is not an ordinary file",
		"..":      "..: is a folder, not a file",
		"none":    "none: there is no such file or folder",
	} {
		_, err := files.Read(t.Context(), pipeline.InPath{Text: text, Dir: dir})
		assert.ErrorContains(t, err, want, text)
	}
	assert.Empty(t, files.Inputs(), "what was not read is not recorded")

	p := pipeline.InPath{Text: "../data/gauge/outline.gbr", Dir: dir}
	var all sync.WaitGroup
	for range 16 {
		all.Go(func() {
			data, err := files.Read(t.Context(), p)
			assert.NoError(t, err)
			assert.Equal(t, "M02*", string(data))
		})
	}
	all.Wait()
	assert.Len(t, files.Inputs(), 1)
	require.NoError(t, os.WriteFile(filepath.Join(dir, p.Text), []byte("M00*"), 0o644))
	_, err := files.Read(t.Context(), p)
	assert.ErrorContains(t, err, "changed while the build was reading it; build again")
}

// What is read back is held against what was written.
func TestReadBackNoticesADiskThatLies(t *testing.T) {
	dir := t.TempDir()
	files := NewFiles(t.Context(), dir, dir)
	w, err := files.Create("fab/x")
	require.NoError(t, err)
	_, err = w.Write([]byte("right"))
	require.NoError(t, err)
	_, err = files.ReadBack("fab/x")
	assert.ErrorContains(t, err, "is not finished")
	require.NoError(t, w.Close())
	require.NoError(t, w.Close(), "closing twice does no harm")
	_, err = w.Write([]byte("more"))
	assert.ErrorContains(t, err, "is closed")
	got, err := files.ReadBack("fab/x")
	require.NoError(t, err)
	assert.Equal(t, "right", string(got))
	require.NoError(t, files.settle())
	require.NoError(t, os.WriteFile(filepath.Join(dir, "fab", "x"), []byte("wrong"), 0o644))
	_, err = files.ReadBack("fab/x")
	assert.ErrorContains(t, err, "reads back other than it was written")
}
