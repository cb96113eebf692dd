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

// OutlineRule is what a recipe says of the outline.
type OutlineRule struct {
	File  string     // the file that draws it; empty: the profile layer, else the one drawing
	Layer string     // of a drawing
	Unit  string     // of a drawing that does not say it: "mm", "inch", "mil"
	Shift geom.Point // from the drawing's coordinates to the layers'

	Loop       string   // which loop is the board's, by its name: "loop-2"
	NoCutOuts  []string // loops within it that are marks
	IgnoreOpen bool     // chains that nearly close are marks

	Rectangle *geom.Box // the outline itself, instead of any file
	Radius    geom.Length
}

// settleOutline finds the board's outline: what the recipe says, else the profile layer, else the one
// drawing there is.
func (r *Result) settleOutline(layers []layer) {
	rule := r.req.Outline
	if rule == nil {
		rule = &OutlineRule{}
	}
	var profile *File
	for _, l := range layers {
		if l.is.Kind == panel.Profile {
			profile = l.file
		}
	}
	r.Outline.Tolerance = r.req.Tolerance
	switch {
	case rule.Rectangle != nil:
		r.outlineIsRectangle(rule)
	case rule.File != "":
		r.outlineFrom(rule)
	case profile != nil:
		r.outlineOf(profile.Name, profileStrokes(profile.Image), rule)
	case len(r.of(DrawingFile)) == 1:
		r.outlineOfDrawing(r.of(DrawingFile)[0], rule)
	case r.unreadable():
	case len(r.of(DrawingFile)) > 1:
		var names []string
		for _, f := range r.of(DrawingFile) {
			names = append(names, f.Name)
		}
		r.problem("none of the layers is the board's profile, and there are several drawings: "+list(names),
			"say in the recipe which one draws the outline, in the board stage:\n"+outlineBlock("file", names[0]))
	default:
		r.problem("none of the files is the board's profile, its outline",
			"add it; where its name says nothing, give it a layer block in the recipe with function = \"profile\"; or give its size, in the board stage:\n"+
				"  outline {\n    width  = \"… mm\"\n    height = \"… mm\"\n  }")
	}
	r.otherOutlines(profile)
}

// outlineBlock writes the block that a recipe would need.
func outlineBlock(option, value string) string {
	return fmt.Sprintf("  outline {\n    %s = %q\n  }", option, value)
}

// otherOutlines says of the files that could have given the outline that they did not.
func (r *Result) otherOutlines(profile *File) {
	from := r.Outline.Source
	if from == "" {
		return
	}
	if from != byRecipe {
		from = "from " + from
	} else {
		from = "as the recipe gives it"
	}
	for _, f := range r.of(DrawingFile) {
		if f.Name != r.Outline.Source {
			f.Ignored = "a DXF drawing: the outline is taken " + from
		}
	}
	if profile != nil && profile.Name != r.Outline.Source && profile.Ignored == "" {
		profile.Ignored, profile.Use = "a profile: the outline is taken "+from, ""
	}
}

// outlineFrom takes the file that the recipe names.
func (r *Result) outlineFrom(rule *OutlineRule) {
	var hits []*File
	for _, f := range r.Files {
		if matches(rule.File, f.Name) && f.Err == nil {
			hits = append(hits, f)
		}
	}
	switch {
	case len(hits) == 0:
		r.problem(fmt.Sprintf("the outline block names the file %q, and none of the board's files is called so", rule.File), r.names("files", ""))
	case len(hits) > 1:
		r.problem(fmt.Sprintf("the outline block means %s and %s with %q", hits[0].Name, hits[1].Name, rule.File), "name one file")
	case hits[0].Kind == DrawingFile:
		r.outlineOfDrawing(hits[0], rule)
	case hits[0].Kind == LayerFile && hits[0].Image != nil:
		f := hits[0]
		if f.Ignored != "" || !f.claimed { // nobody else has a use for it
			f.Ignored, f.Use, f.By = "", "profile", byRecipe
		}
		r.outlineOf(f.Name, profileStrokes(f.Image), rule)
	default:
		r.problem(fmt.Sprintf("%s: the outline block names it, but it draws nothing (%s)", hits[0].Name, hits[0].what()), "name a layer file or a DXF drawing")
	}
}

// outlineIsRectangle takes the size that the recipe gives.
func (r *Result) outlineIsRectangle(rule *OutlineRule) {
	r.Outline.Source = byRecipe
	b := *rule.Rectangle
	if rule.Radius > min(b.Width(), b.Height())/2 {
		r.problem(fmt.Sprintf("the outline's corner_radius of %s is more than half its shorter side", rule.Radius), "give a smaller one")
		return
	}
	o := geom.Outline{Outer: geom.RoundedRectangle(b, rule.Radius)}
	points := r.content()
	if in := countIn(o.Outer, points); in < len(points) {
		what := fmt.Sprintf("the outline that the recipe gives holds %d of the board's %s; they lie between %s and %s mm",
			in, counted(len(points), "pads and hole"), boxOf(points).Min, boxOf(points).Max)
		if 2*in < len(points) {
			r.problem(what, "correct its size, or say where its lower left corner lies, with x and y")
			return
		}
		r.find("outline-outside", pipeline.Warning, what)
	}
	r.Outline.Outline, r.Outline.Found = o, true
}

// strokes is what a file draws that could be an outline.
type strokes struct {
	edges   []geom.Edge
	widest  geom.Length // pen
	flashes int
	clears  int
	fills   int // that do not count, since there are strokes
	borders bool
}

// profileStrokes gives the middle lines of the dark strokes of a layer, or else the borders of its regions.
func profileStrokes(m *artwork.Image) strokes {
	var s strokes
	var borders []geom.Edge
	for _, x := range m.Objects {
		switch {
		case x.Clear:
			s.clears++
		case x.Kind == artwork.Flash:
			s.flashes++
		case x.Kind == artwork.Stroke:
			if x.Edge.Sense != geom.Straight || x.Edge.From != x.Edge.To {
				s.edges = append(s.edges, x.Edge)
				s.widest = max(s.widest, m.Apertures[x.Aperture].Width)
			}
		default:
			s.fills++
			for _, c := range m.Regions[x.Region].Contours {
				borders = append(borders, c...)
			}
		}
	}
	if len(s.edges) == 0 {
		s.edges, s.borders, s.fills = borders, len(borders) > 0, 0
	}
	return s
}

// outlineOf joins the outline from one file's strokes and says what did not count.
func (r *Result) outlineOf(name string, s strokes, rule *OutlineRule) {
	o := &r.Outline
	o.Source, o.FromRegions, o.Flashes, o.Pen = name, s.borders, s.flashes, s.widest
	o.IgnoredClears, o.IgnoredFills = s.clears, s.fills
	if rule.Shift != (geom.Point{}) {
		for i := range s.edges {
			s.edges[i] = geom.Transform{Shift: rule.Shift}.Edge(s.edges[i])
		}
	}
	o.Edges, r.strokes = len(s.edges), s.edges
	if len(s.edges) == 0 {
		r.problem(name+": the profile holds no strokes and no regions: there is no outline to take from it", "have the outline drawn on it")
		return
	}
	outline, err := r.choose(name, s.edges, rule)
	if err != nil {
		var p *Problem
		if errors.As(err, &p) {
			r.Problems = append(r.Problems, p)
		} else {
			r.problem(name+": "+err.Error(), outlineHelp(err))
		}
		return
	}
	o.Outline, o.Found = outline, true
	if o.IgnoredClears > 0 {
		r.find("profile-clear", pipeline.Warning, fmt.Sprintf("%s: %s of clear polarity in the profile did not count", name, counted(o.IgnoredClears, "object")))
	}
	if o.IgnoredFills > 0 {
		r.find("profile-regions", pipeline.Warning, fmt.Sprintf("%s: %s in the profile did not count, since it has strokes", name, counted(o.IgnoredFills, "region")))
	}
	if o.Flashes > 0 {
		r.find("profile-flashes", pipeline.Note, fmt.Sprintf("%s: %s in the profile did not count", name, counted(o.Flashes, "flash")))
	}
	if o.LargestGap > 0 {
		r.find("outline-joined", pipeline.Note, fmt.Sprintf("%s: %s of the outline's strokes did not meet exactly and %s moved to close the gaps, the largest %s", name,
			counted(o.Moved, "end"), wasWere(o.Moved), o.LargestGap))
	}
}

func wasWere(n int) string {
	if n == 1 {
		return "was"
	}
	return "were"
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
