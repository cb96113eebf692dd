package main

import (
	"bytes"
	"context"
	"encoding/json"
	"fmt"
	"io/fs"
	"net/http"
	"net/http/httptest"
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"sync"
	"testing"

	"github.com/johannesboyne/gofakes3"
	"github.com/johannesboyne/gofakes3/backend/s3mem"
	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"gocloud.dev/blob"
	_ "gocloud.dev/blob/s3blob"

	"panelwright/testdata/demoboards/boards"
)

// night is several machines that build the same recipes, and the store that they share: an S3 server.
type night struct {
	t      *testing.T
	dir    string
	url    string
	bucket *blob.Bucket

	mu      sync.Mutex
	sending func(machine string) // when a machine begins to send an archive
}

const nightRecipes = 6

func newNight(t *testing.T) *night {
	n := &night{t: t, dir: t.TempDir()}
	for i := range nightRecipes {
		b := boards.Small(3, i%3+1)
		require.NoError(t, b.Write(filepath.Join(n.dir, "recipes", "boards", b.Name)))
		text := fmt.Sprintf(`panel "p%d" { revision = "A" }
stage "board" {
  name      = %q
  files     = "boards/%s"
  thickness = "1.6 mm"
}
stage "array" {
  board   = %q
  columns = %d
  rows    = 1
  gap     = "2 mm"
}
stage "rails" { gap = "2 mm" }
stage "breakoff_tabs" { cutters = ["2 mm", "1 mm"] }
stage "rules" {}
stage "write_fab" {}
`, i, b.Name, b.Name, b.Name, 1+i/3)
		require.NoError(t, os.WriteFile(filepath.Join(n.dir, "recipes", fmt.Sprintf("p%d.panel.hcl", i)), []byte(text), 0o644))
	}
	backend := s3mem.New()
	require.NoError(t, backend.CreateBucket("builds"))
	good := gofakes3.New(backend).Server()
	server := httptest.NewServer(http.HandlerFunc(func(w http.ResponseWriter, r *http.Request) {
		if _, said, ok := strings.Cut(r.Header.Get("Authorization"), "Credential="); ok && r.Method == http.MethodPut && strings.Contains(r.URL.Path, "/archives/") {
			machine, _, _ := strings.Cut(said, "/")
			n.mu.Lock()
			sending := n.sending
			n.mu.Unlock()
			if sending != nil {
				sending(machine)
			}
		}
		good.ServeHTTP(w, r)
	}))
	t.Cleanup(server.Close)
	n.url = "s3://builds?region=eu-central-1&use_path_style=true&endpoint=" + server.URL
	for name, value := range n.credentials("test") {
		t.Setenv(name, value)
	}
	bucket, err := blob.OpenBucket(context.Background(), n.url)
	require.NoError(t, err)
	t.Cleanup(func() { bucket.Close() })
	n.bucket = bucket
	return n
}

func (n *night) credentials(machine string) map[string]string {
	return map[string]string{"AWS_ACCESS_KEY_ID": machine, "AWS_SECRET_ACCESS_KEY": "one", "AWS_CONFIG_FILE": os.DevNull, "AWS_SHARED_CREDENTIALS_FILE": os.DevNull}
}

// command is a build of all recipes on a machine, which has its own output folder and its own records.
func (n *night) command(machine string, args ...string) (c *exec.Cmd, out, said *bytes.Buffer) {
	c = exec.Command("panelwright", append([]string{"build", "--json", "--at-once", "1", "-o", filepath.Join(n.dir, machine)}, append(args, filepath.Join(n.dir, "recipes"))...)...)
	c.Env = append(os.Environ(), "XDG_CACHE_HOME="+filepath.Join(n.dir, "cache-"+machine))
	for name, value := range n.credentials(machine) {
		c.Env = append(c.Env, name+"="+value)
	}
	out, said = &bytes.Buffer{}, &bytes.Buffer{}
	c.Stdout, c.Stderr = out, said
	return c, out, said
}

// built is what a machine tells: how many builds came about in each way.
func (n *night) built(out *bytes.Buffer) map[string]int {
	n.t.Helper()
	var told struct {
		Builds []struct{ How string }
	}
	require.NoError(n.t, json.Unmarshal(out.Bytes(), &told), out.String())
	hows := map[string]int{}
	for _, b := range told.Builds {
		hows[b.How]++
	}
	return hows
}

// run carries out a build that must succeed.
func (n *night) run(machine string, args ...string) (hows map[string]int, said string) {
	n.t.Helper()
	c, out, err := n.command(machine, args...)
	require.NoError(n.t, c.Run(), err.String())
	return n.built(out), err.String()
}

// files gives all files of machines' build folders.
func (n *night) files(machines ...string) map[string]string {
	n.t.Helper()
	all := map[string]string{}
	for _, m := range machines {
		dir := filepath.Join(n.dir, m)
		require.NoError(n.t, filepath.WalkDir(dir, func(at string, e fs.DirEntry, err error) error {
			if err != nil || e.IsDir() || strings.HasPrefix(e.Name(), ".panelwright-lock") {
				return err
			}
			rel, err := filepath.Rel(dir, at)
			require.NoError(n.t, err)
			data, err := os.ReadFile(at)
			all[filepath.ToSlash(rel)] = string(data)
			return err
		}))
	}
	return all
}

// kept lists the store's objects below a prefix.
func (n *night) kept(prefix string) (names []string) {
	for it := n.bucket.List(&blob.ListOptions{Prefix: prefix}); ; {
		o, err := it.Next(context.Background())
		if err != nil {
			return names
		}
		names = append(names, o.Key)
	}
}

// TestWorkersShareAStore: three worker processes share a night's recipes and a store. One of them is killed while it sends a
// build, what is kept is damaged in four ways, and in the end every machine has what one alone has built, byte for byte.
func TestWorkersShareAStore(t *testing.T) {
	n := newNight(t)
	ctx := context.Background()
	hows, _ := n.run("alone")
	assert.Equal(t, map[string]int{"built": nightRecipes}, hows)
	want := n.files("alone")
	require.Greater(t, len(want), 6*nightRecipes)

	// The second of three is killed while it sends its second build; the others go on.
	killed, _, said := n.command("two", "--store", n.url, "--part", "1/3")
	sent, dead := 0, make(chan struct{})
	n.sending = func(machine string) {
		if machine != "two" {
			return
		}
		if sent++; sent == 2 {
			killed.Process.Kill()
			<-dead
			panic(http.ErrAbortHandler)
		}
	}
	require.NoError(t, killed.Start())
	var others sync.WaitGroup
	for machine, part := range map[string]string{"one": "0/3", "three": "2/3"} {
		others.Go(func() {
			c, _, said := n.command(machine, "--store", n.url, "--part", part)
			assert.NoError(t, c.Run(), said.String())
		})
	}
	require.Error(t, killed.Wait(), said.String())
	close(dead)
	others.Wait()
	require.Equal(t, 2, sent, "the part that is killed has at least two recipes")
	n.mu.Lock()
	n.sending = nil
	n.mu.Unlock()
	assert.Len(t, n.kept("builds/"), len(n.kept("archives/")))

	// It is started again, and what is missing is built.
	n.run("two", "--store", n.url, "--part", "1/3")
	assert.Equal(t, want, n.files("one", "two", "three"))
	entries, archives := n.kept("builds/"), n.kept("archives/")
	require.Len(t, entries, nightRecipes)
	require.Len(t, archives, nightRecipes)

	// A machine that comes new takes all.
	hows, said1 := n.run("new", "--store", n.url)
	assert.Equal(t, map[string]int{"from the store": nightRecipes}, hows)
	assert.NotContains(t, said1, "warning")
	assert.Equal(t, want, n.files("new"))

	// Damage: an entry lost, one garbage; an archive lost, one with a bit flipped. Each is of another build.
	archiveOf := func(entry string) string {
		data, err := n.bucket.ReadAll(ctx, entry)
		require.NoError(t, err)
		var e struct{ Archive string }
		require.NoError(t, json.Unmarshal(data, &e))
		return "archives/" + e.Archive[:2] + "/" + e.Archive + ".tar.gz"
	}
	require.NoError(t, n.bucket.Delete(ctx, archiveOf(entries[2])))
	flipped := archiveOf(entries[3])
	data, err := n.bucket.ReadAll(ctx, flipped)
	require.NoError(t, err)
	data[len(data)/2] ^= 1
	require.NoError(t, n.bucket.WriteAll(ctx, flipped, data, nil))
	require.NoError(t, n.bucket.Delete(ctx, entries[0]))
	require.NoError(t, n.bucket.WriteAll(ctx, entries[1], []byte("{"), nil))
	hows, said2 := n.run("after", "--store", n.url)
	assert.Equal(t, map[string]int{"from the store": nightRecipes - 4, "built": 4}, hows)
	assert.Equal(t, want, n.files("after"))
	for _, problem := range []string{entries[1] + " is not an entry", archiveOf(entries[2]) + " is not there", flipped + " holds another "} {
		assert.Contains(t, said2, problem)
	}

	// That has mended the store.
	hows, said3 := n.run("last", "--store", n.url)
	assert.Equal(t, map[string]int{"from the store": nightRecipes}, hows)
	assert.NotContains(t, said3, "warning")
	assert.Equal(t, want, n.files("last"))
	assert.Equal(t, entries, n.kept("builds/"))
	assert.Equal(t, archives, n.kept("archives/"))
}
