package summary

import (
	"fmt"
	"math/rand/v2"
	"slices"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"panelwright/pipeline"
	"panelwright/pipeline/run"
)

// aNight is many builds: some recipes have suppliers, some builds are held back or stopped.
func aNight(rng *rand.Rand, recipes int) (names []string, rows []Row) {
	for i := range recipes {
		name := fmt.Sprintf("recipes/gauge-%03d.panel.hcl", i)
		names = append(names, name)
		switch rng.IntN(5) {
		case 0:
			rows = append(rows, stopped(name, mistake))
		case 1:
			rows = append(rows, held(name, "north", "near"), held(name, "east", "near <b>|"))
		default:
			rows = append(rows, good(name))
		}
	}
	return names, rows
}

// split gives what the parts of a whole would have written, as they are read.
func split(t testing.TB, names []string, rows []Row, of int) (parts []Named) {
	t.Helper()
	for p := range of {
		part := Part{Index: p, Of: of}
		takes := part.Takes(names)
		var mine []Row
		for _, r := range rows {
			if takes[slices.Index(names, r.Recipe)] {
				mine = append(mine, r)
			}
		}
		part = part.Split(names)
		text, err := New(tool, "", &part, mine).JSON()
		require.NoError(t, err)
		back, err := Read(text)
		require.NoError(t, err)
		parts = append(parts, Named{fmt.Sprintf("part-%d.json", p), back})
	}
	return parts
}

// The joined parts are the whole, byte for byte, in however many parts, in whatever order, and with parts given again.
func TestJoinedPartsAreTheWhole(t *testing.T) {
	rng := rand.New(rand.NewPCG(5, 6))
	for _, c := range []struct{ recipes, of int }{{0, 1}, {1, 1}, {1, 3}, {2, 5}, {40, 2}, {41, 7}, {100, 16}} {
		names, rows := aNight(rng, c.recipes)
		wantJSON, wantJUnit, wantMD := written(t, New(tool, "", nil, rows))
		parts := split(t, names, rows, c.of)
		parts = append(parts, parts[rng.IntN(len(parts))])
		rng.Shuffle(len(parts), func(i, j int) { parts[i], parts[j] = parts[j], parts[i] })
		whole, err := Join(parts)
		require.NoError(t, err)
		require.Nil(t, whole.Part)
		json, junit, md := written(t, whole)
		require.Equal(t, wantJSON, json)
		require.Equal(t, wantJUnit, junit)
		require.Equal(t, wantMD, md)
	}
}

func TestTheWorstCodeCounts(t *testing.T) {
	for _, c := range []struct {
		exits []int
		want  int
	}{{[]int{0, 0}, 0}, {[]int{0, 1}, 1}, {[]int{2, 1}, 2}, {[]int{1, 3}, 3}, {[]int{130, 3}, 130}} {
		names := []string{"a.panel.hcl", "b.panel.hcl"}
		var rows []Row
		for i, exit := range c.exits {
			r := good(names[i])
			r.State, r.Exit, r.Error = StateOf(exit), exit, "disk"
			rows = append(rows, r)
		}
		whole, err := Join(split(t, names, rows, 2))
		require.NoError(t, err)
		assert.Equal(t, c.want, whole.Exit)
	}
}

func TestJoinOfAWhole(t *testing.T) {
	s := New(tool, pipeline.Warning, nil, few())
	whole, err := Join([]Named{{"all.json", s}})
	require.NoError(t, err)
	assert.Equal(t, s, whole)
	_, err = Join(nil)
	assert.EqualError(t, err, "there is no summary to join")
}

// What must not be joined says why, all of it at once.
func TestJoinRefuses(t *testing.T) {
	rng := rand.New(rand.NewPCG(7, 8))
	names, rows := aNight(rng, 12)
	of := func(n int) []Named { return split(t, names, rows, n) }
	// again is part 2 of 4 with its first build changed.
	again := func(change func(*Row)) Named {
		p := of(4)[2]
		builds := slices.Clone(p.Builds)
		change(&builds[0])
		return Named{"again.json", New(p.Tool, pipeline.Severity(p.Reject), p.Part, builds)}
	}
	first := of(4)[2].Builds[0].Recipe
	other := of(4)[1]
	other.Name, other.Tool = "other.json", run.ToolName{Name: "panelwright", Version: "0.2.0"}
	strict := of(4)[3]
	strict.Name, strict.Reject = "strict.json", "warning"
	fewer := split(t, names[1:], rows[1:], 4)[0]
	fewer.Name = "fewer.json"
	whole := Named{"all.json", New(tool, "", nil, rows)}
	cut := of(4)
	cut[2].Summary = New(tool, "", cut[2].Part, cut[2].Builds[1:])
	interrupted := of(4)
	interrupted[2].Summary = New(tool, "", interrupted[2].Part, []Row{{Recipe: first, State: Interrupted, Exit: 130, Error: "interrupted"}})
	renamed := of(4)
	renamed[2] = again(func(r *Row) { r.Recipe = "recipes/new.panel.hcl" })
	alike := of(4)
	from := alike[0].Builds[0]
	alike[2] = again(func(r *Row) { *r = from })
	unlike := of(4)
	unlike[2] = again(func(r *Row) { *r = stopped(from.Recipe, "x") })
	one := slices.IndexFunc(alike[2].Builds, func(r Row) bool { return r.State == Good })
	require.GreaterOrEqual(t, one, 0)
	clash := of(4)
	clash[2].Builds = slices.Clone(clash[2].Builds)
	clash[2].Builds[0].Build = goodOf(t, clash[1]).Build
	for what, c := range map[string]struct {
		parts []Named
		want  string
	}{
		"one missing":      {of(4)[:3], "part 3/4 is missing\n    give the summary that build --part 3/4 --summary wrote, or build that part"},
		"the first":        {of(4)[1:], "part 0/4 is missing\n    give the summary that build --part 0/4 --summary wrote, or build that part"},
		"all but one":      {of(4)[1:2], "parts 0/4, 2/4 and 3/4 are missing\n    " + giveParts},
		"many missing":     {of(16)[:1], "parts 1/16, 2/16, 3/16, 4/16, 5/16, 6/16, 7/16, 8/16 and 7 more are missing\n    " + giveParts},
		"another number":   {append(of(4), of(3)[1]), "part-1.json: is part 1/3, and part-0.json is part 0/4: they were not split into as many"},
		"another version":  {append(of(4), other), "other.json: was written by panelwright 0.2.0, and part-0.json by panelwright 0.1.0; build all parts with one program"},
		"another gate":     {append(of(4), strict), "strict.json: was built with --reject warning, and part-0.json with --reject error; build all parts with the same"},
		"two at once":      {append(of(4), other, strict), "other.json: was written by panelwright 0.2.0, and part-0.json by panelwright 0.1.0; build all parts with one program\nstrict.json: was built with --reject warning, and part-0.json with --reject error; build all parts with the same"},
		"other recipes":    {append(of(4), fewer), "fewer.json: is a part of 11 recipes, and part-0.json of 12 that are not the same; build all parts from the same state of the recipes, called by the same names"},
		"a whole beside":   {append(of(4), whole), "all.json: is of no part: it was built without --part, and only parts can be joined"},
		"another result":   {append(of(4), again(func(r *Row) { *r = stopped(r.Recipe, "x") })), "part-2.json and again.json are both part 2/4, and they differ: " + first + " is good in the first and stopped in the second; leave out the one that does not count"},
		"other files":      {append(of(4), again(func(r *Row) { r.Manifest = "c" })), "part-2.json and again.json are both part 2/4, and they differ: " + first + " has other files in the first than in the second; leave out the one that does not count"},
		"other words":      {append(of(4), again(func(r *Row) { r.Revision = "D" })), "part-2.json and again.json are both part 2/4, and they differ: they tell different things of " + first + "; leave out the one that does not count"},
		"another recipe":   {append(of(4), again(func(r *Row) { r.Recipe = "a" })), "part-2.json and again.json are both part 2/4, and they differ: the first has no a; leave out the one that does not count"},
		"a build less":     {append(of(4), cut[2]), "part-2.json and part-2.json are both part 2/4, and they differ: the second has no " + first + "; leave out the one that does not count"},
		"a build lost":     {cut, "12 recipes were split into 4 parts, and together they tell of 11"},
		"an interruption":  {interrupted, "12 recipes were split into 4 parts, and together they tell of " + fmt.Sprint(13-recipesOf(of(4)[2])) + "; part 2/4 (part-2.json) was interrupted: build it again"},
		"another in place": {renamed, "12 recipes were split into 4 parts, and together they tell of 12, not of the same ones"},
		"one in two parts": {alike, "part-0.json and again.json both tell of " + from.Recipe + ": no recipe is in two parts"},
		"and differing":    {unlike, "part-0.json and again.json both tell of " + from.Title() + ": " + from.Title() + " is " + string(from.State) + " in the first and stopped in the second"},
		"one panel twice":  {clash, goodOf(t, clash[1]).Recipe + " (part-1.json) and " + first + " (part-2.json) both make panel gauge: one would replace the other; give one of them another name"},
	} {
		_, err := Join(c.parts)
		if assert.Error(t, err, what) && what != "and differing" {
			assert.Equal(t, c.want, err.Error(), what)
		} else if err != nil {
			assert.True(t, strings.HasPrefix(err.Error(), "part-0.json and again.json both tell of "+from.Recipe), err.Error())
		}
	}
}

func recipesOf(p Named) int {
	n := map[string]bool{}
	for _, r := range p.Builds {
		n[r.Recipe] = true
	}
	return len(n)
}

func goodOf(t testing.TB, p Named) Row {
	t.Helper()
	i := slices.IndexFunc(p.Builds, func(r Row) bool { return r.State == Good })
	require.GreaterOrEqual(t, i, 0)
	return p.Builds[i]
}
