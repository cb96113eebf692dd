package pipeline

import (
	"testing"

	"github.com/stretchr/testify/assert"
)

// A stage may ask for the release whoever runs it: by the runner's word, else by the findings, else there is nothing
// that closes the gate.
func TestReleased(t *testing.T) {
	bad := func() []Finding { return []Finding{{Rule: "x", Severity: Error}} }
	for _, open := range []bool{true, false} {
		assert.Equal(t, open, NewEnv(Env{}, nil, bad).With(Hooks{Released: func() bool { return open }}).Released())
	}
	assert.False(t, NewEnv(Env{}, nil, bad).Released())
	assert.True(t, NewEnv(Env{}, nil, func() []Finding { return nil }).Released())
	assert.True(t, NewEnv(Env{}, nil, nil).Released())
}
