package store

import (
	"bytes"
	"context"
	"encoding/json"
	"fmt"
	"io/fs"
	"maps"
	"net/http/httptest"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"testing"
	"time"

	"github.com/johannesboyne/gofakes3"
	"github.com/johannesboyne/gofakes3/backend/s3mem"
	"github.com/stretchr/testify/require"
	"gocloud.dev/blob"
	"gocloud.dev/blob/fileblob"
	"gocloud.dev/blob/memblob"
	_ "gocloud.dev/blob/s3blob" // the service's own client

	"panelwright/pipeline/run"
)

// key is the recipe key of the tests.
var key = sumOf([]byte("a recipe"))

// build is a finished build folder.
type build struct {
	dir   string
	entry Entry
}

// newBuild makes a build from a board's file that reads so.
func newBuild(t testing.TB, board string) build {
	t.Helper()
	return buildOf(t, board, map[string]string{
		"fab/gauge-copper-1-top.gbr": strings.Repeat("X1000Y1000D03*\n", 3000) + board,
		"fab/notes/read-first.txt":   "score 0.3 mm deep\n",
		"report/empty.txt":           "",
	})
}

func buildOf(t testing.TB, board string, files map[string]string) build {
	t.Helper()
	dir := t.TempDir()
	m := run.Manifest{Schema: 1, Panel: "gauge", Tool: run.ToolName{Name: "panelwright", Version: "1"},
		Inputs: []run.FileSum{{Name: "../boards/gauge/top.gbr", SHA256: sumOf([]byte(board)), Bytes: int64(len(board))}}}
	for _, name := range slices.Sorted(maps.Keys(files)) {
		text := files[name]
		put(t, dir, name, text)
		m.Outputs = append(m.Outputs, run.FileSum{Name: name, SHA256: sumOf([]byte(text)), Bytes: int64(len(text))})
	}
	text, err := json.Marshal(m)
	require.NoError(t, err)
	put(t, dir, run.ManifestName, string(text))
	return build{dir, Entry{Panel: "gauge", Manifest: sumOf(text), Asked: []run.Asked{
		{What: run.AskedFile, Name: "../boards/gauge/top.gbr", Answer: sumOf([]byte(board))},
		{What: run.AskedFile, Name: "../boards/gauge/none.gbr"},
		{What: run.AskedList, Name: "../boards/gauge", In: ".", Answer: sumOf([]byte("../boards/gauge/top.gbr\n"))},
		{What: run.AskedVariable, Name: "SHOP"},
	}}}
}

func put(t testing.TB, dir, name, text string) {
	t.Helper()
	at := filepath.Join(dir, filepath.FromSlash(name))
	require.NoError(t, os.MkdirAll(filepath.Dir(at), 0o755))
	require.NoError(t, os.WriteFile(at, []byte(text), 0o644))
}

// tree gives every file below dir with its mode and content.
func tree(t testing.TB, dir string) map[string]string {
	t.Helper()
	m := map[string]string{}
	require.NoError(t, filepath.WalkDir(dir, func(at string, e fs.DirEntry, err error) error {
		if err != nil || e.IsDir() {
			return err
		}
		data, err := os.ReadFile(at)
		require.NoError(t, err)
		info, err := e.Info()
		require.NoError(t, err)
		rel, err := filepath.Rel(dir, at)
		m[filepath.ToSlash(rel)] = fmt.Sprint(info.Mode(), " ", string(data))
		return err
	}))
	return m
}

// places are buckets of each kind that can be had here.
var places = map[string]func(t testing.TB) *blob.Bucket{
	"memory": func(testing.TB) *blob.Bucket { return memblob.OpenBucket(nil) },
	"folder": func(t testing.TB) *blob.Bucket {
		b, err := fileblob.OpenBucket(t.TempDir(), &fileblob.Options{NoTempDir: true, Metadata: fileblob.MetadataDontWrite})
		require.NoError(t, err)
		return b
	},
	"google": googleBucket,
	"s3": func(t testing.TB) *blob.Bucket {
		backend := s3mem.New()
		server := httptest.NewServer(gofakes3.New(backend).Server())
		t.Cleanup(server.Close)
		require.NoError(t, backend.CreateBucket("builds"))
		return s3Bucket(t, server.URL)
	},
}

// TestMain hides whatever credentials there are.
func TestMain(m *testing.M) {
	for name, value := range map[string]string{"AWS_ACCESS_KEY_ID": "some", "AWS_SECRET_ACCESS_KEY": "one", "AWS_CONFIG_FILE": os.DevNull, "AWS_SHARED_CREDENTIALS_FILE": os.DevNull} {
		os.Setenv(name, value)
	}
	os.Exit(m.Run())
}

// s3Bucket opens a bucket of a server by the service's own client.
func s3Bucket(t testing.TB, url string) *blob.Bucket {
	t.Helper()
	b, err := blob.OpenBucket(context.Background(), "s3://builds?region=eu-central-1&use_path_style=true&endpoint="+url)
	require.NoError(t, err)
	return b
}

// eachPlace runs a test with a store of each kind.
func eachPlace(t *testing.T, test func(t *testing.T, s *Store)) {
	for name, open := range places {
		t.Run(name, func(t *testing.T) {
			s := New(open(t), name+"://builds")
			s.pause = time.Millisecond
			defer s.Close()
			test(t, s)
		})
	}
}

// objects lists what is in the store.
func (s *Store) objects(t testing.TB) (names []string) {
	t.Helper()
	for it := s.bucket.List(nil); ; {
		o, err := it.Next(context.Background())
		if err != nil {
			return names
		}
		names = append(names, o.Key)
	}
}

// only gives the one entry that there is.
func (s *Store) only(t testing.TB) Entry {
	t.Helper()
	found, err := s.Candidates(context.Background(), key)
	require.NoError(t, err)
	require.Len(t, found, 1)
	return found[0]
}

// archive packs a build's folder as Put does.
func (b build) archive(t testing.TB) []byte {
	t.Helper()
	f, err := openFolder(b.dir, b.entry)
	require.NoError(t, err)
	defer f.close()
	var out bytes.Buffer
	require.NoError(t, f.pack(context.Background(), &out))
	return out.Bytes()
}
