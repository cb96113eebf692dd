package panel

import (
	"errors"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"panelwright/pipeline/geom"
)

func TestRememberWorksOnceForEachPanel(t *testing.T) {
	type key struct{}
	p, err := Panel{}.Edit().Build()
	require.NoError(t, err)
	calls := 0
	work := func() (any, error) { calls++; return calls, nil }
	ask := func(p Panel) any {
		v, err := p.Remember(key{}, work)
		require.NoError(t, err)
		return v
	}
	assert.Equal(t, 1, ask(p))
	assert.Equal(t, 1, ask(p), "asked again")

	q, err := p.Agree(XOut{})
	require.NoError(t, err)
	assert.Equal(t, 1, ask(q), "what is agreed of bad copies changes nothing of the panel itself")

	r, err := p.Edit().AddMark(Mark{ID: "tooling_hole/1", At: geom.Pt(1, 1)}).Build()
	require.NoError(t, err)
	assert.Equal(t, 2, ask(r), "another panel")
	assert.Equal(t, 1, ask(p))
}

func TestRememberForgetsErrors(t *testing.T) {
	p, err := Panel{}.Edit().Build()
	require.NoError(t, err)
	_, err = p.Remember("k", func() (any, error) { return nil, errors.New("interrupted") })
	assert.Error(t, err)
	v, err := p.Remember("k", func() (any, error) { return 7, nil })
	require.NoError(t, err)
	assert.Equal(t, 7, v)
}
