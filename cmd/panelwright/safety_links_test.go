//go:build unix

package main

import (
	"net"
	"os"
	"path/filepath"
	"strings"
	"syscall"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// What may lie in a board's folder, and be named as recipe, standard or output folder, besides files and folders. Nothing of it
// holds a build up.
func TestLinksAndOddFiles(t *testing.T) {
	link := func(to, at string) func(*testing.T, *shop) {
		return func(t *testing.T, s *shop) { require.NoError(t, os.Symlink(to, s.path(at))) }
	}
	pipe := func(at string) func(*testing.T, *shop) {
		return func(t *testing.T, s *shop) { require.NoError(t, syscall.Mkfifo(s.path(at), 0o644)) }
	}
	instead := func(name string, put func(*testing.T, *shop)) func(*testing.T, *shop) {
		return func(t *testing.T, s *shop) {
			require.NoError(t, os.Remove(s.path(name)))
			put(t, s)
		}
	}
	const standard = "panel \"staff\" {\n  revision = \"A\"\n  built_to = [\"shop.standard.hcl\"]\n}"
	toStandard := func(put func(*testing.T, *shop)) func(*testing.T, *shop) {
		return func(t *testing.T, s *shop) {
			s.write("staff.panel.hcl", strings.Replace(staffRecipe("staff", "board"), `panel "staff" { revision = "A" }`, standard, 1))
			put(t, s)
		}
	}
	for _, c := range []struct {
		name string
		set  func(*testing.T, *shop)
		code int
		says string
	}{
		{"a link to a file in the folder's place", func(t *testing.T, s *shop) {
			require.NoError(t, os.Rename(s.path("board/staff-top.gbr"), s.path("elsewhere.gbr")))
			link("../elsewhere.gbr", "board/staff-top.gbr")(t, s)
		}, 0, ""},
		{"a link to a file outside of the shop", func(t *testing.T, s *shop) {
			outside := filepath.Join(t.TempDir(), "top.gbr")
			require.NoError(t, os.Rename(s.path("board/staff-top.gbr"), outside))
			link(outside, "board/staff-top.gbr")(t, s)
		}, 0, ""},
		{"a link to a folder", link("..", "board/more"), 2, "board/more: is a link to a folder; name that folder itself"},
		{"a link that leads nowhere", link("nowhere", "board/lost.gbr"), 2, "board/lost.gbr: is a link that leads nowhere"},
		{"a link to itself", link("round.gbr", "board/round.gbr"), 2, "board/round.gbr: is a link that leads nowhere"},
		{"links in a circle", func(t *testing.T, s *shop) {
			link("b", "board/a")(t, s)
			link("a", "board/b")(t, s)
		}, 2, "board/a: is a link that leads nowhere"},
		{"a link as the board's folder", func(t *testing.T, s *shop) {
			require.NoError(t, os.Rename(s.path("board"), s.path("other")))
			link("other", "board")(t, s)
		}, 0, ""},
		{"a link to a device", link("/dev/zero", "board/zero.gbr"), 2, "board/zero.gbr: is not an ordinary file"},
		{"a pipe", pipe("board/pipe.gbr"), 2, "board/pipe.gbr: is not an ordinary file"},
		{"a socket", func(t *testing.T, s *shop) {
			at, err := net.Listen("unix", s.path("board/sock"))
			if err != nil {
				t.Skip(err)
			}
			t.Cleanup(func() { at.Close() })
		}, 2, "board/sock: is not an ordinary file"},
		{"a link as the recipe", func(t *testing.T, s *shop) {
			require.NoError(t, os.Rename(s.path("staff.panel.hcl"), s.path("kept")))
			link("kept", "staff.panel.hcl")(t, s)
		}, 0, ""},
		{"a pipe as the recipe", instead("staff.panel.hcl", pipe("staff.panel.hcl")), 2, "staff.panel.hcl: this is not a file"},
		{"a device as the recipe", instead("staff.panel.hcl", link("/dev/zero", "staff.panel.hcl")), 2, "staff.panel.hcl: this is not a file"},
		{"a link to itself as the recipe", instead("staff.panel.hcl", link("staff.panel.hcl", "staff.panel.hcl")), 3, "too many levels of symbolic links"},
		{"a pipe as the standard", toStandard(pipe("shop.standard.hcl")), 2, "standard shop.standard.hcl: this is not a file"},
		{"a link as the output folder", func(t *testing.T, s *shop) {
			require.NoError(t, os.Mkdir(s.path("far"), 0o755))
			link("far", "build")(t, s)
		}, 0, ""},
		{"a link that leads nowhere as the output folder", link("nowhere", "build"), 3, "output folder build: cannot be made: "},
		{"a link as the build folder", func(t *testing.T, s *shop) {
			require.NoError(t, os.MkdirAll(s.path("build"), 0o755))
			link("../board", "build/staff")(t, s)
		}, 2, "build/staff: is in the way of the build folder; move it elsewhere"},
		{"a pipe in the old build", func(t *testing.T, s *shop) {
			s.good(2)
			pipe("build/staff/fab/pipe")(t, s)
		}, 2, "build/staff: holds files that no build made"},
		{"a pipe as the old build's manifest", func(t *testing.T, s *shop) {
			s.good(2)
			instead("build/staff/manifest.json", pipe("build/staff/manifest.json"))(t, s)
		}, 2, "build/staff: was not made by a build of staff"},
		{"a pipe as a layer of the old build", func(t *testing.T, s *shop) {
			s.good(1)
			instead("build/staff/fab/staff-profile.gbr", pipe("build/staff/fab/staff-profile.gbr"))(t, s)
		}, 0, ""},
		{"a pipe as a record", func(t *testing.T, s *shop) {
			s.good(1)
			records, err := filepath.Glob(s.path("cache/panelwright/known/*/*.json"))
			require.NoError(t, err)
			require.Len(t, records, 1)
			require.NoError(t, os.Remove(records[0]))
			require.NoError(t, syscall.Mkfifo(records[0], 0o644))
		}, 0, ""},
	} {
		t.Run(c.name, func(t *testing.T) {
			s := newShop(t)
			c.set(t, s)
			e := s.build(1)
			assert.Equal(t, c.code, e.code, e.err)
			assert.Contains(t, e.err, c.says)
			if c.code == 0 {
				assert.Len(t, files(t, s.path("build/staff")), 15)
			}
			s.nothingBeside()
		})
	}
	t.Run("a pipe in a build that is read back", func(t *testing.T) {
		s := newShop(t)
		s.good(1)
		pipe("build/staff/fab/pipe")(t, s)
		e := s.run("readback", "build/staff")
		assert.Equal(t, 1, e.code, e.err)
		assert.Contains(t, e.out, "is not an ordinary file")
		e = s.run("compare", "build/staff", "build/staff")
		assert.Equal(t, 2, e.code)
		instead("build/staff/manifest.json", pipe("build/staff/manifest.json"))(t, s)
		for _, args := range [][]string{{"readback", "build/staff"}, {"compare", "build/staff", "build/staff"}} {
			assert.Equal(t, 2, s.run(args...).code, args[0])
		}
	})
}
