//go:build unix

package main

import (
	"fmt"
	"os"
	"os/exec"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// limited runs the program under a limit that the shell's ulimit sets.
func (s *shop) limited(limit string) {
	s.t.Helper()
	if err := exec.Command("sh", "-c", "ulimit "+limit).Run(); err != nil {
		s.t.Skipf("sh does not set ulimit %s here: %v", limit, err)
	}
	s.with = []string{"sh", "-c", "ulimit " + limit + ` && exec "$@"`, "sh"}
}

// Few file handles: a build of many recipes and layers does with few, and says so where they are too few.
func TestFewFileHandles(t *testing.T) {
	for _, c := range []struct {
		handles int
		enough  bool
	}{{64, true}, {8, false}} {
		t.Run(fmt.Sprint(c.handles), func(t *testing.T) {
			s := newShop(t)
			for i := range 4 {
				s.write(fmt.Sprintf("more/p%d.panel.hcl", i), staffRecipe(fmt.Sprintf("p%d", i), "../board"))
			}
			for i := range 200 { // other data that the reader looks at
				s.write(fmt.Sprintf("board/note-%03d.txt", i), "a note")
			}
			s.limited(fmt.Sprintf("-n %d", c.handles))
			e := s.run("build", "--quiet", "--at-once", "4", "more")
			if c.enough {
				assert.Equal(t, 0, e.code, e.err)
				return
			}
			assert.Equal(t, 3, e.code, e.err)
			assert.Contains(t, e.err, "too many open files")
			left, err := os.ReadDir(s.path("build"))
			if err == nil {
				for _, l := range left {
					assert.FileExists(t, s.path("build/"+l.Name()+"/manifest.json"), "what is there is whole")
				}
			}
		})
	}
}

// Ten thousand recipes in a folder, beside as many other files: any part of them is found and built, and no other.
func TestTenThousandRecipes(t *testing.T) {
	if testing.Short() {
		t.Skip("writes 20000 files")
	}
	s := newShop(t)
	text := staffRecipe("NAME", "../board")
	require.NoError(t, os.Mkdir(s.path("many"), 0o755))
	for i := range 10_000 {
		name := fmt.Sprintf("p%05d", i)
		require.NoError(t, os.WriteFile(s.path("many/"+name+".panel.hcl"), []byte(strings.Replace(text, "NAME", name, 1)), 0o644))
		require.NoError(t, os.WriteFile(s.path("many/"+name+".txt"), nil, 0o644))
	}
	built := map[string]bool{}
	for _, part := range []string{"0/5000", "4999/5000"} {
		e := s.run("build", "--quiet", "--part", part, "many")
		require.Equal(t, 0, e.code, e.err)
		entries, err := os.ReadDir(s.path("build"))
		require.NoError(t, err)
		for _, x := range entries {
			built[x.Name()] = true
		}
	}
	t.Logf("two of 5000 parts: %d builds", len(built))
	assert.Positive(t, len(built))
	assert.Less(t, len(built), 20)
}
