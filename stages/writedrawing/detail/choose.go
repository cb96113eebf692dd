package detail

import (
	"context"
	"fmt"

	"panelwright/pipeline/drawing"
	"panelwright/pipeline/geom"
	"panelwright/pipeline/panel"
	"panelwright/stages/writedrawing/tools"
)

// letters name details: without I, O and Q, which look like figures (ISO 128-3).
const letters = "ABCDEFGHJKLMNPRSTUVWXYZ"

// mostSections and mostFiducials are how many kinds of them get a detail. The table of score lines tells of the rest of
// the lines; of the rest of the fiducials the layer files alone tell.
const (
	mostSections  = 4
	mostFiducials = 3
)

// Choose chooses what the panel needs details of: each kind of break-off tab, the commonest first, up to MostTabKinds;
// each section of score lines; the rail corner, where it is round; each kind of fiducial. An error is that of an overlay.
func Choose(ctx context.Context, p panel.Panel) ([]Detail, error) {
	var out []Detail
	add := func(d Detail, most, least drawing.Scale, draw func(letter string, s drawing.Style, scale drawing.Scale) drawing.Sheet) {
		d.Letter = letters[len(out) : len(out)+1]
		d.Draw = func(s drawing.Style, room geom.Point) drawing.Sheet {
			return fitted(most, least, room, func(scale drawing.Scale) drawing.Sheet { return draw(d.Letter, s, scale) })
		}
		out = append(out, d)
	}
	scale := func(paper, real int64) drawing.Scale { return drawing.Scale{Paper: paper, Real: real} }

	kinds := TabKinds(p)
	_, tolerance, _ := tools.Tolerances(p)
	for i, k := range kinds[:min(len(kinds), MostTabKinds)] {
		d, err := newTab(ctx, p, k, tolerance)
		if err != nil {
			return nil, fmt.Errorf("the detail of tab %s cannot be drawn: %w", p.Tabs()[k.Shown].ID, err)
		}
		if i+1 == MostTabKinds {
			d.others = len(kinds) - MostTabKinds
		}
		x := d.detail()
		if len(kinds) > 1 {
			x.Title = fmt.Sprintf("%s, kind %d", x.Title, i+1)
		}
		title := x.Title
		add(x, scale(10, 1), scale(5, 1), func(letter string, s drawing.Style, by drawing.Scale) drawing.Sheet {
			return d.draw(letter, title, s, by)
		})
	}
	sections := scoreSections(p)
	for _, d := range sections[:min(len(sections), mostSections)] {
		most, least := d.scales()
		add(d.detail(), most, least, d.draw)
	}
	corner, err := newCorner(ctx, p)
	if err != nil {
		return nil, fmt.Errorf("the detail of the rail corner cannot be drawn: %w", err)
	}
	if corner != nil {
		add(corner.detail(), scale(5, 1), scale(1, 5), corner.draw)
	}
	marks := fiducials(p)
	for _, d := range marks[:min(len(marks), mostFiducials)] {
		add(d.detail(), scale(10, 1), scale(5, 1), d.draw)
	}
	return out, nil
}

// Sections gives the letter of the section that shows a score line, by the line's id; a line that none shows is not in it.
func Sections(p panel.Panel) map[string]string {
	first := min(len(TabKinds(p)), MostTabKinds) // details of tabs come before
	out := map[string]string{}
	sections := scoreSections(p)
	for i, d := range sections[:min(len(sections), mostSections)] {
		for _, x := range d.lines {
			out[x.ID] = letters[first+i : first+i+1]
		}
	}
	return out
}
