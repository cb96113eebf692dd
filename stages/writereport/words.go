package writereport

import (
	"strconv"
	"strings"

	"panelwright/pipeline/geom"
)

func itoa(n int) string { return strconv.Itoa(n) }

// count words a number of things: 1 finding, 2 findings.
func count(n int, one, many string) string {
	if n == 1 {
		return "1 " + one
	}
	return itoa(n) + " " + many
}

// sizeText words the size of a file.
func sizeText(n int64) string {
	s := strconv.FormatInt(n, 10)
	var out []string
	for len(s) > 3 {
		out = append([]string{s[len(s)-3:]}, out...)
		s = s[:len(s)-3]
	}
	return strings.Join(append([]string{s}, out...), "\u202f") // narrow spaces between thousands
}

// span words the least and the most of lengths: "2 mm", "1.5 to 2 mm".
func span(list []geom.Length) string {
	if len(list) == 0 {
		return ""
	}
	least, most := list[0], list[0]
	for _, l := range list {
		least, most = min(least, l), max(most, l)
	}
	if least == most {
		return least.String()
	}
	return least.Decimal() + " to " + most.String()
}

// listed joins words by commas.
func listed(words []string) string { return strings.Join(words, ", ") }
