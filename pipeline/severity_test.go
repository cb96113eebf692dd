package pipeline

import (
	"testing"

	"github.com/stretchr/testify/assert"
)

func TestLesserSeverity(t *testing.T) {
	for _, c := range []struct{ a, b, want Severity }{
		{Error, "", Error}, {"", Warning, Warning}, {Error, Warning, Warning}, {Note, Warning, Note}, {Warning, Error, Warning}, {"", "", ""},
	} {
		assert.Equal(t, c.want, c.a.Lesser(c.b), "%q and %q", c.a, c.b)
	}
}
