package breakofftabs

import (
	"fmt"
	"math"
	"strings"

	"panelwright/pipeline"
	"panelwright/pipeline/geom"
	"panelwright/pipeline/mechanics"
)

// tabsBySupport is the rule that tells how placing "by_support" came out.
const tabsBySupport = "tabs-by-support"

// tellProblem says why tabs stand as planned.
func (b *bySupport) tellProblem(p mechanics.Problem) {
	b.env.Log.Warn().Str("because", p.Message).Msg("tabs stand as planned: the panel cannot be reckoned")
	b.env.Report(pipeline.Finding{Rule: tabsBySupport, Severity: pipeline.Note, Feature: pipeline.WholePanel, At: &p.At,
		Message: "tabs stand as spans ask for, for the panel cannot be reckoned: " + p.Message})
}

// tell says how it came out, and what one more tab would buy.
func (b *bySupport) tell(o *outcome, planned *proven) {
	f := pipeline.Finding{Rule: tabsBySupport, Severity: pipeline.Note, Feature: pipeline.WholePanel}
	var say []string
	tabs := len(o.chosen)
	switch {
	case o.tooFew:
		say = append(say, "tabs alone do not keep the panel within its limits: "+b.figures(o.all)+fmt.Sprintf(", with %d tabs, the most that were tried", o.tried),
			fmt.Sprintf("Those stand that spans ask for, %d, with which it is %s", tabs, b.short(o.verdict)))
	default:
		asked := fmt.Sprintf("spans ask for %d", len(planned.chosen))
		if len(b.beyond) == 0 && !b.keeps(planned.verdict) {
			asked += ", which do not keep its limits"
		}
		hold := fmt.Sprintf("%d tabs hold the panel", tabs)
		if tabs == 0 {
			hold = "score lines alone hold the panel, no tabs are needed"
		}
		say = append(say, fmt.Sprintf("%s (%s): %s", hold, asked, b.figures(o.verdict)))
		switch {
		case tabs == 0:
		case o.fewest:
			say = append(say, "Fewer would not hold every board from two sides")
		case o.coarser:
			say = append(say, "The panel is so large that only tabs at even spans were tried, for several lengths of those")
		case len(b.beyond) > 0:
			say = append(say, "None of them can be spared")
		default:
			say = append(say, "Without any one of them a limit would be broken, or a board not be held from two sides")
		}
	}
	for _, x := range b.beyond {
		say = append(say, fmt.Sprintf("No tabs keep the limit of %s: %d, the most that were tried, come to %s%s; so it was to be no worse than with those that spans ask for, %s%s",
			x.what, o.tried, mechanics.Figure(x.most), x.unit, mechanics.Figure(x.spans), x.unit))
	}
	if !b.webs && o.verdict.Webs > 0 {
		say = append(say, fmt.Sprintf("Whatever tabs there are, the webs of its score lines are %s times as strong as they are strained", mechanics.Figure(o.verdict.Webs)))
	}
	switch {
	case o.tooFew:
	case o.more == nil:
		say = append(say, "One more tab would buy next to nothing")
	case o.moreAt == nil:
		say = append(say, fmt.Sprintf("%d, the next that were tried, would make that %s", len(o.more.chosen), b.short(o.more.verdict)))
	default:
		f.At, f.Copies = &o.moreAt.foot, []string{b.copies[o.moreAt.copy].ID}
		text := "One more tab, " + b.place(o.moreAt) + ", would "
		if o.weakest == nil {
			text += "make that " + b.short(o.more.verdict)
		} else {
			text += fmt.Sprintf("take the weakest, %s, from %s to %s times; the panel as a whole would be at %s, for others are strained as much", b.place(o.weakest),
				mechanics.Figure(o.before), mechanics.Figure(o.after), b.short(o.more.verdict))
		}
		say = append(say, text)
	}
	f.Message = strings.Join(say, ". ")
	b.env.Report(f)
	b.env.Log.Info().Int("tabs", tabs).Int("planned", len(planned.chosen)).Int("most_tried", o.tried).Bool("proved_fewest", o.fewest).
		Str("sag_percent", mechanics.Figure(o.verdict.Sag)).Str("reserve", mechanics.Figure(o.verdict.Reserve)).Str("hertz", mechanics.Figure(o.verdict.Hertz)).
		Msg("tabs placed by support")
}

// place says where a tab stands.
func (b *bySupport) place(k *candidate) string {
	at := func(l geom.Length) float64 { return math.Round(l.MM()*100) / 100 }
	return fmt.Sprintf("on %s's %s edge at (%v, %v) mm", b.copies[k.copy].ID, sideOf(k.out), at(k.foot.X), at(k.foot.Y))
}

// figures says how a panel does, and what is asked for.
func (b *bySupport) figures(v mechanics.Verdict) string {
	s := b.in.Support()
	most, least, slowest := "", "", ""
	if !math.IsInf(b.asked.MostSag, 0) {
		most = fmt.Sprintf(" (at most %v %%)", b.asked.MostSag)
	}
	if b.asked.LeastReserve > 0 {
		least = fmt.Sprintf(" (at least %v)", b.asked.LeastReserve)
	}
	if b.asked.LeastFrequency > 0 {
		slowest = fmt.Sprintf(" (at least %v)", b.asked.LeastFrequency)
	}
	pressed := ""
	if s.Force.Value > 0 {
		pressed = ", whichever copy is pressed on"
		if s.Pressed != "" {
			pressed = ", " + s.Pressed + " pressed on"
		}
	}
	var strong []string
	times := func(what string, v float64) {
		if v > 0 && v < hardly {
			strong = append(strong, fmt.Sprintf("its %s are %s times as strong as they are strained", what, mechanics.Figure(v)))
		} else if v > 0 {
			strong = append(strong, "its "+what+" are hardly strained")
		}
	}
	if v.Worst != "" { // there are tabs
		times("tabs", v.Reserve)
	}
	times("webs of score lines", v.Webs)
	return fmt.Sprintf("%s it sags %s %% of the span between its supports%s, %s%s%s, and it swings %s times a second at its slowest%s",
		mechanics.CarriedBy(*s), mechanics.Figure(v.Sag), most, strings.Join(strong, ", "), pressed, least, mechanics.Figure(v.Hertz), slowest)
}

// hardly is the reserve of what is hardly strained.
const hardly = 1000

// short gives the figures alone.
func (b *bySupport) short(v mechanics.Verdict) string {
	reserve := v.Reserve
	if v.Webs > 0 {
		reserve = math.Min(reserve, v.Webs)
	}
	return fmt.Sprintf("%s %%, %s times and %s Hz", mechanics.Figure(v.Sag), mechanics.Figure(reserve), mechanics.Figure(v.Hertz))
}
