package place_test

import (
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"panelwright/pipeline/geom"
	"panelwright/pipeline/panel"
	"panelwright/pipeline/stagetest"
	"panelwright/stages/place"
)

func boards(t *testing.T) panel.Panel {
	t.Helper()
	b := &panel.Board{Name: "weir", Outline: geom.Outline{Outer: geom.Rectangle(geom.Box{Min: geom.Pt(7*geom.MM, 7*geom.MM), Max: geom.Pt(47*geom.MM, 37*geom.MM)})}}
	p, err := panel.Panel{}.Edit().AddBoard(b).Build()
	require.NoError(t, err)
	return p
}

func TestCopiesLieWhereTheRecipeSays(t *testing.T) {
	got := stagetest.Run(t, place.Kind(), `copy "near" {
  board = "weir"
  x     = 5
  y     = 3
}
copy "far" {
  board = "weir"
  x     = "2 in"
  y     = 3
  turn  = 90
}`, boards(t), nil)
	c := got.Panel.Copies()
	require.Len(t, c, 2)
	// The panel begins at the copies' lower left corner: 5 and 3 are where "near" lies relative to "far".
	assert.Equal(t, geom.Box{Max: geom.Pt(40*geom.MM, 30*geom.MM)}, c[0].Box())
	assert.Equal(t, geom.Box{Min: geom.Pt(45_800_000, 0), Max: geom.Pt(75_800_000, 40*geom.MM)}, c[1].Box())
	assert.Equal(t, geom.Quarter, c[1].Place.Turn)
}

func TestRefusals(t *testing.T) {
	one := "copy \"a\" {\n  board = \"weir\"\n  x = 0\n  y = 0\n}\n"
	for options, want := range map[string]string{
		"":        `stage place: option copy is missing`,
		one + one: `copy a`,
		"copy \"a\" {\n  board = \"wier\"\n  x = 0\n  y = 0\n}": `there is no board "wier"`,
	} {
		assert.ErrorContains(t, stagetest.Fails(t, place.Kind(), options, boards(t), nil), want, options)
	}
}
