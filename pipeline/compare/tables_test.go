package compare

import (
	"encoding/json"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"
)

func drillText(tools string, holes string) string {
	return "M48\n; #@! TF.FileFunction,NonPlated,1,2,NPTH\nMETRIC\n" + tools + "%\nG05\n" + holes + "M30\n"
}

// A finding that tells of the worst of many places is the same one when another place is worst; where a rule has several, or
// reckoned nothing, they are told apart.
func TestWorstPlaceMoves(t *testing.T) {
	p := onePanel()
	at := func(feature, copies, measured, basis string) string {
		return `{"rule":"tab-strength","severity":"error","message":"` + feature + ` is weak","feature":"` + feature + `","copies":[` + copies + `],"measured":` + measured + `,"limit":2,"unit":"","reckoned_with":"` + basis + `"}`
	}
	const both = `"A1","B1"`
	for _, c := range []struct {
		name, old, new string
		want           []string
	}{
		{"it moves", at("A1/tab/lower/1", both, "1.5", "E"), at("B1/tab/lower/1", `"B1"`, "1.2", "E"),
			[]string{"findings: error tab-strength at B1/tab/lower/1: worst there now, before at A1/tab/lower/1, worse: measured 1.5 → 1.2, holds for 1 copy, before for 2"}},
		{"no copy in common", at("A1/tab/lower/1", `"A1"`, "1.5", "E"), at("B1/tab/lower/1", `"B1"`, "1.2", "E"),
			[]string{"findings: new error: tab-strength: B1/tab/lower/1 is weak", "findings: error gone: tab-strength: A1/tab/lower/1 is weak"}},
		{"two of them", at("A1/tab/lower/1", both, "1.5", "E") + "," + at("A1/tab/upper/1", both, "1.5", "E"), at("B1/tab/lower/1", both, "1.2", "E"),
			[]string{"findings: new error: tab-strength: B1/tab/lower/1 is weak", "findings: error gone: tab-strength: A1/tab/lower/1 is weak", "findings: error gone: tab-strength: A1/tab/upper/1 is weak"}},
		{"nothing reckoned", at("A1/tab/lower/1", both, "1.5", ""), at("B1/tab/lower/1", both, "1.2", ""),
			[]string{"findings: new error: tab-strength: B1/tab/lower/1 is weak", "findings: error gone: tab-strength: A1/tab/lower/1 is weak"}},
	} {
		t.Run(c.name, func(t *testing.T) {
			const judged = `{"rule":"tab-strength","bound":"at_least","limit":2}`
			r := compared(t, aTree(p).with(findingsName, findingsText(c.old, judged)).manifest(p, nil), aTree(p).with(findingsName, findingsText(c.new, judged)).manifest(p, nil))
			require.Equal(t, c.want, told(r))
		})
	}
}

func TestHoles(t *testing.T) {
	p := onePanel()
	const file = "fab/two-drill-nonplated-1-2.drl"
	// One hole of 3.2 on each board, the tooling hole of the plan on the rail.
	base := drillText("T1C3.200\nT2C3.000\n", "T1\nX7.000Y11.000\nX29.000Y11.000\nT2\nX45.000Y2.000\n")
	for _, c := range []struct {
		name string
		p    plan
		new  string
		want []string
	}{
		{"a hole more on each board", p, drillText("T1C3.200\nT2C3.000\n", "T1\nX7.000Y11.000\nX29.000Y11.000\nX8.000Y8.000\nX30.000Y8.000\nT2\nX45.000Y2.000\n"),
			[]string{"holes: holes without plating through layers 1 to 2 of gauge: 1 hole of 3.2 mm added, on each of its 2 copies"}},
		{"a hole less on one", p, drillText("T1C3.200\nT2C3.000\n", "T1\nX7.000Y11.000\nT2\nX45.000Y2.000\n"),
			[]string{"holes: holes without plating through layers 1 to 2 of gauge: 1 hole of 3.2 mm gone, on 1 of its 2 copies (B1)"}},
		{"another drill", p, drillText("T1C3.300\nT2C3.000\n", "T1\nX7.000Y11.000\nX29.000Y11.000\nT2\nX45.000Y2.000\n"),
			[]string{"holes: holes without plating through layers 1 to 2 of gauge: 1 hole 3.2 → 3.3 mm, on each of its 2 copies"}},
		{"another order", p, drillText("T1C3.200\nT2C3.000\n", "T2\nX45.000Y2.000\nT1\nX29.000Y11.000\nX7.000Y11.000\n"),
			[]string{"holes: fab/two-drill-nonplated-1-2.drl has the same holes and another header or order"}},
		{"the tooling hole moved with the plan", p.with("marks", p.lists["marks"][0], aMark("tooling_hole/1", "tooling_hole", "46", "2", "3")),
			drillText("T1C3.200\nT2C3.000\n", "T1\nX7.000Y11.000\nX29.000Y11.000\nT2\nX46.000Y2.000\n"), []string{"marks: tooling_hole/1 moved 1 mm to the right"}},
		{"the tooling hole moved without the plan", p, drillText("T1C3.200\nT2C3.000\n", "T1\nX7.000Y11.000\nX29.000Y11.000\nT2\nX46.000Y2.000\n"),
			[]string{"holes: holes without plating through layers 1 to 2 beside the boards: 1 hole of 3 mm gone", "holes: holes without plating through layers 1 to 2 beside the boards: 1 hole of 3 mm added"}},
		{"a slot", p, drillText("T1C3.200\nT2C3.000\n", "T1\nX7.000Y11.000\nX29.000Y11.000\nX4.000Y8.000G85X6.000Y8.000\nT2\nX45.000Y2.000\n"),
			[]string{"holes: holes without plating through layers 1 to 2 of gauge: 1 slot of 3.2 mm added, on 1 of its 2 copies (A1)"}},
	} {
		t.Run(c.name, func(t *testing.T) {
			r := compared(t, aTree(p).with(file, base).manifest(p, nil), aTree(c.p).with(file, c.new).manifest(c.p, nil))
			require.Equal(t, c.want, told(r))
		})
	}
}

// Perforations are told with their tabs, as long as the drill file has what the plan has.
func TestPerforationsAreToldWithTheirTabs(t *testing.T) {
	p := onePanel()
	q := p.with("perforations", swapAll(p.lists["perforations"], `"diameter_mm":0.5`, `"diameter_mm":0.6`)...)
	const file = "fab/two-drill-breakoff.drl"
	holes := "T1\nX11.000Y5.750\nX13.000Y5.750\nX35.000Y5.750\nX37.000Y5.750\n"
	r := compared(t, aTree(p).with(file, drillText("T1C0.500\n", holes)).manifest(p, nil), aTree(q).with(file, drillText("T1C0.600\n", holes)).manifest(q, nil))
	require.Equal(t, []string{"cuts: 2 tabs (A1/tab/lower/1, B1/tab/lower/1): perforations' diameter 0.5 → 0.6 mm"}, told(r))
	r = compared(t, aTree(p).with(file, drillText("T1C0.500\n", holes)).manifest(p, nil), aTree(p).with(file, drillText("T1C0.600\n", holes)).manifest(p, nil))
	require.Len(t, r.Changes, 1)
	require.Contains(t, r.Changes[0].Text, "4 holes 0.5 → 0.6 mm", "the file alone changed")
}

func placementText(rows ...string) string {
	return "# placement\n# unit: mm\ncopy,refdes,side,x_mm,y_mm,rotation_deg,package,value,part_number\n" + strings.Join(rows, "\n") + "\n"
}

func TestParts(t *testing.T) {
	p := onePanel()
	const file = "assembly/two-placement.csv"
	// A1 begins at (2, 6), B1 at (24, 6).
	r1, r2 := "A1,R1,top,5,8,90,0402,10K,X", "B1,R1,top,27,8,90,0402,10K,X"
	u1, u2 := "A1,U1,top,12,10,0,SO8,TS,Y", "B1,U1,top,34,10,0,SO8,TS,Y"
	base := aTree(p).with(file, placementText(r1, u1, r2, u2)).manifest(p, nil)
	for _, c := range []struct {
		name string
		p    plan
		new  string
		want []string
	}{
		{"moved on every copy", p, placementText("A1,R1,top,6.25,8,90,0402,10K,X", u1, "B1,R1,top,28.25,8,90,0402,10K,X", u2), []string{"parts: part R1 of gauge moved 1.25 mm to the right, on each of its 2 copies"}},
		{"moved on one", p, placementText(r1, u1, "B1,R1,top,27,7,90,0402,10K,X", u2), []string{"parts: part R1 of gauge moved 1 mm down, on 1 of its 2 copies (B1)"}},
		{"turned", p, placementText("A1,R1,top,5,8,180,0402,10K,X", u1, "B1,R1,top,27,8,180,0402,10K,X", u2), []string{"parts: part R1 of gauge turned by 90° counter-clockwise, on each of its 2 copies"}},
		{"gone", p, placementText(u1, u2), []string{"parts: part R1 of gauge gone, on each of its 2 copies"}},
		{"added", p, placementText(r1, u1, r2, u2, "A1,C1,top,7,7,0,0402,1N,Z", "B1,C1,top,29,7,0,0402,1N,Z"), []string{"parts: part C1 of gauge added, on each of its 2 copies"}},
		{"renamed", p, placementText(strings.Replace(r1, "R1", "R9", 1), u1, strings.Replace(r2, "R1", "R9", 1), u2), []string{"parts: part R9 of gauge was called R1, on each of its 2 copies"}},
		{"another value", p, placementText(strings.Replace(r1, "10K", "12K", 1), u1, strings.Replace(r2, "10K", "12K", 1), u2), []string{"parts: part R1 of gauge value 10K → 12K, on each of its 2 copies"}},
		{"other side", p, placementText(strings.Replace(r1, "top", "bottom", 1), u1, strings.Replace(r2, "top", "bottom", 1), u2), []string{"parts: part R1 of gauge side top → bottom, on each of its 2 copies"}},
		{"several alike", p, placementText("A1,R1,top,5,9,90,0402,10K,X", "A1,U1,top,12,11,0,SO8,TS,Y", "B1,R1,top,27,9,90,0402,10K,X", "B1,U1,top,34,11,0,SO8,TS,Y"),
			[]string{"parts: 2 parts (R1, U1) of gauge moved 1 mm up, on each of its 2 copies"}},
		{"with their copy", p.with("copies", p.lists["copies"][0], aCopy("B1", "gauge", 44, 16, 180)).with("tabs", p.lists["tabs"][0]).with("perforations", p.lists["perforations"][:2]...),
			placementText(r1, u1, "B1,R1,top,41,14,270,0402,10K,X", "B1,U1,top,34,12,180,SO8,TS,Y"), []string{"copies: copy B1 turned by 180°", "cuts: tab B1/tab/lower/1 gone at (36, 4.5) mm"}},
		{"other conventions", p, strings.Replace(placementText(r1, u1, r2, u2), "unit: mm", "unit: millimetre", 1), []string{"parts: the placement file states other conventions; before: unit: mm; now: unit: millimetre"}},
		{"in inches", p, "# placement\n# unit: mm\ncopy,refdes,side,x_inch,y_inch,rotation_deg,package,value,part_number\nA1,R1,top,0.19685,0.314961,90,0402,10K,X\nA1,U1,top,0.472441,0.393701,0,SO8,TS,Y\nB1,R1,top,1.062992,0.314961,90,0402,10K,X\nB1,U1,top,1.338583,0.393701,0,SO8,TS,Y\n",
			[]string{"files: file assembly/two-placement.csv differs, and nothing that has a name explains it (270 → 300 bytes): 5 lines gone, 5 added; the first, line 3"}},
		{"no placement", p, "what\never\n", []string{"parts: assembly/two-placement.csv differs, and NEW/assembly/two-placement.csv cannot be read: has no columns copy and refdes"}},
	} {
		t.Run(c.name, func(t *testing.T) {
			new := aTree(c.p).with(file, c.new).manifest(c.p, nil)
			r := compared(t, base, new)
			got := told(r)
			require.Len(t, got, len(c.want), "%q", got)
			for i, w := range c.want {
				require.Contains(t, strings.ReplaceAll(got[i], r.New.Folder, "NEW"), w[:min(len(w), 60)])
				if !strings.Contains(w, "differs") {
					require.Equal(t, w, got[i])
				}
			}
		})
	}
}

func findingsText(findings string, judged string) string {
	return `{"schema":1,"findings":[` + findings + `],"judged":[` + judged + `]}`
}

func TestFindings(t *testing.T) {
	p := onePanel()
	const one = `{"rule":"copper-to-edge","severity":"warning","message":"copper is near","feature":"slot/1","copies":["A1","B1"],"measured":0.3,"limit":0.25,"unit":"mm","at":{"x":3,"y":4}}`
	const judged = `{"rule":"copper-to-edge","bound":"at_least","limit":0.25,"unit":"mm","source":"a page","worst":0.3}`
	base := aTree(p).with(findingsName, findingsText(one, judged)).manifest(p, nil)
	for _, c := range []struct{ name, findings, judged, want string }{
		{"gone", "", judged, "warning gone: copper-to-edge: copper is near"},
		{"new", one + `,{"rule":"hole-spacing","severity":"error","message":"too near","feature":"A1"}`, judged, "new error: hole-spacing: too near"},
		{"worse", strings.Replace(one, "0.3", "0.27", 1), judged, "warning copper-to-edge at slot/1: worse: measured 0.3 → 0.27 mm"},
		{"better", strings.Replace(one, "0.3", "0.35", 1), judged, "warning copper-to-edge at slot/1: better: measured 0.3 → 0.35 mm"},
		{"an error now", strings.Replace(one, "warning", "error", 1), judged, "error copper-to-edge at slot/1: error, before warning"},
		{"waived", strings.Replace(one, `"unit"`, `"waived":{"reason":"agreed by letter","revision":"C"},"unit"`, 1), judged, "waived warning copper-to-edge at slot/1: is waived now: agreed by letter"},
		{"other copies", strings.Replace(one, `"A1","B1"`, `"A1"`, 1), judged, "warning copper-to-edge at slot/1: holds for 1 copy, before for 2"},
		{"other words", strings.Replace(one, "is near", "is close", 1), judged, "warning copper-to-edge at slot/1: is worded otherwise; before: copper is near"},
		{"elsewhere", strings.Replace(one, `"y":4`, `"y":5`, 1), judged, "warning copper-to-edge at slot/1: moved 1 mm up"},
		{"limit", one, strings.Replace(judged, "0.25", "0.2", 1), "rule copper-to-edge: limit at least 0.25 mm → at least 0.2 mm"},
		{"source of a limit", one, strings.Replace(judged, "a page", "a book", 1), "rule copper-to-edge: its limit has another source: a book"},
		{"worst figure", one, strings.Replace(judged, `"worst":0.3`, `"worst":0.29`, 1), "rule copper-to-edge: worst figure 0.3 → 0.29 mm"},
		{"rule left out", one, strings.Replace(judged, `"worst":0.3`, `"unchecked":"no copper"`, 1), "rule copper-to-edge: is left out now: no copper"},
		{"rule judged no longer", one, "", "rule copper-to-edge: is judged no longer"},
		{"rule new", one, judged + `,{"rule":"rail-width"}`, "rule rail-width: is judged now"},
		{"lines of the recipe", strings.Replace(one, `"unit"`, `"set":{"file":"a.hcl","line":3,"column":1},"unit"`, 1), judged, "file report/findings.json differs, and nothing that has a name explains it"},
	} {
		t.Run(c.name, func(t *testing.T) {
			r := compared(t, base, aTree(p).with(findingsName, findingsText(c.findings, c.judged)).manifest(p, nil))
			require.Len(t, r.Changes, 1, "%q", told(r))
			require.Contains(t, r.Changes[0].Text, c.want)
		})
	}
	r := compared(t, base, aTree(p).without(findingsName).manifest(p, nil))
	require.Equal(t, []string{"files: file report/findings.json gone"}, told(r))
	require.Len(t, r.Notes, 1)
	require.Contains(t, r.Notes[0], "findings and limits are not compared")
}

func TestValues(t *testing.T) {
	p := onePanel()
	stage := func(name, at string, options ...[3]string) map[string]any {
		rows := []map[string]string{}
		for _, o := range options {
			rows = append(rows, map[string]string{"option": o[0], "value": o[1], "origin": o[2]})
		}
		return map[string]any{"stage": name, "at": at, "values": rows}
	}
	base := []any{
		stage("array", "a.hcl:3", [3]string{"board", `"gauge"`, "a.hcl:4"}, [3]string{"gap", `"2 mm"`, "a.hcl:5"}, [3]string{"turn", "", "default"}),
		stage("rails", "a.hcl:9", [3]string{"width", `"4 mm"`, "shop.hcl:2"}),
	}
	for _, c := range []struct {
		name string
		more map[string]any
		want []string
		note string
	}{
		{"lines only", map[string]any{"values": []any{
			stage("array", "a.hcl:4", [3]string{"board", `"gauge"`, "a.hcl:5"}, [3]string{"gap", `"2 mm"`, "a.hcl:6"}, [3]string{"turn", "", "default"}),
			stage("rails", "a.hcl:10", [3]string{"width", `"4 mm"`, "shop.hcl:2"})}}, []string{}, ""},
		{"a value", map[string]any{"values": []any{
			stage("array", "a.hcl:3", [3]string{"board", `"gauge"`, "a.hcl:4"}, [3]string{"gap", `"3 mm"`, "a.hcl:5"}, [3]string{"turn", "", "default"}), base[1]}},
			[]string{`recipe values: array of gauge: gap "2 mm" (a.hcl:5) → "3 mm" (a.hcl:5)`}, ""},
		{"set now", map[string]any{"values": []any{
			stage("array", "a.hcl:3", [3]string{"board", `"gauge"`, "a.hcl:4"}, [3]string{"gap", `"2 mm"`, "a.hcl:5"}, [3]string{"turn", `"90 deg"`, "a.hcl:6"}), base[1]}},
			[]string{`recipe values: array of gauge: turn (unset) → "90 deg" (a.hcl:6)`}, ""},
		{"from another file", map[string]any{"values": []any{base[0], stage("rails", "a.hcl:9", [3]string{"width", `"4 mm"`, "a.hcl:10"})}},
			[]string{}, "1 value is the same and comes from another file"},
		{"options of a newer program", map[string]any{"values": []any{base[0], stage("rails", "a.hcl:9", [3]string{"width", `"4 mm"`, "shop.hcl:2"}, [3]string{"colour", `"green"`, "default"}, [3]string{"note", "", "default"})}},
			[]string{`recipe values: rails: new in the program, at default: colour "green"`}, ""},
		{"a stage more", map[string]any{"values": append(append([]any{}, base...), stage("fiducials", "a.hcl:12"))}, []string{"recipe values: stage fiducials appeared (a.hcl:12)"}, ""},
		{"a stage less", map[string]any{"values": base[:1]}, []string{"recipe values: stage rails gone (a.hcl:9)"}, ""},
		{"another order", map[string]any{"values": []any{base[1], base[0]}}, []string{"recipe values: stages stand in another order"}, ""},
		{"given", map[string]any{"values": base, "given": map[string]string{"columns": "4"}}, []string{"recipe values: given columns none → 4"}, ""},
		{"not for release", map[string]any{"values": base, "released": false}, []string{"panel: release: good for release → not for release"}, ""},
		{"another supplier", map[string]any{"values": base, "supplier": "millrace"}, []string{"panel: built for none → millrace"}, ""},
		{"another version", map[string]any{"values": base, "tool": map[string]string{"name": "panelwright", "version": "2"}}, []string{}, "the old build was written by panelwright 1.0.0, the new one by panelwright 2"},
		{"the recipe's bytes", map[string]any{"values": base, "recipe": []any{map[string]any{"file": "a.hcl", "sha256": "1", "bytes": 1}}}, []string{}, "1 recipe file added: a.hcl"},
		{"what no one knows", map[string]any{"values": base, "weather": "fair"}, []string{"files: manifest.json: weather differs"}, ""},
	} {
		t.Run(c.name, func(t *testing.T) {
			if c.more["values"] == nil {
				c.more["values"] = base
			}
			r := compared(t, aTree(p).manifest(p, map[string]any{"values": base}), aTree(p).manifest(p, c.more))
			require.Equal(t, c.want, told(r))
			require.Equal(t, len(c.want) == 0, r.Same)
			if c.note == "" {
				require.Empty(t, r.Notes)
			} else {
				require.Equal(t, []string{c.note}, r.Notes)
			}
		})
	}
}

func TestFiles(t *testing.T) {
	p := onePanel()
	base := aTree(p).with("drawing/panel.svg", "<svg>\none\n</svg>\n").with("fab/two-fab.zip", "PK\x00\x01")
	for _, c := range []struct {
		name string
		new  tree
		want []string
	}{
		{"gone", base.without("drawing/panel.svg"), []string{"files: file drawing/panel.svg gone"}},
		{"new", base.with("drawing/panel.pdf", "%PDF"), []string{"files: file drawing/panel.pdf appeared"}},
		{"a line of a text", base.with("drawing/panel.svg", "<svg>\ntwo\n</svg>\n"), []string{`files: file drawing/panel.svg differs, and nothing that has a name explains it: 1 line gone, 1 added; the first, line 2: "one" → "two"`}},
		{"bytes", base.with("fab/two-fab.zip", "PK\x00\x02"), []string{"files: file fab/two-fab.zip differs, and nothing that has a name explains it"}},
		{"the log alone", base.with("build.log", "{\"a\":1}\n"), []string{}},
		{"what is not known", base.with("other/thing.bin", "\x00"), []string{"files: file other/thing.bin appeared"}},
	} {
		t.Run(c.name, func(t *testing.T) {
			r := compared(t, base.manifest(p, nil), c.new.manifest(p, nil))
			require.Equal(t, c.want, told(r))
		})
	}
	t.Run("those that follow", func(t *testing.T) {
		q := p
		q.revision = "B"
		r := compared(t, base.manifest(p, nil), aTree(q).with("drawing/panel.svg", "<svg/>").with("fab/two-fab.zip", "PK2").manifest(q, nil))
		require.Equal(t, []string{"panel: revision A → B", "files: 2 files made from all this differ too: drawing/panel.svg, fab/two-fab.zip"}, told(r))
		require.Equal(t, []string{"drawing/panel.svg", "fab/two-fab.zip"}, r.Changes[1].Files)
	})
	t.Run("another panel's names", func(t *testing.T) {
		q := p
		q.name = "pair"
		r := compared(t, base.manifest(p, nil), aTree(q).with("drawing/panel.svg", base["drawing/panel.svg"]).with("fab/pair-fab.zip", base["fab/two-fab.zip"]).manifest(q, nil))
		require.Equal(t, []string{"panel: panel two → pair"}, told(r))
	})
	t.Run("changed by hand", func(t *testing.T) {
		m := base.manifest(p, nil)
		r := compared(t, m, m.with("drawing/panel.svg", "<svg>\nby hand\n</svg>\n").with("stray.txt", "").without("fab/two-fab.zip"))
		require.Len(t, r.Warnings, 3)
		require.Contains(t, r.Warnings[0], "drawing/panel.svg was changed after the build")
		require.Contains(t, r.Warnings[1], "fab/two-fab.zip is missing")
		require.Contains(t, r.Warnings[2], "stray.txt was put there by something else than the build")
		require.False(t, r.Same)
	})
}

// The JSON of a result holds together: no NaN, no empty texts, groups known.
func TestResultAsJSON(t *testing.T) {
	p := onePanel()
	q := p.with("slots", aSlot("slot/1", "2", "3.5", "10", "6"))
	r := compared(t, aTree(p).manifest(p, nil), aTree(q).manifest(q, nil))
	text, err := json.Marshal(r)
	require.NoError(t, err)
	var back struct {
		Same    bool
		Changes []struct {
			Group, Kind, Text string
			Area              *float64 `json:"area_mm2"`
			At                []map[string]string
		}
	}
	require.NoError(t, json.Unmarshal(text, &back))
	require.False(t, back.Same)
	require.Equal(t, "cuts", back.Changes[0].Group)
	require.InDelta(t, 4, *back.Changes[0].Area, 1e-9)
	require.Equal(t, map[string]string{"on": "new", "left_mm": "2", "lower_mm": "3.5", "right_mm": "10", "upper_mm": "4"}, back.Changes[0].At[0])
}

// A comment at the top of a recipe moves every line: the report differs in places alone, and the builds are the same. What
// differs in more is told.
func TestLinesOfTheRecipe(t *testing.T) {
	p := onePanel()
	made := func(recipe, line, sum, worst string) tree {
		t := aTree(p).with(findingsName, `{"schema":1,"findings":[{"rule":"copper-to-edge","severity":"note","message":"m","feature":"A1","measured":`+worst+`,"set":{"file":"`+recipe+`","line": `+line+`,"column": 1}}],"judged":[]}`)
		t = t.with("report/junit.xml", "<x>limit set at "+recipe+":"+line+":1</x>\n").with("report/index.html", "<td>"+recipe+"</td><td>"+line+"96</td><td>"+sum+"</td>\n<td>"+worst+"</td>\n")
		return t.manifest(p, map[string]any{"recipe": []any{map[string]any{"file": recipe, "sha256": sum, "bytes": 1}}})
	}
	a, b := strings.Repeat("a", 64), strings.Repeat("b", 64)
	r := compared(t, made("two.panel.hcl", "30", a, "1"), made("two.panel.hcl", "31", b, "1"))
	require.True(t, r.Same, "%q", told(r))
	require.Len(t, r.Notes, 2)
	r = compared(t, made("two.panel.hcl", "30", a, "1"), made("other.panel.hcl", "31", b, "1"))
	require.True(t, r.Same, "%q", told(r))
	r = compared(t, made("two.panel.hcl", "30", a, "1"), made("two.panel.hcl", "31", b, "2"))
	require.False(t, r.Same)
}
