package recipe

import (
	"math/rand/v2"
	"regexp"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
)

// TestSplitMeasure holds what is written by hand against the pattern that says the same, on random texts.
func TestSplitMeasure(t *testing.T) {
	form := regexp.MustCompile(`^([+-]?(?:[0-9]{1,30}(?:\.[0-9]{0,30})?|\.[0-9]{1,30}))[ \t]*([^0-9 \t.+-][^0-9]{0,20})?$`)
	r := rand.New(rand.NewPCG(5, 7))
	pieces := []string{"", "+", "-", ".", "1", "25", " ", "\t", "mm", "in", "µm", "\n", "x y", "e", "\xff"}
	for _, n := range []int{29, 30, 31} {
		pieces = append(pieces, strings.Repeat("9", n))
	}
	for _, n := range []int{20, 21, 22} {
		pieces = append(pieces, strings.Repeat("ü", n))
	}
	right := 0
	for range 10_000 {
		text := ""
		for range r.IntN(6) {
			text += pieces[r.IntN(len(pieces))]
		}
		number, unit, ok := splitMeasure(text)
		m := form.FindStringSubmatch(text)
		if m == nil {
			m = []string{"", "", ""}
		} else {
			right++
		}
		assert.Equal(t, m, []string{map[bool]string{true: text}[ok], number, unit}, "%q", text)
	}
	assert.Greater(t, right, 700)
}
