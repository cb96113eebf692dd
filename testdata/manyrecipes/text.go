package main

import (
	"fmt"
	"strings"

	"panelwright/testdata/demoboards/boards"
)

// hyphened makes a board's name part of a panel's.
func hyphened(name string) string { return strings.ReplaceAll(name, "_", "-") }

// text is the recipe; a lean one judges no strength and writes the fabricator's files alone.
func (c recipeOf) text(lean bool) string {
	var w strings.Builder
	say := func(format string, args ...any) { fmt.Fprintf(&w, format+"\n", args...) }
	standard := "hand-break"
	if c.scored {
		standard = "v-score"
	}
	say("panel %q {\n  revision = \"A\"\n  built_to = [\"standards/%s.standard.hcl\"]\n}\n", c.name, standard)
	for _, s := range c.suppliers {
		say("supplier %q {\n  built_to = [\"standards/suppliers/%s.standard.hcl\"]\n}\n", s, s)
	}
	if !c.scored {
		say("let {\n  gap = mm(%g)\n}\n", c.gap)
	}
	for _, b := range []*boards.Made{c.first, c.second} {
		if b != nil {
			say("stage \"board\" {\n  name        = %q\n  files       = \"boards/%s\"\n  part_number = %q\n  revision    = %q\n  thickness   = \"1.6 mm\"\n}\n",
				b.Name, b.Name, b.PartNumber, b.Revision)
		}
	}
	gap := ""
	if !c.scored {
		gap = "\n  gap     = let.gap"
	}
	if c.second == nil {
		say("stage \"array\" {\n  board   = %q\n  columns = %d\n  rows    = %d%s\n}\n", c.first.Name, c.columns, c.rows, gap)
	} else {
		say("stage \"array\" {\n  name    = \"left\"\n  board   = %q\n  columns = %d\n  rows    = 1%s\n}\n", c.first.Name, c.columns, gap)
		say("stage \"array\" {\n  name       = \"right\"\n  board      = %q\n  columns    = %d\n  rows       = 1\n  beside     = \"right\"\n  beside_gap = let.gap%s\n}\n",
			c.second.Name, c.columns, strings.Replace(gap, "gap     ", "gap        ", 1))
	}
	sides := `["upper", "lower"]`
	if c.frame {
		sides = `["upper", "lower", "left", "right"]`
	}
	if c.scored {
		say("stage \"rails\" {\n  sides = %s\n}\n", sides)
	} else {
		say("stage \"rails\" {\n  sides = %s\n  gap   = let.gap\n}\n", sides)
	}
	say("stage \"tooling_holes\" {}\n\nstage \"fiducials\" {}\n")
	if !lean {
		say("stage \"support\" {}\n")
	}
	if c.scored {
		say("stage \"score_lines\" {}\n")
	} else {
		say("stage \"breakoff_tabs\" {\n  cutters = [\"2 mm\", \"1 mm\"]\n}\n")
	}
	if c.marks {
		say("stage \"bad_board_marks\" {\n  names = false\n}\n\nstage \"legend\" {\n  words         = [\"revision\"]\n  letter_height = \"1.2 mm\"\n}\n")
	}
	say("stage \"rules\" {}\n\nstage \"write_fab\" {}")
	if !lean {
		say("\nstage \"write_assembly\" {}\n\nstage \"write_drawing\" {\n  title = \"Panel of %s\"\n}\n\nstage \"write_report\" {}",
			strings.ReplaceAll(c.first.Name, "_", " "))
	}
	return w.String()
}
