package rule

import (
	"testing"

	"github.com/stretchr/testify/assert"
)

// Every place is one of a rule that there is; whether findings are there is tested with the rules' bounds.
func TestPlacesAreOfRules(t *testing.T) {
	known := map[string]string{}
	for _, r := range All() {
		known[r.Name] = r.Place
	}
	for name, place := range places {
		assert.Equal(t, place, known[name], name)
	}
}
