package pipeline

import (
	"fmt"
	"slices"
	"strconv"
	"strings"
)

// WaiverRule is what a waiver that covers no finding is told under.
const WaiverRule = "waiver-without-finding"

// ProofStage is the stage of the proof's findings.
const ProofStage = "proof"

// WholePanel is what a waiver names for a finding that has neither a feature nor copies.
const WholePanel = "panel"

// Waiver accepts findings of one rule at named places, for one revision of the panel, and no worse than a
// figure. What it covers stays visible and does not count against the release.
type Waiver struct {
	Rule     string
	Where    []string // ids of features, or of copies
	Reason   string
	Revision string   // of the panel
	AtWorst  *float64 // in the rule's unit; nil for a rule without a bound
	Option   string   // its block, as the recipe names it: "waive copper-to-edge 1"
	Set      *SetAt   // where the block stands; the runner fills it
	Stage    string   // the stage that brought it; the runner fills it
}

// Waivable tells why findings of the rule cannot be waived; empty when they can.
func (r Rule) Waivable() (why string) {
	switch {
	case r.Name == WaiverRule:
		return "tells of waivers themselves: take the waiver out that covers nothing"
	case r.Family == ProofFamily:
		return "is judged by the proof, on what was written: to accept what it finds would release something else than was planned and judged"
	}
	return ""
}

// ApplyWaivers marks the findings that the waivers cover, in place, and gives a warning for every waiver that
// covers none, or names a place where it covers nothing. rules are the program's, revision is the panel's, boards
// are the names of its boards.
func ApplyWaivers(found []Finding, waivers []Waiver, rules []Rule, revision string, boards []string) (idle []Finding) {
	for i := range found {
		found[i].Waived = nil
	}
	for _, w := range waivers {
		k := slices.IndexFunc(rules, func(r Rule) bool { return r.Name == w.Rule })
		if k < 0 || rules[k].Waivable() != "" {
			continue // the stage that brings waivers refuses these
		}
		rule := rules[k]
		used := make([]bool, len(w.Where))
		covers, miss := 0, missed{}
		for i := range found {
			f := &found[i]
			if f.Rule != w.Rule {
				continue
			}
			if f.Unchecked {
				miss.unchecked = true
				continue
			}
			uses, left := w.reaches(*f, boards)
			switch {
			case len(uses) == 0:
				miss.note(0, "", *f)
			case f.Stage == ProofStage:
				miss.note(1, fmt.Sprintf("the finding at %s is the proof's, of what was written, and the proof's findings cannot be waived", f.place()), *f)
			case len(left) > 0:
				miss.note(1, fmt.Sprintf("the finding at %s holds for %s too: name %s in where", f.place(), joined(left), itThem(len(left))), *f)
			case w.Revision != revision:
				miss.note(2, fmt.Sprintf("it is bound to revision %s, and the panel is revision %s: look at the finding at %s again", orNone(w.Revision), orNone(revision), f.place()), *f)
			case rule.Bound != NoBound && f.Measured == nil:
				miss.note(3, fmt.Sprintf("the finding at %s has no figure that could be held against at_worst", f.place()), *f)
			case rule.Bound != NoBound && w.AtWorst != nil && worse(*f.Measured, *w.AtWorst, rule):
				miss.note(4, fmt.Sprintf("at %s the figure is %s, worse than at_worst %s", f.place(), figure(*f.Measured, rule.Unit), figure(*w.AtWorst, rule.Unit)), *f)
			default:
				covers++
				for _, n := range uses {
					used[n] = true
				}
				if f.Waived == nil {
					f.Waived = &Waived{Reason: w.Reason, Revision: w.Revision, AtWorst: w.AtWorst, Set: w.Set}
				}
			}
		}
		warn := func(text string) {
			idle = append(idle, Finding{Rule: WaiverRule, Family: DataFamily, Severity: Warning, Message: text, Feature: w.Where[0], Stage: w.Stage, Set: w.Set, Option: w.Option})
		}
		switch {
		case len(w.Where) == 0:
		case covers == 0:
			warn(fmt.Sprintf("the waiver of %s covers no finding: %s", w.Rule, miss.why(w)))
		default:
			var stale []string
			for n, u := range used {
				if !u {
					stale = append(stale, w.Where[n])
				}
			}
			if len(stale) > 0 {
				warn(fmt.Sprintf("the waiver of %s covers nothing at %s: take %s out of where", w.Rule, joined(stale), itThem(len(stale))))
			}
		}
	}
	return idle
}

// missed keeps why a waiver did not cover a finding: the reason that came nearest to covering one.
type missed struct {
	rank  int
	text  string
	seen  bool
	there []string // where the rule's findings are

	unchecked bool // the recipe leaves the rule out
}

func (m *missed) note(rank int, text string, f Finding) {
	if !m.seen || rank > m.rank {
		m.rank, m.text = rank, text
	}
	m.seen = true
	if p := f.place(); !slices.Contains(m.there, p) {
		m.there = append(m.there, p)
	}
}

func (m *missed) why(w Waiver) string {
	const most = 3
	switch {
	case m.unchecked && !m.seen:
		return "the recipe leaves the rule unchecked; take one of the two out"
	case !m.seen:
		return "the rule finds nothing on this panel; take the waiver out"
	case m.text != "":
		return m.text
	}
	slices.Sort(m.there)
	text := fmt.Sprintf("nothing is found at %s; the rule's findings are at %s", joined(w.Where), joined(m.there[:min(most, len(m.there))]))
	if n := len(m.there) - most; n > 0 {
		text += fmt.Sprintf(", and at %d more places", n)
	}
	return text
}

// place names where a finding is, as a waiver would.
func (f Finding) place() string {
	switch {
	case f.Feature != "":
		return f.Feature
	case len(f.Copies) > 0:
		return f.Copies[0]
	}
	return WholePanel
}

// reaches tells which members of Where name the finding, and which of its copies none of them names. A
// feature of a copy names that copy; the same feature of another copy names that one; a feature of a board, which
// is the same on every copy of it, names them all.
func (w Waiver) reaches(f Finding, boards []string) (uses []int, left []string) {
	take := func(ok func(where string) bool) bool {
		hit := false
		for i, x := range w.Where {
			if ok(x) {
				hit = true
				if !slices.Contains(uses, i) {
					uses = append(uses, i)
				}
			}
		}
		return hit
	}
	if len(f.Copies) == 0 {
		take(func(x string) bool { return x == f.place() || strings.HasPrefix(f.Feature, x+"/") })
		return uses, nil
	}
	if ofBoard(f, boards) && take(func(x string) bool { return x == f.Feature }) {
		return uses, nil
	}
	// The rest of the feature's id after its copy, where it is one of a copy that the finding names.
	rest, of := "", ""
	for _, c := range f.Copies {
		if r, ok := strings.CutPrefix(f.Feature, c+"/"); ok && len(c) > len(of) {
			of, rest = c, r
		}
	}
	for _, c := range f.Copies {
		hit := take(func(x string) bool {
			switch {
			case x == c:
				return true
			case rest != "":
				return x == c+"/"+rest
			}
			return x == f.Feature && len(f.Copies) == 1
		})
		if !hit {
			left = append(left, c)
		}
	}
	if len(uses) == 0 && of == "" {
		take(func(x string) bool { return x == f.Feature && x != "" })
	}
	return uses, left
}

// ofBoard tells whether the finding's feature is one of a board, not of a copy or of the panel.
func ofBoard(f Finding, boards []string) bool {
	for _, c := range f.Copies {
		if f.Feature == c || strings.HasPrefix(f.Feature, c+"/") {
			return false
		}
	}
	return slices.ContainsFunc(boards, func(b string) bool {
		return f.Feature == b || strings.HasPrefix(f.Feature, b+"/") || f.Feature == "boards."+b || strings.HasPrefix(f.Feature, "boards."+b+"/")
	})
}

// worse tells whether a figure lies beyond the worst that is accepted. Half of the last digit that reports
// show is left to rounding: half a micrometre for lengths.
func worse(measured, atWorst float64, r Rule) bool {
	slack := 0.00005
	if r.Unit == "mm" {
		slack = 0.0005
	}
	beyond := atWorst - measured
	if r.Bound == AtMost {
		beyond = -beyond
	}
	return beyond > slack
}

// figure writes a number with its unit as reports show it.
func figure(v float64, unit string) string {
	return strings.TrimSpace(FigureText(v) + " " + unit)
}

// FigureText writes a figure with up to four decimals, as reports show it.
func FigureText(v float64) string {
	s := strconv.FormatFloat(v, 'f', 4, 64)
	if s = strings.TrimRight(strings.TrimRight(s, "0"), "."); s == "-0" {
		return "0"
	}
	return s
}

func orNone(s string) string {
	if s == "" {
		return "none"
	}
	return s
}

func itThem(n int) string {
	if n == 1 {
		return "it"
	}
	return "them"
}

// joined writes names as a sentence does: a, b and c.
func joined(names []string) string {
	if n := len(names); n > 1 {
		return strings.Join(names[:n-1], ", ") + " and " + names[n-1]
	}
	return strings.Join(names, "")
}
