package rule

import (
	"panelwright/pipeline"
	"panelwright/pipeline/panel"
)

// howReckoned is how the rules about holding reckon.
const howReckoned = " It is reckoned by finite elements: the panel as a plate (discrete Kirchhoff triangles, yielding to shear) of all that is not routed away, with its copper, " +
	"score lines as strips that turn further by what their grooves leave, and rows of perforations as beams of what is left between the holes, carried as stage support says. " +
	"Parts weigh what the packages table states; those that it does not count nothing, so state the heavy ones. Copper stiffens as little as it can (the series bound of its share). " +
	"Rails and pins are taken to hold both ways: rule panel-carried tells where the panel would lift off them. " +
	"The constants stand with their units and sources beside every finding and in the report; those of a datasheet go into the laminate block of stage support."

// estimated is what holds of everything about breaking.
const estimated = " It is an estimate: of strain at parts no published measurements over distance were found to hold it against. " +
	"The fabricator's and the assembler's own limits have the last word."

// mechanicsRules are about whether a panel holds, and how it breaks.
func mechanicsRules() []pipeline.Rule {
	family := pipeline.StrengthFamily
	all := []pipeline.Rule{
		{
			Name: "panel-carried", Family: family, Summary: "The panel is one piece that lies on its supports, so that it can be reckoned whether it holds.",
			Severity: pipeline.Error, Missing: needsSupport, Judge: panelCarried,
			Help: "A piece that hangs on to nothing falls, and a panel that its supports leave free to tip does too: then no rule about sag or strength can be judged. " +
				"Looked at are the pieces of all that is not routed away, what joins them, and the rails or pins of stage support. Add tabs, or say the support as it is. " +
				"What is odd and reckoned all the same is told with less weight: pins under no material, carried edges without a rail where others have one, and supports that would have to hold the panel down, " +
				"which rails and pins do not: it lifts off there, and sags further than is told.",
		},
		{
			Name: "panel-sag", Family: family, Summary: "Carried as stage support says, the panel does not sag too far: cold, in the oven, and pressed on.",
			Bound: pipeline.AtMost, Unit: "%", Default: limit(0.75),
			Source:   "bow and twist of 0.75 % for surface mounting (IPC-A-610F, 10.2.7), which is of boards after soldering, taken for sag over the span between supports",
			Severity: pipeline.Error, LogWorst: true, Missing: needsAnswers, Judge: ofAnswers(panelSag), Fields: sagFields,
			Help: "A panel that sags is printed and placed unevenly, and in the oven the sag stays in it. Measured is the furthest sag over the span between the supports, by its own weight with parts: cold, " +
				"in the oven where the laminate is softer, and cold while the force of stage support presses on one copy, that which bears it worst (a warning at most: it passes). A strip sags by the fourth power of its span: rails along the longer sides " +
				"(carrying the short span), thicker laminate, more tabs, or a carrier help." + howReckoned,
		},
		{
			Name: "tab-strength", Family: family, Summary: "What tabs and the webs of score lines are strained with leaves a reserve: cold, in the oven, and pressed on.",
			Bound: pipeline.AtLeast, Default: limit(2), Source: "from memory, no published source: twice as strong as strained",
			Severity: pipeline.Error, LogWorst: true, Missing: needsAnswers, Judge: ofAnswers(tabStrength),
			Help: "Tabs carry the boards through printer, placer and oven; a tab that breaks there drops its board. For each row of a tab the stress is the moment over the section modulus of the ligaments that are left " +
				"times the notch factor, in the ligament that bears most; what shears and twists the ligaments themselves is left out. At a score line it is the moment over the section modulus of its web, times that factor too. The reserve is the laminate's least flexural strength, in the oven its share of it, over that stress. " +
				"Of each board the worst is told, with the next ones; a waiver names all copies that the finding holds for. Add tabs, space their holes further, or leave a thicker web." + howReckoned,
		},
		{
			Name: "tab-left-out", Family: family, Summary: "With any one tab missing the others still hold.",
			Bound: pipeline.AtLeast, Default: limit(1), Source: "from memory, no published source: a tab that the rout cut or a hand broke must not bring the others down",
			Severity: pipeline.Warning, Missing: needsAnswers, Judge: ofAnswers(tabLeftOut),
			Help: "A tab is lost sooner than one thinks: by a worn cutter, by a knock in the box. Each tab is taken out alone, and the least reserve of the others is measured, cold; a piece that comes loose or turns freely counts as 0. " +
				"The finding says how far the panel sags then, and which tab bears most. Add a tab near the one that is named." + howReckoned,
		},
		{
			Name: "transport-shock", Family: family, Summary: "The weakest tab or web bears a jolt of several times the panel's own weight.",
			Bound: pipeline.AtLeast, Default: limit(20), Source: "from memory, no published source: a panel put down hard",
			Severity: pipeline.Warning, Missing: needsAnswers, Judge: ofAnswers(transportShock),
			Help: "Tabs that are easy to break may break by themselves in the box. Measured is how many times its own weight the panel can bear, carried as stage support says, until the most strained tab or web of a score line breaks: " +
				"its reserve at rest, for the strain grows with the jolt. Real jolts bend a panel in other ways too, and this says nothing of packing. Fewer or thinner perforations hold more, and take more to break (break-force)." + howReckoned,
		},
		{
			Name: "panel-frequency", Family: family, Summary: "The panel does not swing in time with the machine that places its parts.",
			Bound: pipeline.AtLeast, Unit: "Hz", Default: limit(20),
			Source:   "from memory, no published source: twice the ten strokes a second of a quick placement head",
			Severity: pipeline.Warning, LogWorst: true, Missing: needsAnswers, Judge: ofAnswers(panelFrequency),
			Help: "A panel that swings moves parts off their places before they are soldered. Measured is the lowest natural frequency, cold, of the panel with its parts, carried as stage support says; damping is left out. " +
				"What stiffens against sag raises it." + howReckoned,
		},
		{
			Name: "break-force", Family: family, Summary: "Boards part by hand: no tab, board edge or score line takes more than hands can give.",
			Bound: pipeline.AtMost, Unit: "N", Default: limit(handForce), Source: "from memory, no published source: what two hands give with care; less where it is done all day",
			Severity: pipeline.Warning, Judge: ofBreaks(breakForce),
			Help: "What takes too much force is bent until it flies off, with hands and parts in the way. The moment that breaks a row of perforations or a score line is the flexural strength times the section modulus that is left, " +
				"from weak material to strong; the force is that moment over the lever, from the line to where a hand presses. Measured and judged is the upper end, of strong material; " +
				"what weak material keeps is a note, for with luck hands are enough. Of the tabs along one edge of a board that break together the sum is told. " +
				"Take more or wider holes, fewer tabs, a web as thin as the fabricator's tolerance allows, or part the panel in a jig or with a parting tool." + estimated,
		},
		{
			Name: "part-strain", Family: family, Summary: "Breaking does not strain the board too much beneath a part.",
			Bound: pipeline.AtMost, Unit: "microstrain", Default: limit(848), Source: "IPC/JEDEC-9704, from memory: of 1.6 mm thickness, at 10^4 microstrain a second as when broken by hand; by thickness t the root of 2.35 mm / t times (1900 - 300 log of the rate)",
			DefaultFor: strainLimit, Severity: pipeline.Warning, Judge: ofBreaks(partStrain),
			Help: "Joints and ceramic bodies crack when the board beneath them is bent too quickly and too far. For every part near a break the strain of the board's surface is reckoned at the moment at which the tab or score line breaks, " +
				"from weak material to strong; it falls off with the distance. Measured and judged is the upper end, of strong material; a board that weak material strains nowhere too much is a note. " +
				"Each board is told once, with its worst parts; a waiver names all copies that the finding holds for. What is known from measurement: perforated tabs that were parted with a punch strained their boards by well under 500 microstrain " +
				"(an account in the TechNet forum, July 2013), less than most of what is reckoned here of hands; nothing measured was found of those. So the estimate tells which part is worst and what eases it " +
				"sooner than how much it is: a strain gauge on a first panel does. Move the part or the tab, take weaker perforations, or a tool that does not bend." + estimated,
		},
	}
	for i := range all {
		all[i] = asStated(all[i])
	}
	return all
}

// statedLimits are the limits that stage support may set, by rule: they hold where the rules stage sets none.
var statedLimits = map[string]struct {
	option string
	of     func(*panel.Support) *float64
}{
	"panel-sag":       {"most_sag", func(s *panel.Support) *float64 { return s.MostSag }},
	"tab-strength":    {"least_reserve", func(s *panel.Support) *float64 { return s.LeastReserve }},
	"panel-frequency": {"least_frequency", func(s *panel.Support) *float64 { return s.LeastFrequency }},
}

// asStated gives a rule that takes its limit from stage support, where that sets one.
func asStated(r pipeline.Rule) pipeline.Rule {
	x, ok := statedLimits[r.Name]
	if !ok {
		return r
	}
	own, source := r.Default, r.Source
	r.DefaultFor = func(p panel.Panel) (*float64, string) {
		if s := p.Support(); s != nil {
			if v := x.of(s); v != nil {
				return v, "stage support, " + x.option
			}
		}
		return own, source
	}
	return r
}
