package intake

import (
	"errors"
	"fmt"
	"strings"

	"panelwright/pipeline"
	"panelwright/pipeline/geom"
	"panelwright/pipeline/panel"
	"panelwright/pipeline/panel/artwork"
)

// settleOutline joins the board's outline from its profile layer: along the middle of the strokes,
// or round the regions where there are no strokes.
func (r *Result) settleOutline(layers []layer) {
	var f *File
	for _, l := range layers {
		if l.is.Kind == panel.Profile {
			f = l.file
		}
	}
	if f == nil && r.unreadable() {
		return
	}
	if f == nil {
		r.problem("none of the files is the board's profile, its outline",
			"add it; where its name says nothing, give it a layer block in the recipe with function = \"profile\"")
		return
	}
	o := &r.Outline
	o.Source, o.Tolerance = f.Name, r.req.Tolerance
	edges := profileEdges(f.Image, o)
	o.Edges = len(edges)
	if len(edges) == 0 {
		r.problem(f.Name+": the profile holds no strokes and no regions: there is no outline to take from it", "have the outline drawn on it")
		return
	}
	outline, joined, err := geom.Assemble(edges, r.req.Tolerance)
	o.Moved, o.LargestGap, o.Duplicates = joined.Moved, joined.LargestGap, joined.Duplicates
	if err != nil {
		r.problem(f.Name+": "+err.Error(), outlineHelp(err))
		return
	}
	o.Outline, o.Found = outline, true
	if o.IgnoredClears > 0 {
		r.find("profile-clear", pipeline.Warning, fmt.Sprintf("%s: %s of clear polarity in the profile did not count", f.Name, counted(o.IgnoredClears, "object")))
	}
	if o.IgnoredFills > 0 {
		r.find("profile-regions", pipeline.Warning, fmt.Sprintf("%s: %s in the profile did not count, since it has strokes", f.Name, counted(o.IgnoredFills, "region")))
	}
	if o.Flashes > 0 {
		r.find("profile-flashes", pipeline.Note, fmt.Sprintf("%s: %s in the profile did not count", f.Name, counted(o.Flashes, "flash")))
	}
	if o.LargestGap > 0 {
		r.find("outline-joined", pipeline.Note, fmt.Sprintf("%s: %s of the outline's strokes did not meet exactly and %s moved to close the gaps, the largest %s", f.Name,
			counted(o.Moved, "end"), wasWere(o.Moved), o.LargestGap))
	}
	for _, g := range r.Files {
		if g.Ignored == ignoredDXF {
			g.Ignored += ": the outline is taken from " + f.Name
		}
	}
}

func wasWere(n int) string {
	if n == 1 {
		return "was"
	}
	return "were"
}

// profileEdges gives the middle lines of the dark strokes, or else the borders of the regions.
func profileEdges(m *artwork.Image, o *OutlineReport) []geom.Edge {
	var strokes, borders []geom.Edge
	fills := 0
	for _, x := range m.Objects {
		switch {
		case x.Clear:
			o.IgnoredClears++
		case x.Kind == artwork.Flash:
			o.Flashes++
		case x.Kind == artwork.Stroke:
			if x.Edge.Sense != geom.Straight || x.Edge.From != x.Edge.To {
				strokes = append(strokes, x.Edge)
			}
		default:
			fills++
			for _, c := range m.Regions[x.Region].Contours {
				borders = append(borders, c...)
			}
		}
	}
	if len(strokes) == 0 {
		o.FromRegions = len(borders) > 0
		return borders
	}
	o.IgnoredFills = fills
	return strokes
}

// outlineHelp says what to do about an outline that is none.
func outlineHelp(err error) string {
	var e *geom.OutlineError
	if !errors.As(err, &e) {
		return ""
	}
	switch e.Kind {
	case geom.OutlineOpen:
		if e.Gap > 0 && e.Gap <= geom.MM/10 {
			return fmt.Sprintf("close it in the source; or, if the gap is only careless drawing, allow it in the recipe: outline_tolerance = \"%s um\"",
				strings.TrimSuffix((e.Gap*1000).Decimal(), " mm"))
		}
		return "close it in the source and have the profile written again"
	case geom.OutlineTwoBoards:
		return "give each board files of its own"
	case geom.OutlineIsland:
		return "take the inner loop away, or draw it as a part of the board"
	}
	return "correct it in the source and have the profile written again"
}
