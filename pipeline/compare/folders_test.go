package compare

import (
	"context"
	"crypto/sha256"
	"encoding/hex"
	"encoding/json"
	"fmt"
	"maps"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"
)

// plan is what a test's panel.json says: lists by key, one feature a line.
type plan struct {
	name, revision string
	width, height  string
	lists          map[string][]string
	extra          string // further keys, with their commas
}

func (p plan) text() string {
	var b strings.Builder
	fmt.Fprintf(&b, `{"schema":1,"panel":%q,"revision":%q,"units":"mm","width_mm":%s,"height_mm":%s,"thickness_mm":1.6,"copper_layers":2,`, p.name, p.revision, p.width, p.height)
	fmt.Fprintf(&b, `"outline_mm":[{"from":[0,0],"to":[%[1]s,0]},{"from":[%[1]s,0],"to":[%[1]s,%[2]s]},{"from":[%[1]s,%[2]s],"to":[0,%[2]s]},{"from":[0,%[2]s],"to":[0,0]}],`, p.width, p.height)
	for _, k := range listKeys {
		fmt.Fprintf(&b, "\n%q:[%s],", k, strings.Join(p.lists[k], ",\n"))
	}
	b.WriteString(p.extra + `"cutters_mm":[2]}`)
	return b.String()
}

// with gives the plan with a list replaced.
func (p plan) with(key string, rows ...string) plan {
	p.lists = maps.Clone(p.lists)
	p.lists[key] = rows
	return p
}

func aCopy(id, board string, x, y, turn int) string {
	// The board is 20 x 10 mm, its lower left corner the origin of its files; a half turn shifts by its size.
	bx, by := x, y
	if turn == 180 {
		bx, by = x-20, y-10
	}
	return fmt.Sprintf(`{"id":%q,"board":%q,"x_mm":%d,"y_mm":%d,"rotation_deg":%d,"box_mm":[[%d,%d],[%d,%d]]}`, id, board, x, y, turn, bx, by, bx+20, by+10)
}

func aTab(id, copy string, x, y, width string) string {
	return fmt.Sprintf(`{"id":%q,"copies":[%q],"rail":"rail/lower","width_mm":%s,"feet_mm":[[%[4]s,%[5]s],[%[4]s,3]],"along":[1,0],"rows":[{"copies":[%[2]q],"inset_mm":0,"line_mm":[{"from":[%[4]s,%[5]s],"to":[%[4]s,4]}],"web_mm":0.3,"web_at_worst_mm":0.1,"shoulder_mm":0.2,"shoulder_at_worst_mm":0.1,"stub_mm":0.25,"stub_at_worst_mm":0.3}]}`, id, copy, width, x, y)
}

func aHole(tab string, n int, x, y, d string) string {
	return fmt.Sprintf(`{"id":"%s/hole/%d","tab":%q,"row":0,"copy":"A1","at_mm":[%s,%s],"diameter_mm":%s}`, tab, n, tab, x, y, d)
}

func aSlot(id string, x0, y0, x1, y1 string) string {
	return fmt.Sprintf(`{"id":%q,"outer_mm":[{"from":[%[2]s,%[3]s],"to":[%[4]s,%[3]s]},{"from":[%[4]s,%[3]s],"to":[%[4]s,%[5]s]},{"from":[%[4]s,%[5]s],"to":[%[2]s,%[5]s]},{"from":[%[2]s,%[5]s],"to":[%[2]s,%[3]s]}]}`, id, x0, y0, x1, y1)
}

func aMark(id, kind, x, y, d string) string {
	return fmt.Sprintf(`{"id":%q,"kind":%q,"at_mm":[%s,%s],"diameter_mm":%s}`, id, kind, x, y, d)
}

const gaugeBoard = `{"name":"gauge","part_number":"RG-1042","revision":"C","thickness_mm":1.6,"copper_layers":2,"width_mm":20,"height_mm":10,"lower_left_mm":[0,0],"parts":2,"sources":[{"name":"top.gbr","sha256":"aaaaaaaaaaaa","bytes":10,"use":"copper-1-top"},{"name":"readme.txt","sha256":"bbbb","bytes":3,"ignored_because":"text"}]}`

// onePanel is two gauges beside one another over a rail.
func onePanel() plan {
	return plan{name: "two", revision: "A", width: "50", height: "20", lists: map[string][]string{
		"boards": {gaugeBoard},
		"copies": {aCopy("A1", "gauge", 2, 6, 0), aCopy("B1", "gauge", 24, 6, 0)},
		"rails":  {`{"id":"rail/lower","box_mm":[[0,0],[50,4]]}`},
		"marks":  {aMark("fiducial/1", "fiducial", "5", "2", "1"), aMark("tooling_hole/1", "tooling_hole", "45", "2", "3")},
		"slots":  {aSlot("slot/1", "2", "4", "10", "6"), aSlot("slot/2", "14", "4", "34", "6"), aSlot("slot/3", "38", "4", "46", "6")},
		"tabs":   {aTab("A1/tab/lower/1", "A1", "12", "6", "4"), aTab("B1/tab/lower/1", "B1", "36", "6", "4")},
		"perforations": {aHole("A1/tab/lower/1", 1, "11", "5.75", "0.5"), aHole("A1/tab/lower/1", 2, "13", "5.75", "0.5"),
			aHole("B1/tab/lower/1", 1, "35", "5.75", "0.5"), aHole("B1/tab/lower/1", 2, "37", "5.75", "0.5")},
		"scores": {`{"id":"score/y1","from_mm":[0,18],"to_mm":[50,18],"remaining_web_mm":0.4,"depth_each_side_mm":0.6,"included_angle_deg":30,"leave_mm":0,"web_tolerance_mm":0.1,"blade_offset_tolerance_mm":0.1,"position_tolerance_mm":0.1}`},
	}}
}

// tree is a build folder: names to contents. Where it has no manifest.json, one is made.
type tree map[string]string

func (t tree) with(name, content string) tree {
	t = maps.Clone(t)
	t[name] = content
	return t
}

func (t tree) without(name string) tree {
	t = maps.Clone(t)
	delete(t, name)
	return t
}

// swap replaces a text in a file, which must be there once at least.
func (t tree) swap(tb testing.TB, name, old, new string) tree {
	tb.Helper()
	require.Contains(tb, t[name], old)
	return t.with(name, strings.Replace(t[name], old, new, 1))
}

const noFindings = `{"schema":1,"findings":[],"judged":[{"rule":"copper-to-edge","bound":"at_least","limit":0.25,"unit":"mm"}]}`

func aTree(p plan) tree {
	return tree{panelName: p.text(), findingsName: noFindings, "build.log": "{}\n"}
}

// manifest lists the tree's files, and whatever else is handed over.
func (t tree) manifest(p plan, more map[string]any) tree {
	m := map[string]any{"schema": 1, "panel": p.name, "revision": p.revision, "tool": map[string]string{"name": "panelwright", "version": "1.0.0"}, "released": true,
		"recipe": []any{}, "inputs": []any{}, "values": []any{}}
	maps.Copy(m, more)
	var out []any
	for _, name := range slices.Sorted(maps.Keys(t)) {
		sum := sha256.Sum256([]byte(t[name]))
		out = append(out, map[string]any{"file": name, "sha256": hex.EncodeToString(sum[:]), "bytes": len(t[name])})
	}
	m["outputs"] = out
	text, err := json.Marshal(m)
	if err != nil {
		panic(err)
	}
	return t.with(manifestName, string(text))
}

// lay writes the folder.
func (t tree) lay(tb testing.TB) string {
	tb.Helper()
	dir := tb.TempDir()
	for name, content := range t {
		at := filepath.Join(dir, filepath.FromSlash(name))
		require.NoError(tb, os.MkdirAll(filepath.Dir(at), 0o755))
		require.NoError(tb, os.WriteFile(at, []byte(content), 0o644))
	}
	return dir
}

// compared compares two trees.
func compared(tb testing.TB, old, new tree) *Result {
	tb.Helper()
	r, err := Folders(context.Background(), old.lay(tb), new.lay(tb), Options{Workers: 2})
	require.NoError(tb, err)
	return r
}

// told gives "group: text" of all changes.
func told(r *Result) []string {
	out := []string{}
	for _, x := range r.Changes {
		out = append(out, string(x.Group)+": "+x.Text)
	}
	return out
}
