package compare

import (
	"context"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"

	"panelwright/pipeline/run"
)

// What is no build, or a damaged one, is refused in words that say what, where and what to do.
func TestRefusals(t *testing.T) {
	p := onePanel()
	good := aTree(p).manifest(p, nil)
	for _, c := range []struct {
		name string
		bad  tree
		want string
	}{
		{"no manifest", good.without(manifestName), "is not a finished build: there is no manifest.json in it\n    name a folder"},
		{"no panel.json", good.without(panelName), "panel.json is missing: there is nothing to compare\n    build the panel again"},
		{"manifest cut short", good.with(manifestName, good[manifestName][:40]), "manifest.json: is damaged: line 1: unexpected end of JSON input\n    build the panel again"},
		{"manifest of another kind", good.with(manifestName, `{"schema":1}`), "manifest.json: is damaged: it names no panel"},
		{"manifest with a number for a name", good.with(manifestName, `{"schema":1,"panel":3}`), "manifest.json: is damaged: panel is a number, which it may not be"},
		{"panel.json cut short", good.with(panelName, good[panelName][:300]), "panel.json: is damaged: line"},
		{"panel.json of a later schema", good.swap(t, panelName, `"schema":1`, `"schema":2`), "its schema is 2, and this program reads schema 1"},
		{"a contour that does not close", good.swap(t, panelName, `"to":[0,0]}]`, `"to":[0,1]}]`), "the panel's outline: a contour does not close: it ends at (0, 1) mm"},
		{"a contour with a gap", good.swap(t, panelName, `{"from":[50,0],"to":[50,20]}`, `{"from":[50,1],"to":[50,20]}`), "the edges do not follow one another at (50, 1) mm"},
		{"a number too fine", good.swap(t, panelName, `"width_mm":50`, `"width_mm":50.1234567`), "50.1234567 is not a decimal number with at most six digits after the point"},
		{"a number too large", good.swap(t, panelName, `"width_mm":50`, `"width_mm":5e4`), "5e4 is not a plain decimal number"},
		{"a number beyond bounds", good.swap(t, panelName, `"at_mm":[5,2]`, `"at_mm":[5000,2]`), "marks, fiducial/1: at_mm: 5000 is beyond what a panel can hold"},
		{"a point of three", good.swap(t, panelName, `"at_mm":[5,2]`, `"at_mm":[5,2,1]`), "marks, fiducial/1: at_mm: a point is two numbers, x and y, and [5,2,1] is not"},
		{"an id twice", good.swap(t, panelName, `"slot/2"`, `"slot/1"`), `slots: two entries have the id "slot/1"`},
		{"no id", good.swap(t, panelName, `"id":"slot/2",`, ``), "slots, entry 2: has no id"},
		{"a copy without a place", good.swap(t, panelName, `"box_mm":[[2,6],[22,16]]`, `"x":1`), "copies, A1: has no box"},
		{"findings cut short", good.with(findingsName, `{"schema":1,`), "report/findings.json: is damaged"},
		{"findings of a later schema", good.with(findingsName, `{"schema":7}`), "report/findings.json: is damaged: its schema is 7"},
	} {
		t.Run(c.name, func(t *testing.T) {
			dir, bad := good.lay(t), c.bad.lay(t)
			for _, args := range [][2]string{{dir, bad}, {bad, dir}} {
				_, err := Folders(context.Background(), args[0], args[1], Options{})
				require.ErrorContains(t, err, c.want)
				require.Contains(t, err.Error(), filepath.ToSlash(bad), "it says which folder")
				var machine *run.MachineError
				require.NotErrorAs(t, err, &machine)
			}
		})
	}
	dir := good.lay(t)
	_, err := Folders(context.Background(), dir, filepath.Join(dir, "none"), Options{})
	require.ErrorContains(t, err, "there is no such folder")
	_, err = Folders(context.Background(), dir, filepath.Join(dir, panelName), Options{})
	require.ErrorContains(t, err, "is a file, not a build folder")
	both := t.TempDir()
	require.NoError(t, os.CopyFS(filepath.Join(both, "millrace"), os.DirFS(aTree(p).manifest(p, map[string]any{"supplier": "millrace"}).lay(t))))
	_, err = Folders(context.Background(), dir, both, Options{})
	require.ErrorContains(t, err, "holds builds for millrace\n    name one of them, such as ")
	done, cancel := context.WithCancel(context.Background())
	cancel()
	_, err = Folders(done, dir, dir, Options{})
	require.ErrorIs(t, err, context.Canceled)
}

// Nothing outside the two folders is read: links are refused.
func TestLinksAreRefused(t *testing.T) {
	p := onePanel()
	good := aTree(p).manifest(p, nil)
	for _, target := range []string{"panel.json", "../../../../etc/hostname"} {
		dir := good.lay(t)
		if err := os.Symlink(target, filepath.Join(dir, "fab.txt")); err != nil {
			t.Skip("no links here")
		}
		_, err := Folders(context.Background(), good.lay(t), dir, Options{})
		require.ErrorContains(t, err, "fab.txt: is not a plain file")
	}
	dir, outside := good.without(panelName).lay(t), good.lay(t)
	require.NoError(t, os.Symlink(filepath.Join(outside, panelName), filepath.Join(dir, panelName)))
	_, err := Folders(context.Background(), outside, dir, Options{})
	require.ErrorContains(t, err, "is not a plain file")
}

// Whatever panel.json, findings and placement hold, reading them ends in a value or in words.
func FuzzPanelData(f *testing.F) {
	p := onePanel()
	f.Add(p.text())
	f.Add(`{"schema":1,"copies":[{"id":"A","box_mm":[[0,0],[1,1]],"rotation_deg":-3}]}`)
	f.Add(`{"schema":1,"tabs":[{"id":"t","rows":[[1,2]],"feet_mm":[[1,2],[3,4]]}]}`)
	f.Fuzz(func(t *testing.T, text string) {
		_, _ = readFindings([]byte(text))
		_, _ = readPlacement([]byte(text))
		d, err := readPanel([]byte(text))
		if err != nil {
			require.NotEmpty(t, err.Error())
			return
		}
		base, err := readPanel([]byte(p.text()))
		require.NoError(t, err)
		c := &comparison{old: &build{panel: base}, new: &build{panel: d}, told: map[string]Group{}, workers: 1}
		if err := c.start().ofPanel(context.Background()); err == nil {
			for _, x := range fold(c.changes) {
				require.NotEmpty(t, x.Text)
				require.False(t, strings.ContainsAny(x.Text, "\n\r\x00"), "%q", x.Text)
			}
		}
	})
}
