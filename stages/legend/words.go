package legend

import (
	"fmt"
	"slices"
	"strings"

	"panelwright/pipeline"
	"panelwright/pipeline/panel"
)

// DateRule is the rule that tells of a date that is asked for and not known.
const DateRule = "legend-date"

// usual is what a call prints that asks for nothing.
var usual = []string{"product", "part_number", "revision", "date"}

// words gives what the words asked for say. plain leaves out what only people need: "C" instead of
// "rev. C". A date that is not known is left out.
func words(env *pipeline.Env, in panel.Panel, ask []string, plain bool) (out []string, err error) {
	for _, w := range ask {
		said := ""
		switch w {
		case "product":
			said, err = ofBoards(in, "name", "", func(b *panel.Board) string { return b.Name })
		case "part_number":
			said, err = ofBoards(in, "part number", "part_number", func(b *panel.Board) string { return b.PartNumber })
		case "revision":
			said, err = ofBoards(in, "revision", "revision", func(b *panel.Board) string { return b.Revision })
			if !plain {
				said = "rev. " + said
			}
		case "panel":
			said = env.Panel
		case "panel_revision":
			said = env.Revision
			if !plain {
				said = "panel rev. " + said
			}
		case "date":
			if said, _, _ = strings.Cut(env.Date, "T"); said == "" {
				continue
			}
		}
		if err != nil {
			return nil, err
		}
		out = append(out, said)
	}
	return out, nil
}

// ofBoards says one thing of every placed board, each answer once: "RG-1042 + RG-1050".
func ofBoards(in panel.Panel, what, option string, of func(b *panel.Board) string) (string, error) {
	var out []string
	for _, c := range in.Copies() {
		s := of(c.Board)
		if s == "" {
			return "", fmt.Errorf("board %s has no %s to print: give it %s in stage board, or leave %s out of words", c.Board.Name, what, option, option)
		}
		if !slices.Contains(out, s) {
			out = append(out, s)
		}
	}
	if len(out) == 0 {
		return "", fmt.Errorf("no board is placed, and so there is no %s to print", what)
	}
	return strings.Join(out, " + "), nil
}

// noDate reports that a date is asked for and not known; silent names the prints that are left out because they
// would say nothing else.
func noDate(env *pipeline.Env, silent []string, asked ...[]string) {
	if env.Date != "" || !slices.Contains(slices.Concat(asked...), "date") {
		return
	}
	text := "no date is printed: SOURCE_DATE_EPOCH is not set, and the program asks no clock"
	switch len(silent) {
	case 0:
	case 1:
		text += "; " + silent[0] + " is left out, as it has nothing else to say"
	default:
		text += "; " + strings.Join(silent, " and ") + " are left out, as they have nothing else to say"
	}
	env.Report(pipeline.Finding{Rule: DateRule, Severity: pipeline.Note, Message: text})
}
