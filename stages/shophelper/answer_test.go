package shophelper

import (
	"context"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"panelwright/pipeline/panel"
)

// answered takes an answer as Run does, without a program that gives it.
func answered(in panel.Panel, answer string, with func(h *ShopHelper)) error {
	h := Kind().New().(*ShopHelper)
	h.Name = "x"
	if with != nil {
		with(h)
	}
	said, err := h.read([]byte(answer), "")
	if err != nil {
		return err
	}
	if !said.additions.none() {
		if _, err := h.add(context.Background(), in, said.additions); err != nil {
			return err
		}
	}
	if _, err := h.values(said.values); err != nil {
		return err
	}
	_, err = h.findings(in, said.findings)
	return err
}

// Answers that are JSON and not as described, or described and not for this panel: each fault with its place.
func TestRefusedAnswers(t *testing.T) {
	settles := func(h *ShopHelper) { h.Settles = []Settled{{"a", "number"}} }
	in := twoGauges(t)
	const see = "\nsee what it may be: panelwright options --schema shop_helper out"
	print := func(rest string) string { return added("prints", `{"id":"a",%s}`, rest) }
	for _, c := range []struct {
		name, answer string
		with         func(h *ShopHelper)
		want         string
	}{
		{"no object", `[1]`, nil, "line 1, column 1: must be an object, and is a list" + see},
		{"no contract", `{"log":[]}`, nil, "line 1, column 1: lacks contract, the version that it is written for: \"contract\": 1" + see},
		{"unknown field", "{\"contract\":1,\n  \"addtions\":{}}", nil, "line 2, column 3: /addtions is not known here; known are contract, additions, findings, log, values" + see},
		{"wrong type", `{"contract":1,"log":"a"}`, nil, "line 1, column 21: /log must be a list, and is a text" + see},
		{"out of range", print(`"use":"lettering","layers":["legend-top"],"strokes":[{"width_mm":1000,"points_mm":[[1,1],[2,2]]}]`), nil,
			"line 1, column 113: /additions/prints/0/strokes/0/width_mm must be at most 100, and is 1000" + see},
		{"many faults", `{"contract":1,"log":[1,2,3,4,5,6,7,8,9,10]}`, nil, "line 1, column 22: /log/0 must be a text, and is a number\nline 1, column 24: /log/1 must be a text, and is a number\n" +
			"line 1, column 26: /log/2 must be a text, and is a number\nline 1, column 28: /log/3 must be a text, and is a number\nline 1, column 30: /log/4 must be a text, and is a number\n" +
			"line 1, column 32: /log/5 must be a text, and is a number\nline 1, column 34: /log/6 must be a text, and is a number\nline 1, column 36: /log/7 must be a text, and is a number\nand more" + see},
		{"beside the panel", print(`"use":"lettering","layers":["legend-top"],"circles":[{"at_mm":[80,5],"diameter_mm":1}]`), nil,
			"line 1, column 38: /additions/prints/0 takes up (79.5, 4.5) to (80.5, 5.5) mm, and the panel reaches from (0, 0) to (80, 54)"},
		{"copper on a board", print(`"use":"lettering","layers":["copper-1-top"],"circles":[{"at_mm":[20,27],"diameter_mm":1}]`), nil,
			"line 1, column 38: /additions/prints/0 lies on A1: a helper changes nothing of the boards"},
		{"mask on a board", print(`"use":"rail_mask","layers":["mask-top"],"polygons":[{"points_mm":[[39,11],[41,11],[41,13]]}]`), nil,
			"line 1, column 38: /additions/prints/0 lies on B1: a helper changes nothing of the boards"},
		{"an area all round a board", print(`"use":"rail_mask","layers":["mask-top"],"polygons":[{"points_mm":[[0,0],[80,0],[80,54],[0,54]]}]`), nil,
			"line 1, column 38: /additions/prints/0 lies on A1: a helper changes nothing of the boards"},
		{"legend on a board", print(`"use":"lettering","layers":["legend-top"],"circles":[{"at_mm":[20,27],"diameter_mm":1}]`), nil,
			"line 1, column 38: /additions/prints/0 lies on A1: what is printed on a board is use on_board with its copy, on a blank place"},
		{"on an opening", print(`"use":"on_board","layers":["legend-top"],"copy":"A1","circles":[{"at_mm":[6.5,17],"diameter_mm":2}]`), nil,
			"line 1, column 38: /additions/prints/0 lies on an opening in the mask of A1: legend on a board takes a blank place, without openings, paste, legend, holes and parts"},
		{"on legend of the turned copy", print(`"use":"on_board","layers":["legend-top"],"copy":"B1","strokes":[{"width_mm":0.2,"points_mm":[[50,37],[70,37]]}]`), nil,
			"line 1, column 38: /additions/prints/0 lies on legend of B1: legend on a board takes a blank place, without openings, paste, legend, holes and parts"},
		{"on a hole, from below", print(`"use":"on_board","layers":["legend-bottom"],"copy":"A1","polygons":[{"points_mm":[[34,16],[36,16],[36,18],[34,18]]}]`), nil,
			"line 1, column 38: /additions/prints/0 lies on a hole of A1: legend on a board takes a blank place, without openings, paste, legend, holes and parts"},
		{"under a part", print(`"use":"on_board","layers":["legend-top"],"copy":"A1","circles":[{"at_mm":[10,32],"diameter_mm":1}]`), nil,
			"line 1, column 38: /additions/prints/0 lies on part C7 of A1: legend on a board takes a blank place, without openings, paste, legend, holes and parts"},
		{"over the edge of its copy", print(`"use":"on_board","layers":["legend-top"],"copy":"A1","circles":[{"at_mm":[39.8,27],"diameter_mm":1}]`), nil,
			"line 1, column 38: /additions/prints/0 does not lie wholly on A1, whose print it is"},
		{"no such copy", print(`"use":"on_board","layers":["legend-top"],"copy":"C1","circles":[{"at_mm":[39.8,27],"diameter_mm":1}]`), nil,
			"line 1, column 96: /additions/prints/0/copy is \"C1\", and the panel has no such copy"},
		{"no such layer", print(`"use":"lettering","layers":["copper-3-inner"],"circles":[{"at_mm":[5,5],"diameter_mm":1}]`), nil,
			"line 1, column 76: /additions/prints/0/layers/0 is copper-3-inner, and no board on the panel has such a layer"},
		{"a layer that does not suit the use", print(`"use":"thieving","layers":["legend-top"],"circles":[{"at_mm":[5,5],"diameter_mm":1}]`), nil,
			"line 1, column 75: /additions/prints/0/layers/0 is legend-top, and prints for thieving stand on copper"},
		{"layers of two kinds", print(`"use":"lettering","layers":["legend-top","copper-1-top"],"circles":[{"at_mm":[5,5],"diameter_mm":1}]`), nil,
			"line 1, column 89: /additions/prints/0/layers/1 is copper-1-top, and the print stands on legend-top already: layers of two kinds take two prints"},
		{"letters on both sides", print(`"use":"lettering","layers":["legend-top","legend-bottom"],"letters":[{"text":"A","at_mm":[5,5],"letter_height_mm":1}]`), nil,
			"line 1, column 89: /additions/prints/0/layers/1 is legend-bottom, and letters stand on one side: what is read on one is mirrored on the other"},
		{"nothing drawn", print(`"use":"lettering","layers":["legend-top"]`), nil, "line 1, column 38: /additions/prints/0 draws nothing: it has none of circles, strokes, polygons and letters"},
		{"a stroke of one point", print(`"use":"lettering","layers":["legend-top"],"strokes":[{"width_mm":1,"points_mm":[[5,5],[5,5.0000001]]}]`), nil,
			"line 1, column 101: /additions/prints/0/strokes/0 has no length: its points are one; draw a circle"},
		{"a polygon that crosses itself", print(`"use":"rail_mask","layers":["mask-top"],"polygons":[{"points_mm":[[1,1],[5,5],[5,1],[1,5]]}]`), nil,
			"line 1, column 100: /additions/prints/0/polygons/0 touches or crosses itself at (3, 3) mm"},
		{"a polygon without area", print(`"use":"rail_mask","layers":["mask-top"],"polygons":[{"points_mm":[[1,1],[5,5],[1,1]]}]`), nil,
			"line 1, column 100: /additions/prints/0/polygons/0 encloses nothing: it has fewer than three corners"},
		{"letters that fill up", print(`"use":"lettering","layers":["legend-top"],"letters":[{"text":"A","at_mm":[5,5],"letter_height_mm":1,"stroke_width_mm":0.5}]`), nil,
			"line 1, column 101: /additions/prints/0/letters/0 cannot be written: letters 1 mm high cannot be read with a pen of 0.5 mm: make them at least 2.5 mm high, or the pen thinner"},
		{"an area that is too small", print(`"use":"lettering","layers":["legend-top"],"area_mm":[[4,4],[5,5]],"circles":[{"at_mm":[5,5],"diameter_mm":1}]`), nil,
			"line 1, column 100: /additions/prints/0/area_mm reaches from (4, 4) to (5, 5) mm, and what is drawn from (4.5, 4.5) to (5.5, 5.5)"},
		{"an id twice", added("prints", `{"id":"a","use":"label_area","layers":["legend-top"],"area_mm":[[1,1],[2,2]]},{"id":"a","use":"label_area","layers":["legend-top"],"area_mm":[[3,1],[4,2]]}`), nil,
			"line 1, column 122: /additions/prints/1/id is there twice: every addition has an id of its own"},
		{"a hole in a board", added("tooling_holes", `{"id":"a","at_mm":[0.5,11.5],"diameter_mm":2}`), func(h *ShopHelper) { h.Adds = []string{toolingHoles} },
			"line 1, column 45: /additions/tooling_holes/0 takes up (-0.5, 10.5) to (1.5, 12.5) mm, and the panel reaches from (0, 0) to (80, 54)"},
		{"a hole at a board", added("tooling_holes", `{"id":"a","at_mm":[20,11.5],"diameter_mm":2}`), func(h *ShopHelper) { h.Adds = []string{toolingHoles} },
			"line 1, column 45: /additions/tooling_holes/0 lies on A1: a helper changes nothing of the boards"},
		{"a hole that was not announced", added("tooling_holes", `{"id":"a","at_mm":[5,5],"diameter_mm":2}`), nil,
			"line 1, column 45: /additions/tooling_holes/0 adds tooling holes, and the recipe's adds does not name them: add \"tooling_holes\" there, or leave it out"},
		{"a judge that adds", print(`"use":"label_area","layers":["legend-top"],"area_mm":[[1,1],[2,2]]`), func(h *ShopHelper) { h.As = "judge" },
			"line 1, column 38: /additions/prints/0 adds to the panel, which a helper of the role judge must not: say role = \"shape\", or leave it out"},
		{"a fiducial with its mask too small", added("fiducials", `{"id":"a","at_mm":[5,5],"copper_diameter_mm":1,"mask_diameter_mm":0.5,"clear_diameter_mm":3,"sides":["top"]}`), func(h *ShopHelper) { h.Adds = []string{fiducials} },
			"line 1, column 107: /additions/fiducials/0/mask_diameter_mm must be at least copper_diameter_mm"},
		{"a rule of another name", `{"contract":1,"findings":[{"rule":"copper-to-edge","severity":"note","message":"x"}]}`, nil,
			"line 1, column 35: /findings/0/rule must begin with x-, and is copper-to-edge"},
		{"a finding of no copy", `{"contract":1,"findings":[{"rule":"x-a","severity":"note","message":"x","copies":["Z9"]}]}`, nil,
			"line 1, column 82: /findings/0/copies names \"Z9\", and the panel has no such copy"},
		{"a value that was not announced", `{"contract":1,"values":{"a":1}}`, nil,
			"line 1, column 29: /values/a gives a value that the recipe does not name: add settles \"a\" { type = … }, or leave it out"},
		{"a value of another type", `{"contract":1,"values":{"a":"1"}}`, settles,
			"line 1, column 29: /values/a is not of the type that settles \"a\" says, number"},
	} {
		t.Run(c.name, func(t *testing.T) {
			err := answered(in, c.answer, c.with)
			require.Error(t, err)
			_, rest, _ := strings.Cut(err.Error(), "\n")
			assert.Equal(t, c.want, strings.ReplaceAll(strings.TrimPrefix(rest, "    "), "\n    ", "\n"))
		})
	}
}
