package run

import (
	"context"
	"os"
	"path/filepath"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"panelwright/pipeline"
	"panelwright/pipeline/panel"
	"panelwright/pipeline/recipe"
)

// forSupplier gives the project's plan for a supplier, with a stage that writes exchanged.
func forSupplier(t *testing.T, path, whom string, write fakeRun) *recipe.Plan {
	t.Helper()
	list := kinds()
	if write != nil {
		list = with("write_fab", write)
	}
	plan := load(t, path, list)
	plan.Supplier = whom
	return plan
}

// Builds for several suppliers of one panel run at once; none for no supplier runs beside them, and none is
// exchanged for another.
func TestBuildsForSuppliersAtOnce(t *testing.T) {
	defer func(n int) { lockTries = n }(lockTries)
	lockTries = 2
	dir := t.TempDir()
	path := project(t, dir)
	opt := options(filepath.Join(dir, "build"))
	fail := func(want string) fakeRun {
		return func(ctx context.Context, env *pipeline.Env, in panel.Panel, files pipeline.InPath) (pipeline.Result, error) {
			whom := map[string]string{"": "south", "north": ""}[env.Supplier] // one that must be refused meanwhile
			_, err := Build(ctx, forSupplier(t, path, whom, nil), opt)
			assert.ErrorContains(t, err, want)
			if env.Supplier == "north" {
				_, err := Build(ctx, forSupplier(t, path, "south", nil), opt)
				assert.NoError(t, err)
				_, err = Build(ctx, forSupplier(t, path, "north", nil), opt)
				assert.ErrorContains(t, err, "another build of gauge-12up for north is running (process ")
			}
			return writeFiles(ctx, env, in, files)
		}
	}
	out, err := Build(t.Context(), forSupplier(t, path, "north", fail("gauge-12up: a build for a supplier is running in it, or was cut off")), opt)
	require.NoError(t, err)
	assert.Equal(t, filepath.Join(dir, "build", "gauge-12up", "north"), out.Dir)
	for _, whom := range []string{"north", "south"} {
		m, err := readManifest(filepath.Join(opt.OutDir, "gauge-12up", whom))
		require.NoError(t, err)
		assert.Equal(t, whom, m.Supplier)
	}
	assert.Empty(t, leftovers(t, opt.OutDir))
	assert.Empty(t, leftovers(t, filepath.Join(opt.OutDir, "gauge-12up")))
	before := tree(t, opt.OutDir)
	_, err = Build(t.Context(), forSupplier(t, path, "", nil), opt)
	require.ErrorContains(t, err, "gauge-12up: holds builds for north, south, and a build for no supplier replaces the whole folder; build with --supplier, or move them elsewhere")
	assert.Equal(t, before, tree(t, opt.OutDir))

	// While a build for no supplier runs, none for a supplier begins; and afterwards none goes into its folder.
	opt.OutDir = filepath.Join(dir, "plain")
	_, err = Build(t.Context(), forSupplier(t, path, "", fail("another build of gauge-12up is running (process ")), opt)
	require.NoError(t, err)
	before = tree(t, opt.OutDir)
	_, err = Build(t.Context(), forSupplier(t, path, "south", nil), opt)
	require.ErrorContains(t, err, "gauge-12up: holds a build of gauge-12up for no supplier")
	assert.Equal(t, before, tree(t, opt.OutDir))
	assert.Empty(t, leftovers(t, opt.OutDir))
}

// What lies where a supplier's build would go, and no build made, stays there.
func TestForeignFoldersOfSuppliers(t *testing.T) {
	for name, c := range map[string]struct {
		lay  func(t *testing.T, panel string)
		want string
	}{
		"a file in the panel's place": {func(t *testing.T, panel string) {
			require.NoError(t, os.MkdirAll(filepath.Dir(panel), 0o755))
			require.NoError(t, os.WriteFile(panel, nil, 0o644))
		}, "gauge-12up: is in the way of the build folder; move it elsewhere"},
		"a folder in the supplier's place": {func(t *testing.T, panel string) {
			require.NoError(t, os.MkdirAll(filepath.Join(panel, "north"), 0o755))
			require.NoError(t, os.WriteFile(filepath.Join(panel, "north", "plan.odt"), nil, 0o644))
		}, "north: was not made by a build of gauge-12up for north (its manifest.json does not say so)"},
		"another supplier's build in its place": {func(t *testing.T, panel string) {
			opt := options(filepath.Dir(panel))
			_, err := Build(t.Context(), forSupplier(t, project(t, t.TempDir()), "south", nil), opt)
			require.NoError(t, err)
			require.NoError(t, os.Rename(filepath.Join(panel, "south"), filepath.Join(panel, "north")))
		}, "north: was not made by a build of gauge-12up for north"},
	} {
		t.Run(name, func(t *testing.T) {
			dir := t.TempDir()
			opt := options(filepath.Join(dir, "build"))
			c.lay(t, filepath.Join(opt.OutDir, "gauge-12up"))
			before := tree(t, opt.OutDir)
			_, err := Build(t.Context(), forSupplier(t, project(t, dir), "north", nil), opt)
			require.ErrorContains(t, err, c.want)
			assert.Equal(t, before, tree(t, opt.OutDir))
		})
	}
	for _, whom := range []string{"..", "a/b", ".x", "con", "a\x00b"} {
		_, err := Build(t.Context(), forSupplier(t, project(t, t.TempDir()), whom, nil), options(t.TempDir()))
		assert.ErrorContains(t, err, "the name becomes a folder", "%q", whom)
	}
	// A build that fails leaves no empty folders.
	dir := t.TempDir()
	_, err := Build(t.Context(), forSupplier(t, project(t, dir), "north", func(context.Context, *pipeline.Env, panel.Panel, pipeline.InPath) (pipeline.Result, error) {
		return pipeline.Result{}, os.ErrInvalid
	}), options(filepath.Join(dir, "build")))
	require.Error(t, err)
	assert.NoDirExists(t, filepath.Join(dir, "build"))
}
