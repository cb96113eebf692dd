package badboardmarks

import (
	"context"
	"errors"
	"fmt"
	"math"
	"slices"
	"strings"

	"panelwright/pipeline/geom"
	"panelwright/pipeline/panel"
)

// onBoards gives every copy its mark at its board's place, once that is known to be free.
func (s *BadBoardMarks) onBoards(ctx context.Context, in panel.Panel) ([]spot, error) {
	var known []string
	for _, b := range in.Boards() {
		known = append(known, b.Name)
	}
	for _, p := range s.Places {
		if !slices.Contains(known, p.Board) {
			return nil, fmt.Errorf("place names a board %q, and there is none; there are: %s", p.Board, strings.Join(known, ", "))
		}
	}
	at := map[*panel.Board]geom.Point{}
	var out []spot
	var errs []error
	for _, c := range in.Copies() {
		p, seen := at[c.Board]
		if !seen {
			var err error
			if p, err = s.placeOn(c.Board); err == nil {
				err = s.free(ctx, c.Board, p)
			}
			if err != nil {
				errs = append(errs, err)
			}
			at[c.Board] = p
		}
		out = append(out, spot{copy: c.ID, at: c.Place.Apply(p)})
	}
	return out, errors.Join(errs...)
}

// placeOn gives the place on a board.
func (s *BadBoardMarks) placeOn(b *panel.Board) (geom.Point, error) {
	for _, p := range s.Places {
		if p.Board == b.Name {
			return geom.Pt(p.At[0], p.At[1]), nil
		}
	}
	if len(s.At) == 0 {
		return geom.Point{}, fmt.Errorf("nobody says where the mark of board %s is: add place %q { at = [x, y] }, or at for all boards", b.Name, b.Name)
	}
	return geom.Pt(s.At[0], s.At[1]), nil
}

// free refuses a place that is not free of all that belongs to the board.
func (s *BadBoardMarks) free(ctx context.Context, b *panel.Board, at geom.Point) error {
	radius := float64(s.reach()) / 2
	var why []string
	found := func(what string, d float64) {
		if d -= radius; d < float64(s.Clearance)-0.5 {
			text := what + " lies " + geom.Round(d).String() + " away"
			if d <= 0 {
				text = what + " is under it"
			}
			if !slices.Contains(why, text) {
				why = append(why, text)
			}
		}
	}
	if b.Outline.Locate(at) != geom.Inside {
		return fmt.Errorf("%v mm is not on board %s, which reaches from %v to %v mm: say another place", at, b.Name, b.Outline.Box().Min, b.Outline.Box().Max)
	}
	found("the board's edge", b.Outline.Distance(at))
	window := geom.BoxOf(at).Grow(s.reach()/2 + s.Clearance + geom.UM)
	for _, l := range b.Layers {
		if !s.shows(l.Function) {
			continue
		}
		var near []int
		for i, o := range l.Image.Objects {
			if l.Image.Box(o).Overlaps(window) {
				near = append(near, i)
			}
		}
		r, err := l.Image.RegionIn(ctx, window, near)
		if err != nil {
			return fmt.Errorf("layer %s of board %s: %w", l.Function.Key(), b.Name, err)
		}
		if d, _, _ := geom.Distance(r, at); !math.IsInf(d, 1) {
			found(words(l.Function), d)
		}
	}
	for _, f := range b.Drills {
		for _, h := range f.Drilling.Holes {
			found("a hole", h.At.Distance(at)-float64(f.Drilling.Tools[h.Tool].Diameter)/2)
		}
		for _, r := range f.Drilling.Routs {
			d, _, _ := geom.Distance(r.Path, at)
			found("a slot", d-float64(f.Drilling.Tools[r.Tool].Diameter)/2)
		}
	}
	if !b.PartsElsewhere {
		for _, p := range b.Parts {
			if !slices.Contains(s.Sides, string(p.Side)) {
				continue
			}
			body, ok := p.BodyOutline()
			if !ok {
				found("part "+p.Refdes, p.At.Distance(at))
				continue
			}
			d, _, _ := geom.Distance(geom.Outline{Outer: body}, at)
			found("part "+p.Refdes, d)
		}
	}
	if len(why) == 0 {
		return nil
	}
	return fmt.Errorf("there is no room for a mark of %v at %v mm on board %s, kept %v clear: %s: say another place, or make the mark smaller",
		s.reach(), at, b.Name, s.Clearance, strings.Join(why, "; "))
}

// shows tells whether a layer is to be free below and round a mark: copper, openings, paste and legend of the sides
// that get marks.
func (s *BadBoardMarks) shows(f panel.Function) bool {
	return f.Kind != panel.Profile && slices.Contains(s.Sides, string(f.Side))
}

// words names what a layer draws.
func words(f panel.Function) string {
	what := map[panel.FunctionKind]string{panel.Copper: "copper", panel.Soldermask: "an opening in the soldermask", panel.Legend: "legend", panel.Paste: "paste"}[f.Kind]
	if what == "" {
		what = string(f.Kind)
	}
	return fmt.Sprintf("%s (layer %s)", what, f.Key())
}
