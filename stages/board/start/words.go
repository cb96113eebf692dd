package start

import (
	"fmt"
	"math"
	"strings"

	"panelwright/pipeline/geom"
)

// short writes a length to the hundredth of a millimetre.
func short(l geom.Length) string {
	return geom.Length(math.Round(float64(l)/1e4)*1e4).Decimal() + " mm"
}

// quoted writes a length as a recipe does.
func quoted(l geom.Length) string { return `"` + l.String() + `"` }

func counted(n int, word string) string {
	if n == 1 {
		return "1 " + word
	}
	return fmt.Sprintf("%d %ss", n, word)
}

func copies(n int) string {
	if n == 1 {
		return "1 copy"
	}
	return fmt.Sprintf("%d copies", n)
}

// sentence joins words as a sentence does: a, b and c.
func sentence(words []string) string {
	switch n := len(words); n {
	case 0:
		return ""
	case 1:
		return words[0]
	default:
		return strings.Join(words[:n-1], ", ") + " and " + words[n-1]
	}
}

func hyphens(name string) string { return strings.ReplaceAll(name, "_", "-") }

// up rounds a length up to a multiple of step.
func up(l, step geom.Length) geom.Length {
	if r := l % step; r > 0 {
		l += step - r
	}
	return l
}
