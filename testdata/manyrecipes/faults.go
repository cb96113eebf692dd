package main

import "strings"

// faults are the ways in which recipes fail on purpose, each with the exit code that it ends with, in turn.
var faults = []struct {
	what     string
	exit     int
	old, new string // a piece of every recipe, and what stands there instead
}{
	{"an option is misspelt", 2, "columns =", "colums ="},
	{"the board's folder is not there", 2, `= "boards/`, `= "boards/lost_`},
	{"the files are of another revision", 2, "  revision    = \"", "  revision    = \"Z"},
	{"a bracket is missing", 2, "stage \"rules\" {}", "stage \"rules\" {"},
	{"a limit that no board keeps", 1, "stage \"rules\" {}", "stage \"rules\" {\n  limit \"copper-to-edge\" { at_least = \"3 mm\" }\n}"},
	{"the standard is not there", 2, "standards/", "standards/lost-"},
	{"no rows", 2, "  rows    = ", "  rows    = 0 * "},
	{"rules are forgotten", 2, "stage \"rules\" {}\n\n", ""},
}

// spoil makes fault number n of a recipe.
func spoil(text string, n int) string {
	f := faults[n%len(faults)]
	return strings.Replace(text, f.old, f.new, 1)
}
