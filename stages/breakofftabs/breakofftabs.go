// Package breakofftabs routs slots between the boards of a panel and leaves perforated tabs in them.
//
// It serves convex outlines with a straight edge on each side of their bounding box (rectangles, also
// with rounded or bevelled corners that the slot's cutter clears); it refuses others and says why. The
// slots are strokes of a cutter as wide as the slot, and govern what is cut.
package breakofftabs

import (
	"context"
	"errors"
	"fmt"
	"math"
	"slices"

	"panelwright/pipeline"
	"panelwright/pipeline/geom"
	"panelwright/pipeline/panel"
)

// Kind is stage "breakoff_tabs".
func Kind() pipeline.Kind {
	return pipeline.Kind{
		Name:    "breakoff_tabs",
		Summary: "Routs slots round the boards and leaves perforated tabs in them, on straight edges.",
		Role:    pipeline.Shape,
		New: func() pipeline.Stage {
			return &BreakoffTabs{
				// Hole, spacing and count: common practice, no published source.
				HoleDiameter: 500 * geom.UM, BetweenHoles: 300 * geom.UM, HolesPerTab: 5,
				// From memory, no published source: 3 to 5 mm are usual.
				FromCorner: 5 * geom.MM,
				// A fabricator's guide (jlcpcb.com, panelization guide): one tab per 50 to 60 mm.
				LongestFreeSpan: 50 * geom.MM,
				Placing:         "even", Perforate: "each_board",
				Between: []string{"rows", "columns", "rails"},
			}
		},
	}
}

// BreakoffTabs is the options of stage "breakoff_tabs".
type BreakoffTabs struct {
	SlotWidth       *geom.Length `option:"slot_width" range:"0.5..20" help:"width of the routed slot; must be the gap, and is taken from it unless given"`
	TabWidth        *geom.Length `option:"tab_width" range:"0.5..50" help:"at the tab's waist, half-way across the slot; without it, as wide as the row of holes needs"`
	FromCorner      geom.Length  `option:"from_corner" range:"0..100" help:"least distance from the end of a straight edge to a tab's foot"`
	LongestFreeSpan geom.Length  `option:"longest_free_span" range:"5..500" help:"an edge gets one tab for each such length or part of it"`
	Placing         string       `option:"placing" choice:"even" help:"even: the fewest tabs of equal spacing that keep to longest_free_span"`
	HoleDiameter    geom.Length  `option:"hole_diameter" range:"0.2..2" help:"of a perforation, finished, non-plated"`
	BetweenHoles    geom.Length  `option:"between_holes" range:"0.1..5" help:"from hole edge to hole edge"`
	HolesPerTab     int          `option:"holes_per_tab" range:"3..6" help:"holes in a row"`
	Inset           geom.Length  `option:"inset" range:"-1..1" help:"how far the row lies towards the board; 0: the holes touch the board's edge from outside"`
	Perforate       string       `option:"perforate" choice:"each_board|one_side|none" help:"each_board: a row of holes along each board's edge; one_side: between two boards, along the lower or left one's edge only; none"`
	Between         []string     `option:"between" choice:"rows|columns|rails" help:"the pairs of neighbours that slots and tabs go between"`
	Pinned          []Pin        `block:"pinned" help:"a tab at a fixed place, instead of the even ones of that edge"`
}

// Pin is a tab at a fixed place.
type Pin struct {
	Copy     string      `option:"copy" help:"which copy; edge is as seen on the panel"`
	Board    string      `option:"board" help:"every copy of this board; edge is as in the board's own files"`
	Edge     string      `option:"edge" required:"true" choice:"upper|lower|left|right" help:"which edge of the board"`
	Position geom.Length `option:"position" required:"true" range:"0..1000" help:"middle of the tab from the edge's left or lower end (of the bounding box)"`
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
	for _, p := range s.Pinned {
		if (p.Copy == "") == (p.Board == "") {
			bad("pinned", "needs either copy or board")
		}
	}
	return errors.Join(errs...)
}

// Parts tells that tabs need copies.
func (s *BreakoffTabs) Parts() pipeline.Parts {
	return pipeline.Parts{Needs: []string{"copies"}, Gives: []string{"tabs"}}
}

// rowLength is the length of a row of holes, from outer rim to outer rim.
func (s *BreakoffTabs) rowLength() geom.Length {
	n := geom.Length(s.HolesPerTab)
	return n*s.HoleDiameter + (n-1)*s.BetweenHoles
}

// waist is the width of a tab half-way across a slot of the given width. Where the recipe does not
// say, the material between the last hole and the slot's round end is as wide as that between two
// holes, so that the break runs on from the row into the slot.
func (s *BreakoffTabs) waist(slot geom.Length) geom.Length {
	if s.TabWidth != nil {
		return *s.TabWidth
	}
	r, d, g := float64(slot)/2, float64(s.HoleDiameter), float64(s.BetweenHoles)
	last := float64(s.rowLength()-s.HoleDiameter) / 2 // middle of the last hole from the middle of the tab
	rise := r - d/2 + float64(s.Inset)                // of the row from the slot's middle line
	reach := r + d/2 + g
	along := math.Sqrt(max(0, float64(reach*reach)-float64(rise*rise)))
	half := max(last-r+along, float64(s.rowLength())/2)
	return geom.Length(math.Ceil(half*2/1000)) * geom.UM
}

// Run routs slots and leaves tabs.
func (s *BreakoffTabs) Run(ctx context.Context, env *pipeline.Env, in panel.Panel) (pipeline.Result, error) {
	if err := s.refuseOrder(in); err != nil {
		return pipeline.Result{}, err
	}
	shapes := map[string]shape{}
	for _, c := range in.Copies() {
		sh, err := serve(c)
		if err != nil {
			return pipeline.Result{}, fmt.Errorf("%s (board %s) cannot get tabs yet: %w", c.ID, c.Board.Name, err)
		}
		shapes[c.ID] = sh
	}
	pairs, err := s.pairs(in, shapes)
	if err != nil {
		return pipeline.Result{}, err
	}
	tabs, err := s.placeTabs(in, pairs)
	if err != nil {
		return pipeline.Result{}, err
	}
	strokes, err := s.strokes(in, shapes, pairs, tabs)
	if err != nil {
		return pipeline.Result{}, err
	}
	slots, err := openings(ctx, in, strokes)
	if err != nil {
		return pipeline.Result{}, err
	}
	b := in.Edit()
	for _, x := range slots {
		b.AddSlot(x)
	}
	holes := 0
	for _, t := range tabs {
		b.AddTab(t.Tab)
		for _, h := range s.perforate(t) {
			b.AddPerforation(h)
			holes++
		}
	}
	out, err := b.Build()
	if err != nil {
		return pipeline.Result{}, err
	}
	env.Log.Info().Int("slots", len(slots)).Int("tabs", len(tabs)).Int("perforations", holes).Msg("slots routed, tabs left")
	return pipeline.Result{Panel: out}, nil
}

// refuseOrder refuses what would only show as an odd message later.
func (s *BreakoffTabs) refuseOrder(in panel.Panel) error {
	if len(in.Slots()) > 0 {
		return errors.New("there are slots already: one stage breakoff_tabs serves all pairs that between names")
	}
	copies := in.Copies()
	var ids []string
	for i, c := range copies {
		ids = append(ids, c.ID)
		for _, d := range copies[i+1:] {
			a, b := c.Box(), d.Box()
			if a.Min.X < b.Max.X && b.Min.X < a.Max.X && a.Min.Y < b.Max.Y && b.Min.Y < a.Max.Y {
				return fmt.Errorf("the bounding boxes of %s and %s overlap: no straight slot fits between them; place the copies further apart", c.ID, d.ID)
			}
		}
	}
	for _, p := range s.Pinned {
		if p.Copy != "" && !slices.Contains(ids, p.Copy) {
			return fmt.Errorf("the pinned tab names copy %q, which there is not%s", p.Copy, nearest(p.Copy, ids))
		}
		if p.Board != "" && in.Board(p.Board) == nil {
			return fmt.Errorf("the pinned tab names board %q, which there is not", p.Board)
		}
	}
	return nil
}

func nearest(word string, among []string) string {
	if n := pipeline.Nearest(word, among); n != "" {
		return "; nearest: " + n
	}
	return ""
}
