package start

import (
	"fmt"
	"math"
	"strings"
	"unicode/utf8"

	"panelwright/pipeline"
	"panelwright/pipeline/geom"
)

// recipeText is a recipe and what it says of its choices.
type recipeText struct {
	text []byte
	says []pipeline.Saying
}

// writer puts a recipe together: each choice is said once, as a comment and to the terminal.
type writer struct {
	b    strings.Builder
	says []pipeline.Saying
}

// widestComment is where comments go on in the next line.
const widestComment = 118

// comment writes a text as comment lines.
func (w *writer) comment(indent, text string) {
	line := indent + "#"
	for _, word := range strings.Fields(text) {
		if utf8.RuneCountInString(line)+1+utf8.RuneCountInString(word) > widestComment && line != indent+"#" {
			w.line(line)
			line = indent + "#"
		}
		line += " " + word
	}
	w.line(line)
}

func (w *writer) line(format string, a ...any) {
	if len(a) == 0 {
		w.b.WriteString(format + "\n")
		return
	}
	fmt.Fprintf(&w.b, format+"\n", a...)
}

// say writes a choice's reason above what comes next.
func (w *writer) say(about, text string) {
	w.says = append(w.says, pipeline.Saying{About: about, Text: text})
	w.comment("", strings.ToUpper(text[:1])+text[1:]+".")
}

// stage writes a stage with options that are not empty.
func (w *writer) stage(name string, options ...string) {
	var lines []string
	for _, o := range options {
		if o != "" {
			lines = append(lines, o)
		}
	}
	if len(lines) == 0 {
		w.line("stage %q {}", name)
	} else {
		w.line("stage %q {", name)
		for _, o := range lines {
			w.line("  " + o)
		}
		w.line("}")
	}
	w.line("")
}

// write writes the recipe of a way.
func (s *starter) write(y way, l layout) recipeText {
	w := &writer{}
	y = y.fitted(l.columns, l.rows, l.turned)
	w.comment("", fmt.Sprintf("A first recipe for board %s, made from its files. Beside each choice stands why; what is said to be measured was measured on the files. Limits are the program's own, of published pages or from memory (panelwright rule NAME names each source): the fabricator's and the assembler's come first. Look at the panel before it is ordered.", s.name))
	w.line("")
	for _, x := range y.open {
		w.comment("", "STAYS AN ERROR: "+openWords(x))
	}
	if len(y.open) > 0 {
		w.line("")
	}
	w.line("panel %q {", s.panelName(l))
	w.line(`  revision = "A" # the panel's own: count it up with each release`)
	if n := len(s.q.Standards); n > 0 {
		w.comment("  ", fmt.Sprintf("Near lie standards: %s. Those that hold for this panel belong here, as built_to = [...]; what they say can go below then.", sentence(s.q.Standards)))
	}
	w.line("}")
	w.line("")
	s.writeBoard(w)
	w.say("array", l.why)
	turn := ""
	if l.turned {
		turn = `turn = "90 deg"`
	}
	gap := []string{"gap_x = " + quoted(l.gapX), "gap_y = " + quoted(l.gapY)}
	if l.gapX == l.gapY {
		gap = []string{"gap = " + quoted(l.gapX)}
	}
	gap[0] += " # " + map[kind]string{scored: "boards abut and share a line", tabbed: "the slot's width", spaced: "twice what stays on each board", mixed: "a strip of waste between lines the one way, the slot's width the other"}[y.kind]
	w.stage("array", append([]string{fmt.Sprintf("board = %q", s.name), fmt.Sprintf("columns = %d", l.columns), fmt.Sprintf("rows = %d", l.rows), turn}, gap...)...)
	s.writeRails(w, y, l)
	w.say("tooling holes", "one at each corner: an assembler's guideline, 4 mm, centred 5 mm from both edges (pandawillcircuits.com)")
	w.stage("tooling_holes")
	w.say("fiducials", "three in an L, on both sides, 1 mm of copper in a mask opening of 2 mm in 3 mm that are kept clear: an assembler's guideline (seeedstudio.com, 2017-07-28)")
	w.stage("fiducials")
	s.writeCuts(w, y, l)
	w.say("rules", "all of them, with their own limits; a standard's or a limit block's come first")
	w.stage("rules", openLimits(y.open)...)
	w.stage("write_fab")
	w.stage("write_assembly")
	w.stage("write_drawing")
	w.b.WriteString("stage \"write_report\" {}\n")
	return recipeText{[]byte(w.b.String()), w.says}
}

// writeBoard writes the board stage, and what its files leave open.
func (s *starter) writeBoard(w *writer) {
	b := s.facts.board
	said := fmt.Sprintf("%s x %s mm, %s, %s thick; %s", s.facts.box.Width().Decimal(), s.facts.box.Height().Decimal(), counted(b.CopperCount, "copper layer"), b.Thickness, s.facts.shape())
	if b.ThicknessAssumed {
		said += "; nobody says the thickness, this one is assumed"
	}
	if s.facts.plain() {
		said += "; no castellations, plated edges or contact fingers were found"
	} else {
		said += "; " + s.facts.classes
	}
	switch {
	case len(b.Parts) == 0:
		said += "; there is no placement, so nothing is known of its parts"
	case b.PartsElsewhere:
		said += "; its placement is not in the coordinates of its layers, so nothing is known of its parts' places"
	default:
		said += fmt.Sprintf("; %s", counted(len(b.Parts), "part"))
	}
	w.say("board", said)
	for _, f := range s.got.Findings {
		text, _, _ := strings.Cut(f.Message, "; a block ")
		w.say("board", "in doubt ("+f.Rule+"): "+strings.TrimSuffix(text, "."))
	}
	if s.q.BoardText != "" {
		w.line(strings.TrimSpace(s.q.BoardText) + "\n")
		return
	}
	var more [][2]string
	var open []string
	if p := s.got.Project(); p != "" {
		more = append(more, [2]string{"part_number", fmt.Sprintf("%q # as the files name their project; put your own number", p)})
	} else {
		open = append(open, `# part_number = "…"`)
	}
	if b.Revision == "" {
		open = append(open, `# revision = "…"`)
	}
	if b.ThicknessAssumed {
		open = append(open, fmt.Sprintf("# thickness = %s # assumed: say it", quoted(b.Thickness)))
	}
	text := s.got.BoardStage(s.q.Paths, s.name, more)
	if len(open) > 0 {
		head, rest, _ := strings.Cut(text, "\n\n")
		if rest != "" {
			rest = "\n\n" + rest
		} else {
			head, rest = strings.TrimSuffix(strings.TrimSuffix(head, "\n"), "}"), "}\n"
		}
		head = strings.TrimSuffix(head, "\n") + "\n  # not in the files:\n"
		for _, o := range open {
			head += "  " + o + "\n"
		}
		text = strings.TrimSuffix(head, "\n") + "\n" + strings.TrimPrefix(rest, "\n")
	}
	w.line(text)
}

func (s *starter) writeRails(w *writer, y way, l layout) {
	sides, why := `["upper", "lower"]`, "above and below, along the longer sides, where the conveyor carries"
	if y.frame {
		sides, why = `["upper", "lower", "left", "right"]`, "on all sides: the conveyor carries those above and below, and the outer boards are held from the sides too"
	}
	gx, gy := y.railGaps(l.turned)
	gap := []string{"gap_x = " + quoted(gx), "gap_y = " + quoted(gy)}
	switch {
	case gx == gy || !y.frame:
		gap = []string{"gap = " + quoted(gy)}
	}
	w.say("rails", why+"; "+railWidth.String()+" wide: "+railSource)
	w.stage("rails", append([]string{"sides = " + sides, "width = " + quoted(railWidth)}, gap...)...)
}

// writeCuts writes what parts the boards.
func (s *starter) writeCuts(w *writer, y way, l layout) {
	about := map[kind]string{scored: "score lines", tabbed: "tabs", spaced: "score lines", mixed: "score lines and slots"}[y.kind]
	says := append([]string{y.words}, y.because...)
	w.say(about, strings.Join(says, "; "))
	leave := ""
	if y.leave > 0 {
		leave = "leave = " + quoted(y.leave) + " # common practice, no published source: 35 mil on each board, 70 mil from board to board"
	}
	lines, slots := "", ""
	if y.kind == mixed {
		lines, slots = `between = ["columns", "left_and_right_rails"]`, `between = ["rows", "upper_and_lower_rails"]`
		if !y.scoresAcross(l.turned) {
			lines, slots = `between = ["rows", "upper_and_lower_rails"]`, `between = ["columns", "left_and_right_rails"]`
		}
	}
	if y.kind != tabbed {
		w.stage("score_lines", lines, leave)
	}
	if y.kind == scored || y.kind == spaced {
		return
	}
	t := y.tabs
	slot := ""
	if g := min(l.gapX, l.gapY); y.kind == tabbed && g > usualGap {
		slot = "slot_width = " + quoted(g)
	}
	option := func(name string, l geom.Length, why string) string {
		if l == 0 {
			return ""
		}
		return name + " = " + quoted(l) + " # " + why
	}
	holes := ""
	if t.holes > 0 {
		holes = fmt.Sprintf("holes_per_tab = %d # 3 to 5, even 6: common practice, no published source", t.holes)
	}
	fragile := ""
	if len(t.fragile) > 0 {
		fragile = fmt.Sprintf(`fragile = ["%s"]`, strings.Join(t.fragile, `", "`))
	}
	w.stage("breakoff_tabs", slots, slot, holes, fragile,
		option("inset", t.inset, "out of the board, see above"),
		option("from_corner", t.fromCorner, "from memory, no published source: 3 to 5 mm"),
		option("longest_free_span", t.span, fmt.Sprintf("where no tab may stand so much stays free; a fabricator's guide has %s (jlcpcb.com, panelization guide)", usualSpan)),
		option("longest_overhang", t.overhang, fmt.Sprintf("likewise; %s is half of that guide's distance", usualSpan/2)))
}

// openWords says an error that stays.
func openWords(f pipeline.Finding) string {
	text := f.Rule + ": " + f.Message
	if f.Measured != nil && f.Limit != nil {
		text = fmt.Sprintf("%s, measured %s, limit %s: %s", f.Rule, figure(*f.Measured, f.Unit), figure(*f.Limit, f.Unit), f.Message)
	}
	return text
}

func figure(x float64, unit string) string {
	return strings.TrimSpace(fmt.Sprintf("%.4g %s", x, unit))
}

// openLimits are limit blocks, as comments, that would let the errors pass that are of the board's own copper.
func openLimits(open []pipeline.Finding) []string {
	var out []string
	for _, f := range open {
		if f.Measured == nil || f.Limit == nil || f.Unit != "mm" || *f.Measured >= *f.Limit || !strings.Contains(f.Rule, "copper-to-") {
			continue
		}
		at := math.Floor(*f.Measured*100) / 100
		if len(out) == 0 {
			out = append(out, "# The board's own copper lies so near: have it moved, or ask the fabricator for less, and say it so:")
		}
		if at <= 0 {
			out = append(out, fmt.Sprintf("# unchecked %q { reason = \"…\" }", f.Rule))
			continue
		}
		out = append(out, fmt.Sprintf("# limit %q { at_least = \"%.2f mm\" }", f.Rule, at))
	}
	return out
}
