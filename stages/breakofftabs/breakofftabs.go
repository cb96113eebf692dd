// Package breakofftabs routs slots round the boards of a panel and leaves perforated tabs in them, on
// any outline.
//
// The way there: partition parts the panel into boards, the frame that stays, and what is routed away;
// each board's edge is looked along for where a tab may stand at all (edge, facing, barred); package
// holding chooses the fewest that hold every board; rout gives the slots as the cutters leave them;
// perforate lays rows of holes along the boards' true edges.
package breakofftabs

import (
	"context"
	"errors"
	"fmt"
	"math"
	"slices"

	"panelwright/pipeline"
	"panelwright/pipeline/geom"
	"panelwright/pipeline/geom/overlay"
	"panelwright/pipeline/panel"
)

// Kind is stage "breakoff_tabs".
func Kind() pipeline.Kind {
	return pipeline.Kind{
		Name:     "breakoff_tabs",
		Summary:  "Routs slots round the boards and leaves perforated tabs in them.",
		Role:     pipeline.Shape,
		Contract: pipeline.Contract,
		New: func() pipeline.Stage {
			return &BreakoffTabs{
				// From memory, no published source: waste thinner than this breaks off in the rout.
				KeepWaste: 5 * geom.MM,
				// Hole, spacing and count: common practice, no published source.
				HoleDiameter: 500 * geom.UM, BetweenHoles: 300 * geom.UM, HolesPerTab: 5,
				// From memory, no published source: 3 to 5 mm are usual.
				FromCorner: 5 * geom.MM,
				// A fabricator's guide (jlcpcb.com, panelization guide): one tab per 50 to 60 mm. A corner
				// overhangs by half of that.
				LongestFreeSpan: 60 * geom.MM, LongestOverhang: 30 * geom.MM,
				Placing: "planned", Perforate: "each_board",
				Between: []string{"rows", "columns", "rails"},
				// As to a routed edge (wedirekt.co.uk; eurocircuits.de, customer-panel guidelines: outer and inner layers).
				CopperClearance: 250 * geom.UM, InnerCopperClearance: 400 * geom.UM,
				// Position: a fabricator's table (pcbbaltic.lt, tolerances). Diameter: 3 mil, common practice, no
				// published source.
				PositionTolerance: 50 * geom.UM, DiameterTolerance: 76 * geom.UM,
				// From memory, no published source: ceramic capacitors 5 to 6.4 mm from a break.
				FromFragile: 5 * geom.MM, FromOverhanging: 5 * geom.MM,
			}
		},
	}
}

// BreakoffTabs is the options of stage "breakoff_tabs".
type BreakoffTabs struct {
	SlotWidth            *geom.Length  `option:"slot_width" range:"0.5..20" help:"width of the routed band round each board; without it 2 mm, or the narrowest gap where that is less"`
	Cutters              []geom.Length `option:"cutters" range:"0.3..20" help:"cutter diameters; the thinnest settles slot ends and inner corners; without it one as wide as the slot"`
	KeepWaste            geom.Length   `option:"keep_waste" range:"0..500" help:"waste that hangs on to a rail stays where it is at least this wide; the rest is routed away"`
	TabWidth             *geom.Length  `option:"tab_width" range:"0.5..50" help:"at the tab's waist, half-way across the slot; without it, as wide as the row of holes needs"`
	FromCorner           geom.Length   `option:"from_corner" range:"0..100" help:"least distance from a corner to a tab's foot"`
	LongestFreeSpan      geom.Length   `option:"longest_free_span" range:"5..500" help:"longest edge between two tabs, round corners too, by a string drawn tight round the board"`
	LongestOverhang      geom.Length   `option:"longest_overhang" range:"2..500" help:"longest edge from a tab to the next corner"`
	Placing              string        `option:"placing" choice:"planned|even|by_support" help:"planned: the fewest tabs that hold the boards; even: on each side one for each longest_free_span or part of it; by_support: as few as the panel holds with, carried as stage support says, within the limits that it states (most_sag, least_reserve, least_frequency), else those that the rules have of themselves; what stage rules sets comes too late to be seen"`
	HoleDiameter         geom.Length   `option:"hole_diameter" range:"0.2..2" help:"of a perforation, finished, non-plated"`
	BetweenHoles         geom.Length   `option:"between_holes" range:"0.1..5" help:"from hole edge to hole edge"`
	HolesPerTab          int           `option:"holes_per_tab" range:"3..6" help:"holes in a row"`
	Inset                geom.Length   `option:"inset" range:"-1..1" help:"how far the row lies towards the board; 0: the holes touch the board's edge from outside"`
	Perforate            string        `option:"perforate" choice:"each_board|one_side|none" help:"each_board: a row of holes along each board's edge; one_side: between two boards along the first one's edge only, from the other the tab is cut off by hand; none: all are"`
	Between              []string      `option:"between" choice:"rows|columns|rails|upper_and_lower_rails|left_and_right_rails" help:"the pairs of neighbours that slots and tabs go between"`
	CopperClearance      geom.Length   `option:"copper_clearance" range:"0..10" help:"no tab where copper comes nearer than this to its holes at worst tolerance"`
	InnerCopperClearance geom.Length   `option:"inner_copper_clearance" range:"0..10" help:"the same on inner layers"`
	PositionTolerance    geom.Length   `option:"position_tolerance" range:"0..0.5" help:"of a hole, either way"`
	DiameterTolerance    geom.Length   `option:"diameter_tolerance" range:"0..0.5" help:"of a hole, either way"`
	Fragile              []string      `option:"fragile" help:"parts that must not be near a break, by reference designator; * stands for any letters"`
	FromFragile          geom.Length   `option:"from_fragile" range:"0..100" help:"from such a part's place to a tab"`
	Overhanging          []string      `option:"overhanging" help:"parts that reach over the board's edge, by reference designator; * stands for any letters"`
	FromOverhanging      geom.Length   `option:"from_overhanging" range:"0..100" help:"from such a part's place to a tab"`
	Pinned               []Pin         `block:"pinned" help:"a tab at a fixed place, whatever speaks against it"`
	Forbidden            []Forbidden   `block:"forbidden" help:"a stretch of an edge without tabs"`
}

// Check refuses what cannot be drilled or left.
func (s *BreakoffTabs) Check() error {
	var errs []error
	bad := func(o, why string) { errs = append(errs, &pipeline.BadOption{Option: o, Reason: why}) }
	if s.Inset > s.HoleDiameter {
		bad("inset", "must not be more than hole_diameter: the row would lie wholly in the board")
	}
	if s.TabWidth != nil && s.Perforate != "none" && *s.TabWidth < s.rowLength() {
		bad("tab_width", fmt.Sprintf("must be at least %v, the length of a row of %d holes", s.rowLength(), s.HolesPerTab))
	}
	if s.SlotWidth != nil {
		for _, c := range s.Cutters {
			if c > *s.SlotWidth {
				bad("cutters", fmt.Sprintf("%v does not fit a slot %v wide", c, *s.SlotWidth))
			}
		}
	}
	if len(s.Between) == 0 {
		bad("between", "is empty: nothing would be routed; name rows, columns or rails")
	}
	for _, p := range s.Pinned {
		if (p.Copy == "") == (p.Board == "") {
			bad("pinned", "needs either copy or board")
		}
	}
	for _, f := range s.Forbidden {
		if (f.Copy == "") == (f.Board == "") {
			bad("forbidden", "needs either copy or board")
		}
		if f.To <= f.From {
			bad("forbidden", fmt.Sprintf("ends at %v, not after its beginning at %v", f.To, f.From))
		}
	}
	return errors.Join(errs...)
}

// Parts tells that tabs need copies.
func (s *BreakoffTabs) Parts() pipeline.Parts {
	p := pipeline.Parts{Needs: []string{"copies"}, Gives: []string{"tabs"}}
	if s.Placing == "by_support" {
		p.Needs = append(p.Needs, "support")
	}
	return p
}

// rowLength is the length of a row of holes, from outer rim to outer rim.
func (s *BreakoffTabs) rowLength() geom.Length {
	n := geom.Length(s.HolesPerTab)
	return n*s.HoleDiameter + (n-1)*s.BetweenHoles
}

// waist is the width of a tab between the ends of slots of the given width whose corners are as round
// as the cutter. Where the recipe does not say, the material between the last hole and the slot's
// round end is as wide as that between two holes, so that the break runs on from the row into the slot.
func (s *BreakoffTabs) waist(slot, corner geom.Length) geom.Length {
	if s.TabWidth != nil {
		return *s.TabWidth
	}
	if s.Perforate == "none" { // an assembler's guideline (pcbcart.com, panel requirements)
		return geom.MM
	}
	r, d, g := float64(corner), float64(s.HoleDiameter), float64(s.BetweenHoles)
	last := float64(s.rowLength()-s.HoleDiameter) / 2 // middle of the last hole from the middle of the tab
	rise := max(r-d/2+float64(s.Inset), 0)            // of the round corner's middle over the row
	reach := r + d/2 + g
	along := math.Sqrt(max(0, float64(reach*reach)-float64(rise*rise)))
	half := max(last-r+along, float64(s.rowLength())/2)
	return geom.Length(math.Ceil(half*2/1000)) * geom.UM
}

// usualSlot is a slot's width where nothing else asks for another: fabricators' minimum and standard
// (eurocircuits.de, customer-panel guidelines).
const usualSlot = 2 * geom.MM

// settle gives the slots' width and the cutters, the largest first.
func (s *BreakoffTabs) settle(in panel.Panel) (width geom.Length, cutters []geom.Length) {
	width = usualSlot
	if s.SlotWidth != nil {
		width = *s.SlotWidth
	} else if gap, ok := s.narrowest(in); ok && gap < width {
		width = gap
	}
	cutters = slices.Clone(s.Cutters)
	if len(cutters) == 0 {
		cutters = []geom.Length{width}
	}
	slices.SortFunc(cutters, func(a, b geom.Length) int { return int(b - a) })
	return width, slices.Compact(cutters)
}

// pair is two copies, or a copy and a rail, that face each other.
type pair struct {
	gap    geom.Box // between them
	above  bool     // one lies above the other
	served bool     // the recipe asks for slots and tabs between them
}

// pairs calls f for every pair.
func (s *BreakoffTabs) pairs(in panel.Panel, f func(pair)) {
	served := func(what string) bool { return slices.Contains(s.Between, what) }
	var boxes []geom.Box
	for _, c := range in.Copies() {
		boxes = append(boxes, c.Box())
	}
	n := len(boxes)
	for _, r := range in.Rails() {
		boxes = append(boxes, r.Box)
	}
	for i, a := range boxes {
		for _, b := range boxes[:min(i, n)] { // never two rails
			gap, above := between(a, b)
			if gap.Empty() {
				continue
			}
			x := pair{gap: gap, above: above}
			switch {
			case i >= n:
				x.served = served("rails") || above && served("upper_and_lower_rails") || !above && served("left_and_right_rails")
			case above:
				x.served = served("rows")
			default:
				x.served = served("columns")
			}
			if gap.Width() > 0 && gap.Height() > 0 && slices.ContainsFunc(boxes, func(c geom.Box) bool { return c != a && c != b && overlapInside(c, gap) }) {
				continue // something lies between them
			}
			f(x)
		}
	}
}

// narrowest gives the narrowest gap that slots go between.
func (s *BreakoffTabs) narrowest(in panel.Panel) (geom.Length, bool) {
	best, found := geom.Length(0), false
	s.pairs(in, func(x pair) {
		w := x.gap.Width()
		if x.above {
			w = x.gap.Height()
		}
		if x.served && w > 0 && (!found || w < best) {
			best, found = w, true
		}
	})
	return best, found
}

// Run routs slots and leaves tabs.
func (s *BreakoffTabs) Run(ctx context.Context, env *pipeline.Env, in panel.Panel) (pipeline.Result, error) {
	if slices.ContainsFunc(in.Slots(), func(x panel.Slot) bool { return !isRelief(x) }) {
		return pipeline.Result{}, errors.New("there are slots already: one stage breakoff_tabs serves all pairs that between names")
	}
	if err := s.names(in); err != nil {
		return pipeline.Result{}, err
	}
	s.reportUnknownParts(env, in)
	st, cutters, err := s.survey(ctx, env, in)
	if err != nil {
		return pipeline.Result{}, err
	}
	chosen, err := st.choose(ctx, env, in)
	if err != nil {
		return pipeline.Result{}, err
	}
	var out laid
	if s.Placing == "by_support" {
		out, err = st.settleBySupport(ctx, env, in, chosen, cutters)
	} else {
		out, err = st.lay(ctx, env, in, chosen, cutters)
	}
	if err != nil {
		return pipeline.Result{}, err
	}
	out.log(env, st.width)
	return pipeline.Result{Panel: out.panel}, nil
}

// survey makes ready to place tabs: what is routed away, and what the boards' edges say.
func (s *BreakoffTabs) survey(ctx context.Context, env *pipeline.Env, in panel.Panel) (*standing, []geom.Length, error) {
	width, cutters := s.settle(in)
	thinnest := cutters[len(cutters)-1]
	st := &standing{BreakoffTabs: s, width: width, corner: min(thinnest, width) / 2}
	var err error
	if st.ground, err = s.partition(ctx, env, in, width); err != nil {
		return nil, nil, err
	}
	if err := st.edges(ctx, env, in); err != nil {
		return nil, nil, err
	}
	for _, x := range in.Scores() {
		st.leave = max(st.leave, x.Leave)
	}
	return st, cutters, st.gather(ctx, env, in)
}

// laid is a panel with its tabs.
type laid struct {
	panel                                 panel.Panel
	slots, tabs, holes, unreached, shared int
}

// log says what was laid.
func (l laid) log(env *pipeline.Env, width geom.Length) {
	if l.shared > 0 {
		env.Log.Warn().Int("tabs", l.shared).Msg("gap too small for two rows of holes: boards share one row midway")
	}
	env.Log.Info().Stringer("slot_width", width).Int("slots", l.slots).Int("tabs", l.tabs).Int("perforations", l.holes).
		Int("unreached", l.unreached).Msg("slots routed, tabs left")
}

// lay routs the slots and leaves the chosen tabs in them. What the boards stand on is afterwards as it was.
func (s *standing) lay(ctx context.Context, env *pipeline.Env, in panel.Panel, chosen []candidate, cutters []geom.Length) (laid, error) {
	was := *s.ground
	defer func() { *s.ground = was }()
	chosen, err := s.withoutIdle(ctx, env, chosen)
	if err != nil {
		return laid{}, err
	}
	thinnest := cutters[len(cutters)-1]
	tabs, chosen := s.tabsOf(in, chosen)
	cut, err := s.rout(ctx, env, chosen, thinnest)
	if err != nil {
		return laid{}, err
	}
	if over, err := s.overScores(ctx, env, in, cut.Missed, thinnest); err != nil {
		return laid{}, err
	} else if len(over) > 0 {
		o := overlay.Options{Workers: env.Workers}
		if s.ground.away, err = overlay.Union(ctx, o, overlay.Of(s.ground.away...), overlay.Of(over...)); err != nil {
			return laid{}, err
		}
		if cut, err = s.rout(ctx, env, chosen, thinnest); err != nil {
			return laid{}, err
		}
	}
	b := in.Edit().SetCutters(withReliefs(in.Cutters(), cutters))
	var flanks geom.Index[geom.Edge]
	for i, o := range cut.Slots {
		b.AddSlot(panel.Slot{ID: fmt.Sprintf("slot/%d", i+1), Outline: o})
		for _, e := range o.Edges() {
			flanks.Insert(e.Box(), e)
		}
	}
	missed, err := parted(ctx, overlay.Options{Workers: env.Workers}, cut.Missed, in.Scores())
	if err != nil {
		return laid{}, err
	}
	left, err := s.unreachedCutOuts(ctx, env, s.unreached(missed, chosen, thinnest), thinnest)
	if err != nil {
		return laid{}, err
	}
	for _, x := range left {
		b.AddUnreached(x)
	}
	out := laid{slots: len(cut.Slots), tabs: len(tabs), unreached: len(left)}
	if out.holes, out.shared, err = s.addTabs(ctx, b, tabs, chosen, &flanks); err != nil {
		return laid{}, err
	}
	out.panel, err = b.Build()
	return out, err
}

// addTabs adds the tabs with their rows and holes, and counts the holes and the rows that two boards share.
func (s *standing) addTabs(ctx context.Context, b *panel.Builder, tabs []panel.Tab, chosen []candidate, flanks *geom.Index[geom.Edge]) (total, shared int, err error) {
	type lineKey struct {
		board *panel.Board
		rise  geom.Length
	}
	lines := map[lineKey]*track{}
	for i, t := range tabs {
		if err := ctx.Err(); err != nil {
			return 0, 0, err
		}
		var slots []geom.Edge
		box := geom.BoxOf(t.Feet[0], t.Feet[1]).Grow(geom.Length(2*chosen[i].half) + s.width)
		flanks.Search(box, func(_ geom.Box, e geom.Edge) bool {
			slots = append(slots, e)
			return true
		})
		slices.SortFunc(slots, geom.Edge.Compare)
		var all []panel.Perforation
		for n, r := range s.rowsOf(chosen[i]) {
			c := s.copies[r.copy]
			line := c.row
			if !r.holes {
				line = c.track
			}
			if r.share >= 0 {
				shared++
				k := lineKey{c.Board, r.rise}
				if lines[k] == nil {
					var err error
					if lines[k], err = moved(ctx, c.Board.Outline.Outer, r.rise); err != nil {
						return 0, 0, err
					}
				}
				line = lines[k]
			}
			row, holes := s.perforate(t, n, r, line, slots)
			t.Rows = append(t.Rows, row)
			all = append(all, holes...)
		}
		b.AddTab(t)
		for _, h := range all {
			b.AddPerforation(h)
		}
		total += len(all)
	}
	return total, shared, nil
}

func nearest(word string, among []string) string {
	if n := pipeline.Nearest(word, among); n != "" {
		return "; nearest: " + n
	}
	return ""
}
