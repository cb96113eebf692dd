package anywhere

import (
	"context"
	"net/http/httptest"
	"os"
	"path/filepath"
	"testing"

	"github.com/johannesboyne/gofakes3"
	"github.com/johannesboyne/gofakes3/backend/s3mem"
	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"panelwright/pipeline/run"
	"panelwright/pipeline/store"
)

// TestMain hides whatever credentials there are.
func TestMain(m *testing.M) {
	for name, value := range map[string]string{"AWS_ACCESS_KEY_ID": "some", "AWS_SECRET_ACCESS_KEY": "one", "AWS_CONFIG_FILE": os.DevNull, "AWS_SHARED_CREDENTIALS_FILE": os.DevNull} {
		os.Setenv(name, value)
	}
	for _, name := range []string{"AZURE_STORAGE_ACCOUNT", "STORAGE_EMULATOR_HOST"} {
		os.Unsetenv(name)
	}
	os.Exit(m.Run())
}

func TestNotOpened(t *testing.T) {
	dir := t.TempDir()
	require.NoError(t, os.WriteFile(filepath.Join(dir, "file"), nil, 0o644))
	t.Chdir(dir)
	server := httptest.NewServer(gofakes3.New(s3mem.New()).Server())
	defer server.Close()
	for address, want := range map[string]string{
		"builds":                `the store "builds" is not a URL: write file:builds for a folder, or s3://, gs:// or azblob:// with a bucket's name`,
		"":                      "is not a URL",
		"ftp://host/builds":     "the store ftp://host/builds cannot be opened: no store is known by ftp: there are file:, s3:, gs: and azblob: for them",
		"file:none":             "the store file:none cannot be opened: there is no such folder: make it, or mount the share that it is on",
		"file:file":             "it is a file, not a folder",
		"file://srv/builds":     "it names a host, srv: a folder is written file:///PATH, or file:PATH relative to the working folder",
		"file:.?metadata=skip":  `unknown query parameter "metadata"`,
		"s3://some:one@b?key=x": "take it out",
		"s3://b?color=red":      `unknown query parameter "color"`,
		"gs://b?color=red":      `unknown query parameter "color"`,
		"gs:///?anonymous=true": "the URL names no bucket",
		"azblob://b":            "the store azblob://b cannot be opened: ",
		"s3://some:one@builds?region=eu-central-1&use_path_style=true&endpoint=" + server.URL: "the store s3://builds cannot be opened: it is not there",
	} {
		_, err := Open(context.Background(), address)
		require.Error(t, err, address)
		var gone *store.UnreachableError
		assert.NotErrorAs(t, err, &gone)
		assert.ErrorContains(t, err, want)
		assert.NotContains(t, err.Error(), "some:one")
	}
}

// TestNothingAnswers: a server that is down is told apart from a wrong URL.
func TestNothingAnswers(t *testing.T) {
	server := httptest.NewServer(nil)
	server.Close()
	_, err := Open(context.Background(), "s3://builds?region=eu-central-1&use_path_style=true&endpoint="+server.URL)
	var gone *store.UnreachableError
	require.ErrorAs(t, err, &gone)
	assert.ErrorContains(t, err, "s3://builds cannot be read: ")
	assert.ErrorContains(t, err, "connection refused")
}

// TestOpened: one store by several addresses, and beside it one below a prefix.
func TestOpened(t *testing.T) {
	ctx := context.Background()
	backend := s3mem.New()
	require.NoError(t, backend.CreateBucket("builds"))
	server := httptest.NewServer(gofakes3.New(backend).Server())
	defer server.Close()
	dir := t.TempDir()
	require.NoError(t, os.Mkdir(filepath.Join(dir, "a shelf"), 0o755))
	t.Chdir(dir)
	s3 := "s3://builds?region=eu-central-1&use_path_style=true&endpoint=" + server.URL
	for name, address := range map[string][2]string{
		"folder": {"file:a%20shelf", "file://" + filepath.ToSlash(dir) + "/a%20shelf"},
		"s3":     {s3, s3 + "&request_checksum_calculation=when_required"},
	} {
		t.Run(name, func(t *testing.T) {
			key, e, from := someBuild(t)
			first, err := Open(ctx, address[0])
			require.NoError(t, err)
			require.NoError(t, first.Put(ctx, key, e, from))
			require.NoError(t, first.Close())
			for i, address := range address {
				s, err := Open(ctx, address)
				require.NoError(t, err)
				defer s.Close()
				found, err := s.Candidates(ctx, key)
				require.NoError(t, err)
				require.Len(t, found, 1, "address %d", i)
				require.NoError(t, s.Fetch(ctx, key, found[0], t.TempDir()))
			}
			mark := "?"
			if name == "s3" {
				mark = "&"
			}
			apart, err := Open(ctx, address[0]+mark+"prefix=night/")
			require.NoError(t, err)
			defer apart.Close()
			found, err := apart.Candidates(ctx, key)
			require.NoError(t, err)
			assert.Empty(t, found)
			require.NoError(t, apart.Put(ctx, key, e, from))
			if name == "folder" {
				top, err := filepath.Glob("a shelf/*")
				require.NoError(t, err)
				assert.Equal(t, []string{"a shelf/archives", "a shelf/builds", "a shelf/night"}, top)
				files, err := filepath.Glob("a shelf/night/*/*/*")
				require.NoError(t, err)
				assert.Len(t, files, 2, "an archive, an entry, and nothing beside them")
			}
		})
	}
}

// someBuild makes the smallest build folder.
func someBuild(t *testing.T) (key string, e store.Entry, dir string) {
	dir = t.TempDir()
	at := filepath.Join(dir, run.ManifestName)
	require.NoError(t, os.WriteFile(at, []byte(`{"schema": 1, "panel": "gauge"}`), 0o644))
	sum, err := run.SumOfFile(at)
	require.NoError(t, err)
	return sum, store.Entry{Panel: "gauge", Manifest: sum}, dir
}
