package rule

import (
	"fmt"
	"math"
	"slices"
	"strings"

	"panelwright/pipeline"
	"panelwright/pipeline/mechanics"
	"panelwright/pipeline/mechanics/breakage"
	"panelwright/pipeline/panel"
)

// strainLimit gives the limit of strain by the panel's thickness, where it is broken by hand. 1.6 mm: 848 microstrain.
func strainLimit(p panel.Panel) (*float64, string) {
	t := p.Thickness().MM()
	v := math.Round(breakage.Limit(t, breakage.Rate))
	if v <= 0 {
		return nil, ""
	}
	return &v, fmt.Sprintf("IPC/JEDEC-9704, from memory: root of 2.35 mm / %v mm times (1900 - 300 log of the rate), at 10^4 microstrain a second", t)
}

// handForce is what two hands give with care, in N: from memory, no published source.
const handForce = 60.0

// breakForce finds what takes too much force, where the material is strong; where only then, it may well not, and is a note at
// most. What is cut off by a tool takes none of a hand.
func breakForce(_ panel.Panel, a *mechanics.Answers, limit float64) []pipeline.Finding {
	out := alike{words: [2]string{"other place", "other places"}}
	more := fmt.Sprintf("%v N", limit)
	if limit == handForce {
		more = fmt.Sprintf("the %v N that two hands give (from memory)", limit)
	}
	for _, b := range a.Breaks {
		v, weak := mechanics.Digits(b.Force[1]), mechanics.Digits(b.Force[0])
		if b.Kind == mechanics.BoardEdge && len(b.Tabs) == 1 {
			continue // it is that tab
		}
		if b.Cut || math.IsInf(v, 0) || math.IsNaN(v) || !(v > limit) {
			continue
		}
		what, instead := b.Feature, "or more or wider holes"
		switch b.Kind {
		case mechanics.BoardEdge:
			what, instead = "all tabs along one edge of "+b.Feature+" at once", "more or wider holes, or fewer tabs there"
		case mechanics.ScoreLine:
			instead = "or a thinner web, as thin as the fabricator's tolerance allows"
		}
		f := pipeline.Finding{At: &b.At, Feature: b.Feature, Copies: b.Copies, Measured: &v, Basis: broken(a)}
		if !(weak > limit) {
			f.Severity = pipeline.Note
		}
		f.Message = fmt.Sprintf("breaking %s takes about %s to %s N, from weak material to strong, of a hand %s mm from the line (a moment of %s to %s N·mm); judged is strong material: more than %s; an estimate",
			what, mechanics.Figure(weak), mechanics.Figure(v), mechanics.Figure(b.Lever), mechanics.Figure(b.Moment[0]), mechanics.Figure(b.Moment[1]), more)
		out.add(string(b.Kind)+mechanics.Figure(weak)+" "+mechanics.Figure(v), f, ". Where hands are not enough: a jig, a parting tool, "+instead)
	}
	return out.all()
}

// namedParts is how many of the parts that breaking strains too much a finding names.
const namedParts = 8

// strainedBoard is a board beneath parts of which breaking strains it too much, where the material is strong.
type strainedBoard struct {
	name   string
	parts  []mechanics.Strained // the worst place of each, worst first
	weak   int                  // how many of them are strained too much by weak material too
	copies []string
}

func strainedBoards(p panel.Panel, parts []mechanics.Strained, limit float64) []*strainedBoard {
	names := map[string]string{} // of copies
	for _, c := range p.Copies() {
		names[c.ID] = c.Board.Name
	}
	var all []*strainedBoard
	for _, s := range parts { // worst first
		v := mechanics.Digits(s.Strain)
		if math.IsInf(v, 0) || math.IsNaN(v) || !(v > limit) {
			continue
		}
		i := slices.IndexFunc(all, func(x *strainedBoard) bool { return x.name == names[s.Copy] })
		if i < 0 {
			i = len(all)
			all = append(all, &strainedBoard{name: names[s.Copy]})
		}
		x := all[i]
		if !slices.ContainsFunc(x.parts, func(t mechanics.Strained) bool { return t.Refdes == s.Refdes }) {
			x.parts = append(x.parts, s)
			if mechanics.Digits(s.Least) > limit {
				x.weak++
			}
		}
		if !slices.Contains(x.copies, s.Copy) {
			x.copies = append(x.copies, s.Copy)
		}
	}
	return all
}

// partStrain finds the parts beneath which breaking strains the board too much: a finding for each board, which names the worst of
// them. Judged is strong material; where weak material strains none too much, it may well not be so, and is a note at most.
func partStrain(p panel.Panel, a *mechanics.Answers, limit float64) []pipeline.Finding {
	span := func(s mechanics.Strained) string {
		return mechanics.Figure(s.Least) + " to " + mechanics.Figure(s.Strain)
	}
	var out []pipeline.Finding
	for _, x := range strainedBoards(p, a.Parts, limit) {
		worst := x.parts[0]
		v := mechanics.Digits(worst.Strain)
		f := pipeline.Finding{At: &worst.At, Feature: partID(worst.Copy, panel.Part{Refdes: worst.Refdes}), Copies: x.copies, Measured: &v, Basis: broken(a),
			Message: fmt.Sprintf("breaking %s strains board %s beneath %s, %s mm away, by about %s microstrain, from weak material to strong; judged is strong material: more than %v; an estimate, uncalibrated",
				worst.Break, x.name, worst.Refdes, mechanics.Figure(worst.Distance.MM()), span(worst), limit)}
		if more := x.parts[1:]; len(more) > 0 {
			var names []string
			for _, s := range more[:min(len(more), namedParts-1)] {
				names = append(names, s.Refdes+" "+span(s))
			}
			f.Message += "; so it does beneath " + strings.Join(names, ", ")
			if n := len(more) - len(names); n > 0 {
				f.Message += " and " + counted(n, "other part", "other parts")
			}
		}
		switch {
		case x.weak == 0:
			f.Severity = pipeline.Note
			f.Message += "; weak material stays below that"
		case x.weak < len(x.parts):
			f.Message += fmt.Sprintf("; weak material does so beneath %d of the %d parts", x.weak, len(x.parts))
		default:
			f.Message += "; weak material does so too"
		}
		out = append(out, f)
	}
	return out
}
