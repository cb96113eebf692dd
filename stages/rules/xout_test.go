package rules_test

import (
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"panelwright/pipeline/geom"
	"panelwright/pipeline/panel"
	"panelwright/pipeline/stagetest"
	"panelwright/stages/rules"
)

// row is a panel of n copies.
func row(t *testing.T, n int, change func(*panel.Builder)) panel.Panel {
	t.Helper()
	board := &panel.Board{Name: "weir", Outline: geom.Outline{Outer: geom.Rectangle(geom.Box{Max: geom.Pt(20*geom.MM, 10*geom.MM)})}}
	b := panel.Panel{}.Edit().AddBoard(board)
	for i := range n {
		b.AddCopy(panel.Copy{ID: string(rune('A'+i)) + "1", Board: board, Place: geom.Transform{Shift: geom.Pt(geom.Length(i)*22*geom.MM, 0)}})
	}
	b.FitOutline()
	if change != nil {
		change(b)
	}
	p, err := b.Build()
	require.NoError(t, err)
	return p
}

const agreement = "x_out {\n copies = 3\n at_most = 1\n source = \"our order\"\n}\nx_out {\n copies = 8\n at_most = 2\n}\n"

// What recipe or standard state about bad copies stands with the panel, whether it has marks for them or not; a figure
// that nobody stated gives way.
func TestBadCopiesAreAgreed(t *testing.T) {
	usual := func(b *panel.Builder) {
		b.SetXOut(panel.XOut{Copies: 0, Panels: 100_000, Source: "a page", Usual: true})
	}
	said := func(b *panel.Builder) { b.SetXOut(panel.XOut{Copies: 1, Panels: 100_000, Source: "marks"}) }
	for _, c := range []struct {
		name    string
		in      panel.Panel
		options string
		want    panel.XOut
	}{
		{"no marks", row(t, 3, nil), agreement, panel.XOut{Copies: 1, Panels: 100_000, Source: "our order"}},
		{"one more copy", row(t, 4, nil), agreement + "x_out_percent = 2.5", panel.XOut{Copies: 2, Panels: 25_000}},
		{"more than any block says", row(t, 9, nil), agreement, panel.XOut{Copies: 2, Panels: 100_000}},
		{"fewer copies than may be bad", row(t, 1, nil), "x_out {\n copies = 8\n at_most = 2\n}", panel.XOut{Copies: 1, Panels: 100_000}},
		{"marks with the usual figures", row(t, 2, usual), agreement, panel.XOut{Copies: 1, Panels: 100_000, Source: "our order"}},
		{"marks that say the same", row(t, 2, said), agreement, panel.XOut{Copies: 1, Panels: 100_000, Source: "marks"}},
		{"marks alone", row(t, 2, said), "", panel.XOut{Copies: 1, Panels: 100_000, Source: "marks"}},
	} {
		got, ok := stagetest.Run(t, rules.Kind(), c.options, c.in, nil).Panel.XOut()
		assert.True(t, ok, c.name)
		assert.Equal(t, c.want, got, c.name)
	}
	_, ok := stagetest.Run(t, rules.Kind(), "", row(t, 3, nil), nil).Panel.XOut()
	assert.False(t, ok, "nobody says anything")
	for _, c := range []struct {
		in            panel.Panel
		options, want string
	}{
		{row(t, 4, said), agreement, "of 4 copies 2 may be bad in 10 % of the panels by x_out here, but 1 in 10 % by x_out in stage bad_board_marks: state it in one of the two"},
		{row(t, 4, nil), "x_out_percent = 5", "add x_out blocks"},
		{row(t, 4, nil), "x_out {\n copies = 4\n at_most = 5\n}", "is more than there are copies, 4"},
		{row(t, 4, nil), "x_out {\n copies = 4\n at_most = 1\n}\nx_out {\n copies = 4\n at_most = 2\n}", "is 4 twice"},
	} {
		assert.ErrorContains(t, stagetest.Fails(t, rules.Kind(), c.options, c.in, nil), c.want)
	}
}
