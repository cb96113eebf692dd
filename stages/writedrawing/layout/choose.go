package layout

import (
	"errors"
	"fmt"
	"strings"

	"panelwright/pipeline/drawing"
	"panelwright/pipeline/geom"
)

// Scales gives the scales of ISO 5455, the largest first, as far as panels need them.
func Scales() []drawing.Scale {
	return []drawing.Scale{{Paper: 20, Real: 1}, {Paper: 10, Real: 1}, {Paper: 5, Real: 1}, {Paper: 2, Real: 1}, {Paper: 1, Real: 1},
		{Paper: 1, Real: 2}, {Paper: 1, Real: 5}, {Paper: 1, Real: 10}, {Paper: 1, Real: 20}}
}

// ErrNoRoom tells that the plan has no room with the sheet and scale asked for, or with any.
type ErrNoRoom struct {
	What  string // the options that would have to change: "scale", "sheet"
	Words string
}

// Error says what there is room for, and what would do.
func (e *ErrNoRoom) Error() string { return e.Words }

// choice is a sheet and a scale, and where the plan stands.
type choice struct {
	size  Size
	scale drawing.Scale
	plan  drawn
	at    geom.Box
}

// chooser tries the plan at scales; each is drawn once.
type chooser struct {
	in    *Input
	plans map[drawing.Scale]drawn
}

type drawn struct {
	piece   drawing.Sheet
	missing int
	err     error
}

func (c *chooser) plan(s drawing.Scale) drawn {
	d, ok := c.plans[s]
	if !ok {
		d.piece, d.missing, d.err = c.in.Plan(s)
		c.plans[s] = d
	}
	return d
}

// on tries a size and a scale.
func (c *chooser) on(size Size, scale drawing.Scale) (choice, error) {
	empty := size.empty()
	if _, ok := empty.holding(geom.Pt(scale.On(c.in.Size.X), scale.On(c.in.Size.Y))); !ok {
		return choice{}, errNoRoom // the panel alone is too large
	}
	p := c.plan(scale)
	if p.err != nil {
		return choice{}, p.err
	}
	room, ok := empty.holding(span(p.piece))
	if !ok {
		return choice{}, errNoRoom
	}
	return choice{size, scale, p, room}, nil
}

var errNoRoom = errors.New("no room")

// best gives the first of the scales at which the plan has room on one of the sizes with least of it missing.
func (c *chooser) best(sizes []Size, scales []drawing.Scale) (choice, error) {
	err := errNoRoom
	var best *choice
	for _, scale := range scales {
		for _, size := range sizes {
			got, e := c.on(size, scale)
			switch {
			case e == nil && got.plan.missing == 0:
				return got, nil
			case e == nil && (best == nil || got.plan.missing < best.plan.missing):
				best = &got
			case e != nil && !errors.Is(e, errNoRoom):
				err = e
			}
		}
	}
	if best != nil {
		return *best, nil
	}
	return choice{}, err
}

// choose settles sheet and scale: the smallest sheet that shows the panel at full size or larger with nothing missing.
// Without such a one, the one on which least is missing, then the smallest of those again, or that of the largest scale.
func (in *Input) choose() (choice, error) {
	c := &chooser{in, map[drawing.Scale]drawn{}}
	scales := Scales()
	if in.Scale != (drawing.Scale{}) {
		scales = []drawing.Scale{in.Scale}
	}
	var best *choice
	var last error
	for _, sizes := range in.sizes() {
		got, err := c.best(sizes, scales)
		if err != nil {
			last = err
			continue
		}
		if got.plan.missing == 0 && (in.Scale != (drawing.Scale{}) || got.scale.Paper >= got.scale.Real) {
			return got, nil
		}
		if best == nil || got.plan.missing < best.plan.missing || got.plan.missing == best.plan.missing && best.scale.Paper < best.scale.Real && larger(got.scale, best.scale) {
			best = &got
		}
	}
	switch {
	case best != nil:
		return *best, nil
	case last != nil && !errors.Is(last, errNoRoom):
		return choice{}, fmt.Errorf("the plan cannot be drawn: %w", last)
	}
	return choice{}, c.advice()
}

// sizes gives the sizes to try, those of one name together, the smallest first.
func (in *Input) sizes() (out [][]Size) {
	for _, s := range Sizes() {
		switch {
		case in.Sheet != "" && s.Name != in.Sheet:
		case in.Sheet == "" && s.American() != (in.Style.Units == drawing.Inch):
		case len(out) > 0 && out[len(out)-1][0].Name == s.Name:
			out[len(out)-1] = append(out[len(out)-1], s)
		default:
			out = append(out, []Size{s})
		}
	}
	return out
}

func larger(a, b drawing.Scale) bool { return a.Paper*b.Real > b.Paper*a.Real }

// advice says why nothing fits, and what would.
func (c *chooser) advice() error {
	in := c.in
	where := "any sheet"
	if in.Sheet != "" {
		where = "a sheet of size " + in.Sheet
	}
	var would []string
	all := Input{Style: in.Style, Plan: in.Plan, Size: in.Size}
	if in.Sheet != "" && in.Scale != (drawing.Scale{}) {
		same := all
		same.Sheet = in.Sheet
		if got, err := c.best(flat(same.sizes()), Scales()); err == nil {
			would = append(would, "scale "+got.scale.String())
		}
	}
	if in.Sheet != "" {
		scales := Scales()
		if in.Scale != (drawing.Scale{}) {
			scales = []drawing.Scale{in.Scale}
		}
		all.Style.Units = series(in.Sheet)
		for _, sizes := range all.sizes() {
			if got, err := c.best(sizes, scales); err == nil {
				would = append(would, "sheet "+got.size.Name)
				break
			}
		}
	} else if got, err := c.best(flat(all.sizes()), Scales()); err == nil {
		would = append(would, "scale "+got.scale.String()+" on a sheet of size "+got.size.Name)
	}
	at := Scales()[len(Scales())-1]
	what := "sheet"
	if in.Scale != (drawing.Scale{}) {
		at, what = in.Scale, "scale"
	}
	words := fmt.Sprintf("leaves no room on %s for the plan of the panel at %s", where, at)
	if p := c.plan(at); p.err == nil {
		words += ", which takes up " + sizeText(span(p.piece)) + " with its dimensions"
	}
	if len(would) > 0 {
		return &ErrNoRoom{what, words + "; what would do: " + strings.Join(would, ", or ")}
	}
	return &ErrNoRoom{what, words + "; no sheet that is known here would do"}
}

// series gives units that ask for the series of sheets to which one belongs.
func series(name string) drawing.Units {
	if strings.HasPrefix(name, "ANSI") {
		return drawing.Inch
	}
	return drawing.Metric
}

func flat(in [][]Size) (out []Size) {
	for _, x := range in {
		out = append(out, x...)
	}
	return out
}
