package panel

import (
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"panelwright/pipeline/geom"
)

func TestSharesInPercent(t *testing.T) {
	for s, want := range map[Share]string{0: "0 %", Whole: "100 %", 125_000: "12.5 %", 333_333: "33.33 %", 99: "0.01 %", 49: "0 %"} {
		assert.Equal(t, want, s.Percent())
	}
}

func TestBadCopiesAndCopperSharesAreReadBackFromData(t *testing.T) {
	b := Panel{}.Edit().SetXOut(XOut{Copies: 0, Panels: 100_000, Source: "a page", Usual: true}).
		SetCopperShares([]CopperShare{{Function{Kind: Copper, Side: Top, Index: 1}, 123_456, 223_457}, {Function{Kind: Copper, Side: Bottom, Index: 2}, 0, Whole}})
	b.d.outline = geom.Outline{Outer: geom.Rectangle(geom.Box{Max: geom.Pt(50*geom.MM, 50*geom.MM)})}
	p, err := b.Build()
	require.NoError(t, err)
	text, err := p.Data("p", "A")
	require.NoError(t, err)
	assert.Contains(t, string(text), `"x_out": {"bad_copies_at_most":0,"share_of_panels_at_most":0.1,"source":"a page","usual":true}`)
	assert.Contains(t, string(text), `{"layer":"copper-1-top","before":0.123456,"after":0.223457}`)
	again, _, _, err := ReadData(text, nil)
	require.NoError(t, err)
	x, ok := again.XOut()
	assert.True(t, ok)
	assert.Equal(t, XOut{Panels: 100_000, Source: "a page", Usual: true}, x)
	assert.Equal(t, p.CopperShares(), again.CopperShares())
	none, err := Panel{}.Edit().Build()
	require.NoError(t, err)
	text, err = none.Data("p", "A")
	require.NoError(t, err)
	assert.NotContains(t, string(text), "x_out")
	assert.NotContains(t, string(text), "copper_shares")
}

func TestBadCopiesThatCannotBe(t *testing.T) {
	for _, x := range []XOut{{Copies: -1}, {Copies: 1}, {Panels: -1}, {Panels: Whole + 1}} {
		_, err := Panel{}.Edit().SetXOut(x).Build()
		assert.ErrorContains(t, err, "cannot be bad")
	}
}
