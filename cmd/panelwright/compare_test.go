package main

import (
	"bytes"
	"encoding/json"
	"fmt"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"
)

// compareJSON runs compare and gives its exit code and the texts of all changes.
func compareJSON(t *testing.T, old, new string) (code int, texts []string) {
	t.Helper()
	code, out := build("compare", "--json", old, new)
	var r struct {
		Schema  int
		Same    bool
		Exit    int
		Changes []struct{ Group, Text string }
	}
	require.NoError(t, json.NewDecoder(strings.NewReader(out)).Decode(&r), out)
	require.Equal(t, 1, r.Schema)
	require.Equal(t, code, r.Exit)
	require.Equal(t, code == 0, r.Same)
	for _, c := range r.Changes {
		texts = append(texts, c.Group+": "+c.Text)
	}
	return code, texts
}

// swap replaces a text in a file, once.
func swap(t *testing.T, file, old, new string) {
	t.Helper()
	text, err := os.ReadFile(file)
	require.NoError(t, err)
	require.Contains(t, string(text), old, file)
	require.NoError(t, os.WriteFile(file, bytes.Replace(text, []byte(old), []byte(new), 1), 0o644))
}

// Real builds of a demo recipe: the same twice, then with one thing changed each time. Every change must be told, and what
// was not touched must not.
func TestCompareRealBuilds(t *testing.T) {
	dir := checkout(t, "compare")
	recipe := filepath.Join(dir, "recipes", "probe.panel.hcl")
	boards := filepath.Join(dir, "testdata", "boards", "probe")
	made := func(t *testing.T, name string, args ...string) string {
		t.Helper()
		out := filepath.Join(dir, name)
		code, said := build(append(append([]string{"build", "-o", out}, args...), recipe)...)
		require.LessOrEqual(t, code, 1, said)
		return filepath.Join(out, "probe-6up")
	}
	base := made(t, "base")
	code, texts := compareJSON(t, base, made(t, "again"))
	require.Zero(t, code, "%q", texts)
	require.Empty(t, texts)

	named := func(texts []string, group string) bool {
		for _, x := range texts {
			if strings.HasPrefix(x, group+": ") {
				return true
			}
		}
		return false
	}
	// A 2 x 2 mm square more in the legend's layer of the board, well off what stands there.
	legend, err := filepath.Glob(filepath.Join(boards, "*legend_top*"))
	require.NoError(t, err)
	require.Len(t, legend, 1)
	placement, err := filepath.Glob(filepath.Join(boards, "*placement*"))
	require.NoError(t, err)
	require.Len(t, placement, 1)
	was, err := os.ReadFile(placement[0])
	require.NoError(t, err)

	t.Run("a part moved", func(t *testing.T) {
		lines := strings.Split(string(was), "\n")
		for i, l := range lines { // the first resistor, 1 mm to the right: PosX is the fourth column
			if f := strings.Split(l, ","); strings.HasPrefix(l, "R") && len(f) > 5 && f[0] != "Ref" {
				x := json.Number(f[3])
				v, err := x.Float64()
				require.NoError(t, err)
				text, err := json.Marshal(v + 1)
				require.NoError(t, err)
				f[3] = string(text)
				lines[i] = strings.Join(f, ",")
				require.NoError(t, os.WriteFile(placement[0], []byte(strings.Join(lines, "\n")), 0o644))
				defer os.WriteFile(placement[0], was, 0o644)
				code, texts := compareJSON(t, base, made(t, "part"))
				require.Equal(t, 1, code)
				require.Contains(t, texts, "parts: part "+f[0]+" of probe moved 1 mm to the right, on each of its 6 copies")
				require.False(t, named(texts, "cuts"), "%q", texts)
				require.False(t, named(texts, "artwork"), "%q", texts)
				require.False(t, named(texts, "copies"), "%q", texts)
				return
			}
		}
		t.Fatal("no part to move")
	})

	t.Run("artwork", func(t *testing.T) {
		was, err := os.ReadFile(legend[0])
		require.NoError(t, err)
		defer os.WriteFile(legend[0], was, 0o644)
		swap(t, legend[0], "M02*", "%LPD*%\nG36*\n"+squareAt(t, base, string(was))+"G37*\nM02*")
		code, texts := compareJSON(t, base, made(t, "legend"))
		require.Equal(t, 1, code)
		require.Contains(t, strings.Join(texts, "\n"), "artwork: legend on the top of probe changed over ")
		require.Contains(t, strings.Join(texts, "\n"), ", on each of its 6 copies")
		require.True(t, named(texts, "boards"))
		require.False(t, named(texts, "cuts"), "%q", texts)
		require.False(t, named(texts, "parts"), "%q", texts)
		require.NotContains(t, strings.Join(texts, "\n"), "copper layer")
	})

	t.Run("words, page and Markdown", func(t *testing.T) {
		swap(t, recipe, `revision = "`, `revision = "X`)
		new := made(t, "revision")
		page, md := filepath.Join(dir, "changes.html"), filepath.Join(dir, "changes.md")
		code, out := build("compare", "--page", page, "--markdown", md, base, new)
		require.Equal(t, 1, code)
		require.Contains(t, out, "\npanel\n  - revision ")
		text, err := os.ReadFile(md)
		require.NoError(t, err)
		require.True(t, strings.HasPrefix(string(text), "## Panel probe-6up: "), "%s", text[:60])
		text, err = os.ReadFile(page)
		require.NoError(t, err)
		require.True(t, strings.HasPrefix(string(text), "<!doctype html>"))
		require.Less(t, len(text), 3<<20)
		code, out = build("compare", "--markdown", "-", base, new)
		require.Equal(t, 1, code)
		require.True(t, strings.HasPrefix(out, "## Panel probe-6up: "))
	})

	t.Run("bytes of written files", func(t *testing.T) {
		planted := filepath.Join(dir, "planted")
		for _, c := range []struct{ file, old, new, want string }{
			{"fab/probe-6up-copper-1-top.gbr", "D03*", "D02*", "artwork: copper layer 1 of probe changed over "},
			{"fab/probe-6up-copper-1-top.gbr", "G04 A1*", "G04 A2*", "artwork: copper layer 1: fab/probe-6up-copper-1-top.gbr has the same picture, object by object"},
			{"fab/probe-6up-profile.gbr", "D01*\n", "D02*\n", "cuts: fab/probe-6up-profile.gbr: "},
			{"panel.json", `"diameter_mm":`, `"diameter_mm":1`, ""},
			{"assembly/probe-6up-copies.csv", "A1", "A9", "files: file assembly/probe-6up-copies.csv differs, and nothing that has a name explains it: 1 line gone, 1 added"},
			{"report/junit.xml", "<", "< ", "files: file report/junit.xml differs, and nothing that has a name explains it"},
		} {
			require.NoError(t, os.RemoveAll(planted))
			require.NoError(t, os.CopyFS(planted, os.DirFS(base)))
			swap(t, filepath.Join(planted, filepath.FromSlash(c.file)), c.old, c.new)
			code, texts := compareJSON(t, base, planted)
			require.Equal(t, 1, code, c.file)
			require.NotEmpty(t, texts)
			require.Contains(t, strings.Join(texts, "\n"), c.want)
			_, out := build("compare", base, planted)
			require.Contains(t, strings.Join(strings.Fields(out), " "), "was changed after the build", c.file)
		}
	})

	t.Run("exit codes", func(t *testing.T) {
		for _, c := range []struct {
			code int
			args []string
			says string
		}{
			{2, []string{"compare", base}, "needs two build folders"},
			{2, []string{"compare", base, dir}, "is not a finished build"},
			{2, []string{"compare", base, filepath.Join(dir, "none")}, "there is no such folder"},
			{2, []string{"compare", "--json", "--markdown", "-", base, base}, "both want standard output"},
			{3, []string{"compare", "--page", filepath.Join(dir, "no", "such.html"), base, base}, "cannot be written"},
			{0, []string{"compare", base, base}, "the same"},
		} {
			code, out := build(c.args...)
			require.Equal(t, c.code, code, "%q: %s", c.args, out)
			require.Contains(t, out, c.says)
		}
	})
}

// squareAt draws a square of 2 mm in the middle of the first board of a build, in the numbers of its layer file.
func squareAt(t *testing.T, dir, layer string) string {
	t.Helper()
	// The digits before and after the point; all are written, so that it does not matter which zeros may be left out.
	_, format, ok := strings.Cut(layer, "AX")
	require.True(t, ok)
	digits := int(format[0]-'0') + int(format[1]-'0')
	mm := int64(1)
	for range format[1] - '0' { // digits after the point
		mm *= 10
	}
	text, err := os.ReadFile(filepath.Join(dir, "panel.json"))
	require.NoError(t, err)
	var p struct {
		Boards []struct {
			LowerLeft [2]float64 `json:"lower_left_mm"`
			Width     float64    `json:"width_mm"`
			Height    float64    `json:"height_mm"`
		} `json:"boards"`
	}
	require.NoError(t, json.Unmarshal(text, &p))
	b := p.Boards[0]
	x, y := int64((b.LowerLeft[0]+b.Width/2)*float64(mm)), int64((b.LowerLeft[1]+b.Height/2)*float64(mm))
	var out strings.Builder
	for i, d := range [][2]int64{{0, 0}, {2 * mm, 0}, {2 * mm, 2 * mm}, {0, 2 * mm}, {0, 0}} {
		op := "D01*\n"
		if i == 0 {
			op = "D02*\n"
		}
		fmt.Fprintf(&out, "X%0*dY%0*d%s", digits, x+d[0], digits, y+d[1], op)
	}
	return out.String()
}
