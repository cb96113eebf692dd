package writereport

import (
	"encoding/json"
	"math"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"panelwright/pipeline/geom"
	"panelwright/pipeline/mechanics"
	"panelwright/pipeline/panel"
)

// answers is what the mechanics could say of weirs, made by hand.
func answers(name func(string) string) reckoned {
	tab, copy := name("A1/tab/right/1"), name("A1")
	load := func(reserve float64) mechanics.RowLoad {
		return mechanics.RowLoad{Moment: -12.3456, Twist: 3, Shear: 0.2, Stress: 200, Strength: 200 * reserve, Reserve: reserve}
	}
	a := &mechanics.Answers{
		Support: panel.Support{Carried: panel.ByTwoRails, Sides: []panel.RailSide{panel.Upper, panel.Lower}, Force: panel.Constant{Value: 5, Unit: "N"}, Open: 4 * geom.MM, Fine: 800 * geom.UM},
		Span:    34 * geom.MM, Nodes: 10, Triangles: 9, Joints: 1, Rows: 2, Unknowns: 27, Mass: 12.3456,
		States: []mechanics.State{{Kind: mechanics.Cold, Sag: 0.0123456, SagAt: geom.Pt(9*geom.MM, 8*geom.MM), SagCopy: copy, Percent: 0.03631}, {Kind: mechanics.Hot, Sag: 0.03, Percent: 0.09, SagCopy: copy},
			{Kind: mechanics.Pressed, Sag: 0.2, SagAt: geom.Pt(1, 71_536_878), Percent: 0.6, Pressed: copy, Pull: 0.5, PullAt: geom.Pt(4, 5*geom.MM)}},
		Hertz: []float64{312.34, 400},
		Tabs: []mechanics.Tab{{Tab: tab, Copies: []string{copy, name("B1")}, Modulus: 0.6, Loads: []mechanics.RowLoad{load(8), load(3.2), load(4)}, Least: 3.2, Without: mechanics.Without{Sag: 0.4, Reserve: 1.5, Worst: name("A1/tab/left/1")}},
			{Tab: tab, Row: 1, Copies: []string{copy}, Loads: []mechanics.RowLoad{load(8), load(9), load(9)}, Least: 8, Without: mechanics.Without{Falls: true}}},
		Lines:  []mechanics.Line{{Score: name("score/y1"), At: geom.Pt(9*geom.MM, 9*geom.MM), Modulus: 0.0266667, Loads: []mechanics.RowLoad{load(30), load(11), load(12)}, Least: 11}},
		Breaks: []mechanics.Break{{Kind: mechanics.BoardEdge, Feature: copy, Copies: []string{copy}, At: geom.Pt(30*geom.MM, 27*geom.MM), Moment: [2]float64{200, 23456}, Lever: 20, Force: [2]float64{10, 20}}},
		Parts:  []mechanics.Strained{{Copy: copy, Refdes: name("C1"), Break: tab, Distance: 2 * geom.MM, Strain: 612.34, Least: 300}},
	}
	a.Support.Warp = "x"
	a.IdlePins = []geom.Point{geom.Pt(geom.MM, 2*geom.MM)}
	a.Constants = []mechanics.Named{{Name: "elastic modulus along the warp", Constant: panel.Constant{Value: 24, Unit: "GPa", Source: name("a datasheet")}},
		{Name: "acceleration of free fall", Constant: panel.Constant{Value: 9.80665, Unit: "m/s2"}}}
	return reckoned{a, true}
}

func TestPageTellsWhatWasReckoned(t *testing.T) {
	page := pageOf(t, plain)
	for _, want := range []string{
		`<a href="#strength">Will it hold, will it break</a>`, `<section id="strength"`, "<dd>at its upper and lower edges</dd>", "<dd>5 N in the middle of A1</dd>", "34 mm", "312, 400 Hz", "A1/tab/right/1, reserve 3.2, in the oven; at least 2 asked for", "at most 0.75 % of the span",
		"9 triangles of 0.8 to 4 mm, 2 rows of tabs as beams, 27 unknowns", "<dt>mass</dt><dd>12.3 g, without ", "<dt>span between its supports</dt>",
		"<td>0.0123 mm</td><td>0.0363 %</td>", "cold, 5 N pressing on A1", "<td>1</td><td>0.6 mm³</td><td>in the oven</td><td>12.3 N·mm</td>", "sag 0.4 mm, reserve 1.5 at A1/tab/left/1", "a piece comes loose",
		"all tabs along one edge at once", "score/y1</code></th><td>(9, 9) mm</td><td>in the oven</td><td>12.3 N·mm</td><td>0.0267 mm³</td>", "200 to 23500 N·mm", "10 to 20 N", "300 to 612 microstrain", "elastic modulus along the warp</th><td>24 GPa</td><td>a datasheet</td>",
		"<td>9.80665 m/s2</td>", "(0, 71.54) mm", "last word", "estimates, uncalibrated",
	} {
		holds(t, page, want)
	}
	lacks(t, page, "was not reckoned")
}

func TestPageTellsWhatWasNotReckoned(t *testing.T) {
	r := answers(plain)
	r.held = false
	r.States, r.Tabs, r.Hertz = nil, nil, nil
	data, err := writePage(cover{Panel: "weir-2up", Strength: partOf(r, panel.Panel{}, nil)}, weirs(t, plain), ended(plain))
	require.NoError(t, err)
	holds(t, string(data), "Whether the panel holds was not reckoned: no stage support says how it is carried.")
	holds(t, string(data), "10 to 20 N")
	lacks(t, string(data), "span between supports")
	r = answers(plain)
	r.Problems = []mechanics.Problem{{Kind: mechanics.LoosePiece, Message: "B1 hangs on to nothing", Feature: "B1", At: geom.Pt(geom.MM, 2*geom.MM)}}
	data, err = writePage(cover{Panel: "weir-2up", Strength: partOf(r, panel.Panel{}, nil)}, weirs(t, plain), ended(plain))
	require.NoError(t, err)
	holds(t, string(data), "It could not be reckoned whether the panel holds: B1 hangs on to nothing (B1, (1, 2) mm)")
	data, err = writePage(cover{}, weirs(t, plain), ended(plain))
	require.NoError(t, err)
	lacks(t, string(data), "Will it hold")
}

// Of many parts and tabs the page lists those that are worst; the file has all.
func TestManyRows(t *testing.T) {
	r := answers(plain)
	for i := range 100 {
		s := r.Parts[0]
		s.Copy = "B" + itoa(i+1) // alike on another copy
		r.Parts = append(r.Parts, s)
		s.Refdes = "R" + itoa(i)
		r.Parts = append(r.Parts, s)
		x := r.Tabs[0]
		x.Tab, x.Loads = "B1/tab/right/"+itoa(i), []mechanics.RowLoad{{Reserve: 100 - float64(i)}}
		r.Tabs = append(r.Tabs, x)
		b := r.Breaks[0]
		b.Copies = []string{"B" + itoa(i+1)}
		r.Breaks = append(r.Breaks, b)
		b.Force[1] += 0.1 * float64(i+1)
		r.Breaks = append(r.Breaks, b)
	}
	x := partOf(r, panel.Panel{}, nil)
	tabs, breaks, strained := x.Tables[1], x.Tables[3], x.Tables[4]
	assert.Equal(t, "What the rows of tabs bear (the weakest of 102; report/mechanics.json has all)", tabs.Title)
	assert.Len(t, tabs.Rows, mostRows)
	assert.Equal(t, "A1/tab/right/1", tabs.Rows[0][0], "3.2 times")
	assert.Equal(t, "A1/tab/right/1", tabs.Rows[1][0], "8 times")
	assert.Equal(t, "B1/tab/right/42", tabs.Rows[2][0], "58 times: in their order")
	assert.Equal(t, "Parts strained most by breaking (the most strained of 101; report/mechanics.json has all)", strained.Title)
	assert.Len(t, strained.Rows, mostRows)
	assert.Equal(t, []string{"C1", "A1, B1, B2, B3 and 97 more", "A1/tab/right/1", "2 mm", "300 to 612 microstrain"}, strained.Rows[0])
	assert.Equal(t, []string{"R0", "B1", "A1/tab/right/1", "2 mm", "300 to 612 microstrain"}, strained.Rows[1])
	assert.Equal(t, "What breaking takes, from weak material to strong (the strongest of 101; report/mechanics.json has all)", breaks.Title)
	assert.Equal(t, "10 to 24.1 N", breaks.Rows[0][4])
	few := answers(plain)
	assert.Equal(t, "What the rows of tabs bear", partOf(few, panel.Panel{}, nil).Tables[1].Title)
}

func TestReckonedForMachines(t *testing.T) {
	data, err := dataOf("weir-2up", "A", answers(plain))
	require.NoError(t, err)
	var all map[string]any
	require.NoError(t, json.Unmarshal(data, &all))
	text := string(data)
	for _, want := range []string{
		`"support": {"carried":"rails","sides":["upper","lower"],"span_mm":34,"warp":"x","pins_under_no_material_mm":[[1,2]],"mass_reckoned_with_gram":12.35}`,
		`"mesh": {"open_mm":4,"fine_mm":0.8,"nodes":10,"triangles":9,"rows_of_tabs":2,"unknowns":27}`,
		`{"name":"elastic modulus along the warp","value":24,"unit":"GPa","source":"a datasheet"}`,
		`"problems": []`,
		`{"state":"cold","sag_mm":0.01235,"percent_of_span":0.03631,"at_mm":[9,8],"copy":"A1"}`,
		`{"state":"pressed","sag_mm":0.2,"percent_of_span":0.6,"at_mm":[0,71.54],"pressed_on":"A1","held_down_newton":0.5,"held_down_at_mm":[0,5]}`,
		`"frequencies_hertz": [312.3,400]`,
		`{"tab":"A1/tab/right/1","row":0,"copies":["A1","B1"],"at_mm":[0,0],"section_modulus_mm3":0.6,"loads":[{"state":"cold","moment_newton_mm":12.35,"twist_newton_mm":3,"shear_newton":0.2,"stress_mpa":200,"strength_mpa":1600,"reserve":8},`,
		`"least_reserve":3.2,"without_it":{"falls":false,"sag_mm":0.4,"reserve":1.5,"worst_tab":"A1/tab/left/1"}}`, `"without_it":{"falls":true}}`,
		`{"score":"score/y1","at_mm":[9,9],"section_modulus_mm3_each_mm":0.02667,"loads":[{"state":"cold","moment_newton_mm_each_mm":12.35,"stress_mpa":200,"strength_mpa":6000,"reserve":30},`,
		`{"kind":"board_edge","feature":"A1","copies":["A1"],"at_mm":[30,27],"moment_newton_mm":[200,23460],"lever_mm":20,"force_newton":[10,20]}`,
		`{"copy":"A1","refdes":"C1","at_mm":[0,0],"break":"A1/tab/right/1","distance_mm":2,"microstrain":[300,612.3]}`,
	} {
		assert.Contains(t, text, want)
	}
	r := answers(plain)
	r.held = false
	data, err = dataOf("weir-2up", "A", r)
	require.NoError(t, err)
	assert.NotContains(t, string(data), `"support"`)
	assert.Contains(t, string(data), `"holding_reckoned": false`)
	r.Tabs[0].Modulus = math.NaN()
	_, err = dataOf("weir-2up", "A", r)
	assert.Error(t, err, "what is no number is not written")
}

func TestNothingToReckon(t *testing.T) {
	_, ok, err := reckon(t.Context(), panel.Panel{}, 1)
	require.NoError(t, err)
	assert.False(t, ok)
}
