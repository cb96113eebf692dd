package compare

import (
	"strings"
	"testing"

	"github.com/stretchr/testify/require"
)

// Every kind of change of the plan, each told once and alone. Areas by hand.
func TestWhatPanelSays(t *testing.T) {
	base := onePanel()
	for _, c := range []struct {
		name     string
		old, new plan
		want     []string
	}{
		{name: "nothing", old: base, new: base, want: []string{}},
		{"panel grew", base, func() plan { p := base; p.width, p.height = "60", "22"; return p }(), []string{"panel: panel grew from 50 × 20 mm to 60 × 22 mm"}},
		{"panel shrank", base, func() plan { p := base; p.width = "48"; return p }(), []string{"panel: panel shrank from 50 × 20 mm to 48 × 20 mm"}},
		{"panel changed", base, func() plan { p := base; p.width, p.height = "60", "19"; return p }(), []string{"panel: panel changed from 50 × 20 mm to 60 × 19 mm"}},
		{"revision", base, func() plan { p := base; p.revision = "B"; return p }(), []string{"panel: revision A → B"}},
		{"support said", base, carried(base, onRails), []string{"panel: how the panel is carried is now said: on two rails (upper, lower)"}},
		{"support no longer said", carried(base, onRails), base, []string{"panel: how the panel is carried is no longer said; before: on two rails (upper, lower)"}},
		{"carried by other sides", carried(base, onRails), carried(base, strings.Replace(onRails, `["upper","lower"]`, `["left","right"]`, 1)),
			[]string{"panel: the panel is carried otherwise: on two rails (upper, lower) → on two rails (left, right)"}},
		{"carried on pins", carried(base, onRails), carried(base, `{"carried":"pins","pins_mm":[[1,2],[3,4],[5,2]],"force_newton":8,"open_mesh_mm":4,"fine_mesh_mm":0.8,"most_sag_percent":0.5}`),
			[]string{"panel: the panel is carried otherwise: on two rails (upper, lower) → on pins, force 5 N → 8 N, most sag 0.5 %, before none, pins changed"}},
		{"another laminate", carried(base, onRails, `{"name":"elastic_warp","value":24.3,"unit":"GPa"}`, `{"name":"notch","value":1.8}`), carried(base, onRails, `{"name":"elastic_warp","value":18.6,"unit":"GPa"}`, `{"name":"notch","value":1.8}`),
			[]string{"panel: laminate's elastic_warp: value 24.3 → 18.6"}},
		{"something new in panel.json", base, func() plan { p := base; p.extra = `"weather":"fair",`; return p }(), []string{"panel: panel.json: weather changed"}},

		{"tab moved", base, base.with("tabs", aTab("A1/tab/lower/1", "A1", "15.5", "6", "4"), base.lists["tabs"][1]).
			with("perforations", aHole("A1/tab/lower/1", 1, "14.5", "5.75", "0.5"), aHole("A1/tab/lower/1", 2, "16.5", "5.75", "0.5"), base.lists["perforations"][2], base.lists["perforations"][3]),
			[]string{"cuts: tab A1/tab/lower/1 moved 3.5 mm to the right"}},
		{"tab wider", base, base.with("tabs", aTab("A1/tab/lower/1", "A1", "12", "6", "5"), base.lists["tabs"][1]), []string{"cuts: tab A1/tab/lower/1: wider: 4 → 5 mm"}},
		{"tab narrower", base, base.with("tabs", aTab("A1/tab/lower/1", "A1", "12", "6", "3.25"), base.lists["tabs"][1]), []string{"cuts: tab A1/tab/lower/1: narrower: 4 → 3.25 mm"}},
		{"tab gone, with its holes", base, base.with("tabs", base.lists["tabs"][1]).with("perforations", base.lists["perforations"][2:]...), []string{"cuts: tab A1/tab/lower/1 gone at (12, 4.5) mm"}},
		{"tab appeared", base.with("tabs", base.lists["tabs"][1]).with("perforations", base.lists["perforations"][2:]...), base, []string{"cuts: tab A1/tab/lower/1 appeared at (12, 4.5) mm"}},
		{"web of all tabs", base, base.with("tabs", swapAll(base.lists["tabs"], `"web_mm":0.3`, `"web_mm":0.35`)...), []string{"cuts: 2 tabs (A1/tab/lower/1, B1/tab/lower/1): web 0.3 mm → 0.35 mm"}},
		{"worst web only", base, base.with("tabs", swapAll(base.lists["tabs"][:1], `"web_at_worst_mm":0.1`, `"web_at_worst_mm":0.05`, base.lists["tabs"][1])...), []string{"cuts: tab A1/tab/lower/1: web at worst 0.1 mm → 0.05 mm"}},
		{"perforations larger", base, base.with("perforations", swapAll(base.lists["perforations"], `"diameter_mm":0.5`, `"diameter_mm":0.6`)...),
			[]string{"cuts: 2 tabs (A1/tab/lower/1, B1/tab/lower/1): perforations' diameter 0.5 → 0.6 mm"}},
		{"a perforation less", base, base.with("perforations", base.lists["perforations"][1:]...), []string{"cuts: tab A1/tab/lower/1: perforations 2 → 1"}},
		{"perforations moved within the tab", base, base.with("perforations", append([]string{aHole("A1/tab/lower/1", 1, "11.1", "5.75", "0.5")}, base.lists["perforations"][1:]...)...),
			[]string{"cuts: tab A1/tab/lower/1: perforations sit elsewhere in the tab"}},
		{"tab pinned", base, base.with("tabs", swapAll(base.lists["tabs"][:1], `"rows"`, `"pinned":true,"rows"`, base.lists["tabs"][1])...), []string{"cuts: tab A1/tab/lower/1: pinned true, before none"}},
		{"hole of no tab", base, base.with("perforations", append([]string{aHole("X", 1, "1", "1", "0.5")}, base.lists["perforations"]...)...), []string{"cuts: perforation X/hole/1 appeared at (1, 1) mm"}},

		// 8 x 2 mm became 8 x 2.5 mm: 4 mm² more.
		{"slot wider", base, base.with("slots", aSlot("slot/1", "2", "3.5", "10", "6"), base.lists["slots"][1], base.lists["slots"][2]), []string{"cuts: slot/1 changed over 4 mm² (4 mm² added)"}},
		// Moved by 0.5 mm, a slot 8 mm long and 2 wide is gone over 1 mm² and added over 1 mm²; but it is the same slot.
		{"slot moved", base, base.with("slots", aSlot("slot/1", "2.5", "4", "10.5", "6"), base.lists["slots"][1], base.lists["slots"][2]), []string{"cuts: slot/1 moved 0.5 mm to the right"}},
		{"slots renumbered", base, base.with("slots", aSlot("slot/1", "2", "10", "10", "12"), aSlot("slot/2", "2", "4", "10", "6"), aSlot("slot/3", "14", "4", "34", "6"), aSlot("slot/4", "38", "4", "46", "6")),
			[]string{"cuts: slot/1 appeared at (6, 11) mm", "cuts: 3 slots (slot/1 → slot/2, slot/2 → slot/3, slot/3 → slot/4) renamed"}},
		{"slot renumbered and changed", base, base.with("slots", base.lists["slots"][0], base.lists["slots"][1], aSlot("slot/9", "38", "4", "45", "6")),
			[]string{"cuts: slot/3 → slot/9 renamed, changed over 2 mm² (2 mm² gone)"}},
		{"web of a score line", base, base.with("scores", swapAll(base.lists["scores"], `"remaining_web_mm":0.4`, `"remaining_web_mm":0.5`)...), []string{"cuts: score/y1: remaining web 0.4 mm → 0.5 mm"}},
		{"angle of a score line", base, base.with("scores", swapAll(base.lists["scores"], `"included_angle_deg":30`, `"included_angle_deg":45`)...), []string{"cuts: score/y1: included angle 30° → 45°"}},
		{"score line shorter", base, base.with("scores", swapAll(base.lists["scores"], `"to_mm":[50,18]`, `"to_mm":[40,18]`)...), []string{"cuts: score/y1: now from (0, 18) to (40, 18) mm"}},
		{"score line moved", base, base.with("scores", swapAll(swapAll(base.lists["scores"], `[50,18]`, `[50,17]`), `[0,18]`, `[0,17]`)...), []string{"cuts: score/y1 moved 1 mm down"}},

		{"fiducial larger", base, base.with("marks", aMark("fiducial/1", "fiducial", "5", "2", "1.5"), base.lists["marks"][1]), []string{"marks: fiducial/1: diameter 1 mm → 1.5 mm"}},
		{"marks moved alike", base, base.with("marks", aMark("fiducial/1", "fiducial", "5", "1.5", "1"), aMark("tooling_hole/1", "tooling_hole", "45", "1.5", "3")),
			[]string{"marks: 2 marks (fiducial/1, tooling_hole/1) moved 0.5 mm down"}},
		{"mark gone", base, base.with("marks", base.lists["marks"][1]), []string{"marks: fiducial/1 gone at (5, 2) mm"}},
		{"rail wider", base, base.with("rails", `{"id":"rail/lower","box_mm":[[0,0],[50,5]]}`), []string{"panel: rail/lower: size 50 × 4 mm → 50 × 5 mm"}},
		{"rail gone", base, base.with("rails"), []string{"panel: rail/lower gone at (25, 2) mm"}},

		{"copy turned", base, base.with("copies", base.lists["copies"][0], aCopy("B1", "gauge", 44, 16, 180)), []string{"copies: copy B1 turned by 180°"}},
		{"copy of another board", base, base.with("copies", base.lists["copies"][0], aCopy("B1", "modem", 24, 6, 0)), []string{"copies: copy B1 of board modem, before gauge"}},
		{"copy renamed", base, base.with("copies", base.lists["copies"][0], aCopy("right.A1", "gauge", 24, 6, 0)).with("tabs", base.lists["tabs"][0], strings.ReplaceAll(base.lists["tabs"][1], "B1", "right.A1")).
			with("perforations", swapAll(base.lists["perforations"], "B1", "right.A1")...),
			[]string{"copies: copy B1 → right.A1 renamed", "cuts: tab B1/tab/lower/1 → right.A1/tab/lower/1 renamed"}},
		{"copy moved, its tab along", base, base.with("copies", base.lists["copies"][0], aCopy("B1", "gauge", 25, 6, 0)).with("tabs", base.lists["tabs"][0], aTab("B1/tab/lower/1", "B1", "37", "6", "4")).
			with("perforations", base.lists["perforations"][0], base.lists["perforations"][1], aHole("B1/tab/lower/1", 1, "36", "5.75", "0.5"), aHole("B1/tab/lower/1", 2, "38", "5.75", "0.5")),
			[]string{"copies: copy B1 moved 1 mm to the right", "cuts: tab B1/tab/lower/1 moved along with the copy"}},
		{"copy moved, its tab further", base, base.with("copies", base.lists["copies"][0], aCopy("B1", "gauge", 25, 6, 0)).with("tabs", base.lists["tabs"][0], aTab("B1/tab/lower/1", "B1", "39", "6", "4")).
			with("perforations", base.lists["perforations"][0], base.lists["perforations"][1], aHole("B1/tab/lower/1", 1, "38", "5.75", "0.5"), aHole("B1/tab/lower/1", 2, "40", "5.75", "0.5")),
			[]string{"copies: copy B1 moved 1 mm to the right", "cuts: tab B1/tab/lower/1 moved along with the copy and, on it, 2 mm to the right"}},
		{"other pitch", grid(22, 12, 0), grid(23, 13, 1), []string{"copies: 6 copies (A1, B1, C1 and 3 more): pitch of columns 22 → 23 mm, pitch of rows 12 → 13 mm; A1 moved 1 mm up"}},
		{"copy gone with its tab", base, base.with("copies", base.lists["copies"][0]).with("tabs", base.lists["tabs"][0]).with("perforations", base.lists["perforations"][:2]...),
			[]string{"copies: copy B1 of gauge gone at (34, 11) mm", "cuts: tab B1/tab/lower/1 gone with the copy"}},

		{"board's revision", base, base.with("boards", strings.Replace(gaugeBoard, `"revision":"C"`, `"revision":"D"`, 1)), []string{"boards: board gauge: revision C → D"}},
		{"board's part number", base, base.with("boards", strings.Replace(gaugeBoard, `RG-1042`, `RG-1043`, 1)), []string{"boards: board gauge: part number RG-1042 → RG-1043"}},
		{"board's thickness", base, base.with("boards", strings.Replace(gaugeBoard, `"thickness_mm":1.6`, `"thickness_mm":1`, 1)), []string{"boards: board gauge: thickness 1.6 mm → 1 mm"}},
		{"board's file", base, base.with("boards", strings.Replace(gaugeBoard, `aaaaaaaaaaaa`, `cccccccccccc`, 1)), []string{"boards: board gauge: file top.gbr (copper-1-top) changed (SHA-256 aaaaaaaa… → cccccccc…)"}},
		{"board's file renamed", base, base.with("boards", strings.Replace(gaugeBoard, `top.gbr`, `front.gbr`, 1)), []string{"boards: board gauge: file front.gbr (copper-1-top) was called top.gbr"}},
		{"board's file gone", base, base.with("boards", strings.Replace(gaugeBoard, `,{"name":"readme.txt","sha256":"bbbb","bytes":3,"ignored_because":"text"}`, ``, 1)), []string{"boards: board gauge: file readme.txt (ignored: text) gone"}},
		{"board gone", base, base.with("boards"), []string{"boards: board gauge (RG-1042 C) gone"}},
	} {
		t.Run(c.name, func(t *testing.T) {
			r := compared(t, aTree(c.old).manifest(c.old, nil), aTree(c.new).manifest(c.new, nil))
			require.Equal(t, c.want, told(r))
			require.Equal(t, len(c.want) == 0, r.Same)
			require.Empty(t, r.Warnings)
			for _, x := range r.Changes {
				require.NotEmpty(t, x.Kind)
			}
		})
	}
}

// swapAll replaces a text in every row, and appends rows.
func swapAll(rows []string, old, new string, more ...string) []string {
	var out []string
	for _, r := range rows {
		out = append(out, strings.ReplaceAll(r, old, new))
	}
	return append(out, more...)
}

// grid is three columns and two rows of copies.
func grid(dx, dy, up int) plan {
	p := plan{name: "grid", revision: "A", width: "100", height: "50", lists: map[string][]string{"boards": {gaugeBoard}}}
	for row := range 2 {
		for col := range 3 {
			p.lists["copies"] = append(p.lists["copies"], aCopy(string(rune('A'+col))+string(rune('1'+row)), "gauge", 2+col*dx, 2+row*dy+up, 0))
		}
	}
	return p
}

const onRails = `{"carried":"rails","sides":["upper","lower"],"force_newton":5,"open_mesh_mm":4,"fine_mesh_mm":0.8}`

// carried says how a panel is carried, and of what it is made.
func carried(p plan, support string, laminate ...string) plan {
	p.extra += `"support":` + support + ","
	return p.with("laminate", laminate...)
}
