package intake

import (
	"fmt"

	"panelwright/pipeline"
	"panelwright/pipeline/format"
	"panelwright/pipeline/panel"
	"panelwright/pipeline/panel/artwork"
	"panelwright/pipeline/panel/edgeclass"
)

// Summary is what a survey says, plain enough for JSON. Lengths are in millimetres, written exactly; places
// are in the coordinates of the layers.
type Summary struct {
	Schema      int            `json:"schema"` // 1
	Files       []FileSummary  `json:"files"`
	Outline     OutlineSummary `json:"outline"`
	Copper      int            `json:"copper_layers"`
	EdgeClasses []EdgeSummary  `json:"edge_classes"`
	CopperFiles []string       `json:"copper"`
	// Layers are the layers that are carried, copper from the top, then mask, paste, legend and others.
	Layers []LayerSummary `json:"layers"`
	// Measures are of the copper layers, where there is an outline.
	Measures    []MeasureSummary `json:"copper_measures"`
	Drills      []DrillSummary   `json:"drills"`
	PartsTop    int              `json:"parts_top"`
	PartsBottom int              `json:"parts_bottom"`
	// BodiesKnown counts the parts of which a table says the body, BodiesGuessed those that are taken to be as
	// large as their pads.
	BodiesKnown   int `json:"bodies_known"`
	BodiesGuessed int `json:"bodies_guessed"`
	// Classes counts the parts of each class that matters near a break; none where there are none.
	Classes []ClassCount `json:"part_classes"`
	// OverEdge are the parts whose bodies stand out over the board's edge.
	OverEdge  []PartOverEdge `json:"parts_over_edge"`
	NetPoints int            `json:"netlist_points"`
	Project   string         `json:"project,omitempty"`
	Revision  string         `json:"revision,omitempty"`
	// Marks are what names a project or a revision, settled or not. What is drawn as letters is not read.
	Marks     []MarkSummary `json:"revision_marks"`
	Thickness string        `json:"thickness_mm,omitempty"` // as the job file says
	Finish    string        `json:"finish,omitempty"`
	Absent    []string      `json:"absent"`   // functions that boards often have and this one lacks
	Problems  []string      `json:"problems"` // what keeps the files from being a board
	Recipe    string        `json:"recipe"`   // the board stage that a recipe would have
	// Pictures are the files that the survey drew, as their names may be opened.
	Pictures []string `json:"pictures,omitempty"`

	Findings []pipeline.Finding `json:"findings"`
}

// FileSummary is one file.
type FileSummary struct {
	Name      string   `json:"name"`
	Bytes     int64    `json:"bytes"`
	SHA256    string   `json:"sha256"`
	Kind      Kind     `json:"kind"`
	Use       string   `json:"use,omitempty"`
	By        string   `json:"said_by,omitempty"`
	Ignored   string   `json:"ignored,omitempty"`
	Fault     string   `json:"fault,omitempty"`
	Unit      string   `json:"unit,omitempty"`
	Digits    string   `json:"digits,omitempty"`
	Content   string   `json:"content,omitempty"`
	Generator string   `json:"generator,omitempty"`
	Remarks   []string `json:"remarks,omitempty"`
}

// OutlineSummary is the outline and how it was joined.
type OutlineSummary struct {
	Found      bool   `json:"found"`
	Source     string `json:"source,omitempty"`
	Width      string `json:"width_mm,omitempty"`
	Height     string `json:"height_mm,omitempty"`
	Area       string `json:"area_mm2,omitempty"` // cut-outs left out, to 0.001 mm²
	X          string `json:"x_mm,omitempty"`     // of the lower left corner
	Y          string `json:"y_mm,omitempty"`
	Edges      int    `json:"edges"` // lines and arcs of the outer path
	Arcs       int    `json:"arcs"`  // among them
	CutOuts    int    `json:"cut_outs"`
	Strokes    int    `json:"strokes"` // in the file
	Moved      int    `json:"ends_moved"`
	LargestGap string `json:"largest_gap_mm"`
	Tolerance  string `json:"tolerance_mm"`
	Pen        string `json:"widest_pen_mm,omitempty"` // the outline runs along the middle of the pen
	Layer      string `json:"layer,omitempty"`         // of a drawing
	Why        string `json:"why,omitempty"`           // how the board was told from other loops
	// Dropped is what the outline's file draws besides the board's edge and did not count.
	Dropped []string `json:"dropped,omitempty"`
	// Loops are the closed loops of the outline's file where more than one could be the board, the largest
	// first, by the names that a recipe may choose one by. The pictures show them.
	Loops []LoopSummary `json:"loops,omitempty"`
}

// LoopSummary is one closed loop of the outline's file.
type LoopSummary struct {
	Name   string `json:"name"`
	Width  string `json:"width_mm"`
	Height string `json:"height_mm"`
	X      string `json:"x_mm"` // of the lower left corner of its box
	Y      string `json:"y_mm"`
	Holds  int    `json:"pads_and_holes"`
	Use    string `json:"use,omitempty"`
}

// LayerSummary is one layer that is carried.
type LayerSummary struct {
	Function string `json:"function"`
	File     string `json:"file"`
	By       string `json:"said_by"`
}

// FigureSummary is a measure and its place.
type FigureSummary struct {
	Size string `json:"mm"` // to the micrometre
	X    string `json:"x_mm"`
	Y    string `json:"y_mm"`
}

// MeasureSummary is what was measured of one copper layer: see CopperMeasure. What is absent was not found.
type MeasureSummary struct {
	Layer   string         `json:"layer"`
	File    string         `json:"file"`
	ToEdge  *FigureSummary `json:"to_edge,omitempty"` // copper nearest to the board's edge, up to 10 mm
	Track   *FigureSummary `json:"smallest_track_near_edge,omitempty"`
	Spacing *FigureSummary `json:"smallest_spacing_near_edge,omitempty"`
	LeftOut string         `json:"left_out,omitempty"` // why nothing was measured
}

// MarkSummary is a project or revision, and who says it.
type MarkSummary struct {
	Project  string `json:"project,omitempty"`
	Revision string `json:"revision,omitempty"`
	By       string `json:"said_by"`
}

// DrillSummary is one drill file as it would be written.
type DrillSummary struct {
	Key      string `json:"key"`
	Source   string `json:"source"`
	Holes    int    `json:"holes"`
	Slots    int    `json:"slots"`
	Smallest string `json:"smallest_mm,omitempty"`
	Largest  string `json:"largest_mm,omitempty"`
	Plated   bool   `json:"plated"`
	From     int    `json:"from_layer"` // 1 = top
	To       int    `json:"to_layer"`
	// Tools are the diameters in use, the smallest first. Tools of one diameter count together.
	Tools []ToolSummary `json:"tools"`
	Held  string        `json:"held,omitempty"` // how its holes lie on pads and outline
}

// ToolSummary is what one diameter does in a drill file.
type ToolSummary struct {
	Diameter string `json:"diameter_mm"`
	Holes    int    `json:"holes"`
	Slots    int    `json:"slots"`
}

// Summary sums the result up.
func (r *Result) Summary(paths []pipeline.InPath) Summary {
	s := Summary{
		Schema: 1, Findings: r.Findings, Copper: r.copper, Project: r.project.name, Revision: r.project.revision,
		CopperFiles: []string{}, Drills: []DrillSummary{}, Absent: []string{}, Problems: []string{},
		Layers: []LayerSummary{}, Measures: []MeasureSummary{}, EdgeClasses: []EdgeSummary{}, Marks: r.marks(),
	}
	if s.Findings == nil {
		s.Findings = []pipeline.Finding{}
	}
	pipeline.SortFindings(s.Findings)
	for _, f := range r.Files {
		s.Files = append(s.Files, f.summary())
	}
	for _, e := range r.Problems {
		s.Problems = append(s.Problems, e.Error())
	}
	o := r.Outline
	s.Outline = OutlineSummary{Found: o.Found, Source: o.Source, Strokes: o.Edges, Moved: o.Moved,
		LargestGap: o.LargestGap.Decimal(), Tolerance: o.Tolerance.Decimal(), Layer: o.Layer, Why: o.Why, Dropped: o.Dropped}
	if o.Pen > 0 {
		s.Outline.Pen = o.Pen.Decimal()
	}
	for _, l := range o.Loops {
		b := l.Path.Box()
		s.Outline.Loops = append(s.Outline.Loops, LoopSummary{Name: l.Name, Width: b.Width().Decimal(), Height: b.Height().Decimal(),
			X: b.Min.X.Decimal(), Y: b.Min.Y.Decimal(), Holds: l.Holds, Use: l.Use})
	}
	if o.Found {
		b := o.Outline.Box()
		s.Outline.Width, s.Outline.Height = b.Width().Decimal(), b.Height().Decimal()
		s.Outline.X, s.Outline.Y = b.Min.X.Decimal(), b.Min.Y.Decimal()
		s.Outline.Area = squareMM(o.Outline.Area())
		s.Outline.CutOuts, s.Outline.Edges = len(o.Outline.CutOuts), len(o.Outline.Outer)
		for _, e := range o.Outline.Outer {
			if e.Sense != 0 {
				s.Outline.Arcs++
			}
		}
	}
	there := map[string]bool{}
	for _, l := range r.layers {
		there[l.is.Key()] = true
		s.Layers = append(s.Layers, LayerSummary{l.is.Key(), l.file.Name, l.file.By})
		if l.is.Kind == panel.Copper {
			t := fmt.Sprintf("layer %d, %s: %s", l.is.Index, l.is.Side, l.file.Name)
			if l.is.Type != "" {
				t += " (" + l.is.Type + ")"
			}
			s.CopperFiles = append(s.CopperFiles, t)
		}
	}
	for _, k := range []string{"mask-top", "mask-bottom", "paste-top", "paste-bottom", "legend-top", "legend-bottom"} {
		if !there[k] {
			s.Absent = append(s.Absent, k)
		}
	}
	for _, d := range r.drills {
		h, n, low, high := plain(d.Drilling)
		x := DrillSummary{Key: d.Key(), Source: d.Source, Holes: h, Slots: n, Plated: d.Plating == artwork.Plated, From: d.From, To: d.To,
			Tools: byTool(d.Drilling)}
		if h+n > 0 {
			x.Smallest, x.Largest = low.Decimal(), high.Decimal()
		}
		for _, f := range r.Files {
			if f.Name == d.Source {
				x.Held = f.Held
			}
		}
		s.Drills = append(s.Drills, x)
	}
	if len(r.drills) == 0 {
		s.Absent = append(s.Absent, "drill files")
	}
	for _, p := range r.parts {
		if p.Side == panel.Bottom {
			s.PartsBottom++
		} else {
			s.PartsTop++
		}
	}
	for _, p := range r.Bodies() {
		switch {
		case !p.Body.Sized():
		case p.Body.By == panel.ByPads:
			s.BodiesGuessed++
		default:
			s.BodiesKnown++
		}
	}
	s.Classes = classCounts(r.parts)
	s.OverEdge = append([]PartOverEdge{}, r.PartsOverEdge()...)
	if len(r.parts) == 0 {
		s.Absent = append(s.Absent, "placement")
	}
	netlist := false
	for _, f := range r.of(NetlistFile) {
		s.NetPoints, netlist = len(f.Netlist.Points), true
	}
	if !netlist {
		s.Absent = append(s.Absent, "netlist")
	}
	for _, f := range r.of(JobFile) {
		if f.job != nil && f.job.thickness > 0 {
			s.Thickness = f.job.thickness.Decimal()
		}
		if f.job != nil {
			s.Finish = f.job.finish
		}
	}
	for _, m := range r.measures {
		s.Measures = append(s.Measures, MeasureSummary{m.Layer.Key(), m.Source, m.ToEdge.summary(), m.Track.summary(), m.Spacing.summary(), m.LeftOut})
	}
	for _, c := range r.classes {
		s.EdgeClasses = append(s.EdgeClasses, c.summary())
	}
	s.Recipe = r.recipe(paths)
	return s
}

func (f *File) summary() FileSummary {
	s := FileSummary{Name: f.Name, Bytes: f.Bytes, SHA256: f.SHA256, Kind: f.Kind, Use: f.Use, By: f.By, Ignored: f.Ignored,
		Unit: f.Unit, Digits: f.Digits, Generator: f.Generator, Remarks: f.Remarks}
	switch {
	case f.Err != nil:
		s.Fault = f.Err.Error()
	case f.Image != nil:
		s.Content = counted(len(f.Image.Objects), "object")
	case f.Drilling != nil:
		s.Content = counted(len(f.Drilling.Holes), "hole")
		if n := len(f.Drilling.Routs); n > 0 {
			s.Content += ", " + counted(n, "slot")
		}
	case f.Kind == PlacementFile:
		s.Content = counted(len(f.Parts), "part")
	case f.Netlist != nil:
		s.Content = counted(len(f.Netlist.Points), "point")
	}
	return s
}

// Lines says the outline in words.
func (o OutlineSummary) Lines() []string {
	switch {
	case o.Source == "":
		return []string{"there is no profile layer"}
	case !o.Found:
		return append([]string{fmt.Sprintf("%s: %s, which make no outline, see below", o.Source, counted(o.Strokes, "stroke"))}, o.loopLines()...)
	}
	l := []string{
		fmt.Sprintf("%s × %s mm, lower left corner at (%s, %s)", o.Width, o.Height, o.X, o.Y),
		fmt.Sprintf("%s, %s among them; %s; area %s mm²", counted(o.Edges, "edge"), counted(o.Arcs, "arc"), counted(o.CutOuts, "cut-out"), o.Area),
	}
	how := "from " + o.Source
	if o.Layer != "" {
		how += ", layer " + o.Layer
	}
	how += ": " + counted(o.Strokes, "stroke")
	if o.Pen != "" {
		how += ", the widest " + o.Pen + " mm (their middle is the edge)"
	}
	switch {
	case o.Strokes == 0:
		l = append(l, "as the recipe gives it")
	case o.Moved > 0:
		l = append(l, fmt.Sprintf("%s; %s moved to close gaps, the largest %s mm (up to %s mm is closed)", how, counted(o.Moved, "end"), o.LargestGap, o.Tolerance))
	default:
		l = append(l, how+"; they meet exactly")
	}
	if o.Why != "" {
		l = append(l, "the board is "+o.Why)
	}
	for _, d := range o.Dropped {
		l = append(l, "did not count: "+d)
	}
	return append(l, o.loopLines()...)
}

// loopLines says the loops that a recipe may choose among, the largest ones.
func (o OutlineSummary) loopLines() []string {
	if len(o.Loops) == 0 {
		return nil
	}
	const most = 12
	rows := [][]string{{"loop", "size in mm", "lower left corner", "pads and holes", "use"}}
	for i, l := range o.Loops {
		if i == most {
			break
		}
		rows = append(rows, []string{l.Name, l.Width + " × " + l.Height, "(" + l.X + ", " + l.Y + ")", fmt.Sprint(l.Holds), l.Use})
	}
	out := aligned(rows)
	if n := len(o.Loops) - most; n > 0 {
		out = append(out, fmt.Sprintf("and %s; all are in the JSON", counted(n, "smaller loop")))
	}
	return out
}

// CopperLines says the copper layers in words.
func (s Summary) CopperLines() []string {
	if len(s.CopperFiles) == 0 {
		return nil
	}
	l := append([]string{counted(s.Copper, "layer")}, s.CopperFiles...)
	if len(s.Measures) == 0 {
		return l
	}
	rows := [][]string{{"layer", "nearest to the edge", "smallest track", "smallest spacing"}}
	for _, m := range s.Measures {
		if m.LeftOut != "" {
			rows = append(rows, []string{m.Layer, m.LeftOut})
			continue
		}
		rows = append(rows, []string{m.Layer, m.ToEdge.words(), m.Track.words(), m.Spacing.words()})
	}
	l = append(l, "", fmt.Sprintf("in mm, at (x, y); tracks and spacings within %s of the edge", nearEdge))
	if len(s.EdgeClasses) > 0 {
		l[len(l)-1] += fmt.Sprintf("; edges that are not plain, and %s beside them, do not count", edgeclass.Beside)
	}
	return append(l, aligned(rows)...)
}

// DrillLines says the drill files in words.
func (s Summary) DrillLines() []string {
	var l []string
	for _, d := range s.Drills {
		t := d.Key + ": " + counted(d.Holes, "hole")
		if d.Slots > 0 {
			t += ", " + counted(d.Slots, "slot")
		}
		if d.Smallest != "" {
			if d.Smallest == d.Largest {
				t += ", all " + d.Smallest + " mm"
			} else {
				t += ", " + d.Smallest + " to " + d.Largest + " mm"
			}
		}
		l = append(l, t+" (from "+d.Source+")")
		if d.Held != "" {
			l = append(l, "  "+d.Held)
		}
		if len(d.Tools) < 2 {
			continue
		}
		rows := [][]string{{"  diameter", "holes", "slots"}}
		for _, t := range d.Tools {
			slots := ""
			if t.Slots > 0 {
				slots = fmt.Sprint(t.Slots)
			}
			rows = append(rows, []string{"  " + t.Diameter + " mm", fmt.Sprint(t.Holes), slots})
		}
		l = append(l, aligned(rows)...)
	}
	return l
}

// PartLines says the placement in words.
func (s Summary) PartLines() []string {
	if s.PartsTop+s.PartsBottom == 0 {
		return nil
	}
	l := []string{fmt.Sprintf("%s on the top, %d on the bottom", counted(s.PartsTop, "part"), s.PartsBottom)}
	if open := s.PartsTop + s.PartsBottom - s.BodiesKnown - s.BodiesGuessed; s.BodiesKnown+s.BodiesGuessed > 0 {
		l = append(l, fmt.Sprintf("bodies: %d known from a table, %d guessed from pads, %d unknown", s.BodiesKnown, s.BodiesGuessed, open))
	}
	for _, c := range s.Classes {
		l = append(l, c.Line())
	}
	const most = 12
	for i, p := range s.OverEdge {
		if i == most {
			l = append(l, fmt.Sprintf("and %d more", len(s.OverEdge)-most))
			break
		}
		l = append(l, p.Line())
	}
	return l
}

// NetlistLines says the netlist in words.
func (s Summary) NetlistLines() []string {
	if s.NetPoints == 0 {
		return nil
	}
	return []string{counted(s.NetPoints, "point")}
}

// SaidLines is what the files say of the whole board.
func (s Summary) SaidLines() []string {
	var l []string
	for _, x := range [][2]string{{"project", s.Project}, {"revision", s.Revision}, {"thickness in mm", s.Thickness}, {"finish", s.Finish}} {
		if x[1] != "" {
			l = append(l, x[0]+": "+x[1])
		}
	}
	for _, m := range s.Marks {
		switch {
		case m.Project == "":
			l = append(l, fmt.Sprintf("revision %s: %s", m.Revision, m.By))
		case m.Revision == "":
			l = append(l, fmt.Sprintf("project %s: %s", m.Project, m.By))
		default:
			l = append(l, fmt.Sprintf("project %s, revision %s: %s", m.Project, m.Revision, m.By))
		}
	}
	return l
}

// FindingLines says the findings in words.
func (s Summary) FindingLines() []string {
	var l []string
	for _, f := range s.Findings {
		l = append(l, fmt.Sprintf("%s, %s: %s", f.Severity, f.Rule, f.Message))
	}
	return l
}

// RemarkLines says the remarks, each once, with the files that it holds for.
func (s Summary) RemarkLines() []string {
	files := map[string][]string{}
	var order []string
	for _, f := range s.Files {
		if f.Ignored != "" {
			continue
		}
		for _, r := range f.Remarks {
			r = remarkPlace().ReplaceAllString(r, "")
			if n := files[r]; len(n) > 0 && n[len(n)-1] == f.Name {
				continue
			}
			if files[r] == nil {
				order = append(order, r)
			}
			files[r] = append(files[r], f.Name)
		}
	}
	var out []string
	for _, r := range order {
		n := files[r]
		if len(n) > 3 {
			n = append(n[:2:2], counted(len(n)-2, "other file"))
		}
		out = append(out, r+": "+list(n))
	}
	return out
}

// remarkPlace is what differs from file to file in one remark.
var remarkPlace = format.Pattern(`^line \d+: | \(\d+ times\)$`)
