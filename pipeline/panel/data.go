package panel

import (
	"panelwright/pipeline/geom"
	"panelwright/pipeline/jsonlines"
)

// DataSchema is the version of what Data writes.
const DataSchema = 1

// mm writes a length as an exact decimal number of millimetres.
type mm geom.Length

func (v mm) MarshalJSON() ([]byte, error) { return []byte(geom.Length(v).Decimal()), nil }

// deg writes an angle as an exact decimal number of degrees.
type deg geom.Angle

func (v deg) MarshalJSON() ([]byte, error) { return []byte(geom.Angle(v).Decimal()), nil }

type xy [2]mm

func at(p geom.Point) xy { return xy{mm(p.X), mm(p.Y)} }

type edgeData struct {
	From   xy     `json:"from"`
	To     xy     `json:"to"`
	Center *xy    `json:"center,omitempty"`
	Turn   string `json:"turn,omitempty"`
}

func pathData(p geom.Path) []edgeData {
	out := make([]edgeData, len(p))
	for i, e := range p {
		out[i] = edgeData{From: at(e.From), To: at(e.To)}
		if e.Sense != geom.Straight {
			c := at(e.Center)
			out[i].Center = &c
			out[i].Turn = "counter_clockwise"
			if e.Sense == geom.Clockwise {
				out[i].Turn = "clockwise"
			}
		}
	}
	return out
}

// What panel.json is made of, for others that hand out the same: a length as an exact decimal number of millimetres, a point as
// two of them, and an edge of a path.
type (
	LengthData = mm
	PointData  = xy
	EdgeData   = edgeData
)

// PointDataOf gives a point as panel.json has it.
func PointDataOf(p geom.Point) PointData { return at(p) }

// PathDataOf gives a path as panel.json has it.
func PathDataOf(p geom.Path) []EdgeData { return pathData(p) }

type sourceData struct {
	Name    string `json:"name"`
	SHA256  string `json:"sha256"`
	Bytes   int64  `json:"bytes"`
	Use     string `json:"use,omitempty"`
	Ignored string `json:"ignored_because,omitempty"`
}

type boardData struct {
	Name         string       `json:"name"`
	PartNumber   string       `json:"part_number,omitempty"`
	Revision     string       `json:"revision,omitempty"`
	Thickness    mm           `json:"thickness_mm"`
	CopperLayers int          `json:"copper_layers"`
	Finish       string       `json:"finish,omitempty"`
	MaskColor    string       `json:"mask_color,omitempty"`
	Width        mm           `json:"width_mm"`
	Height       mm           `json:"height_mm"`
	LowerLeft    xy           `json:"lower_left_mm"` // in the coordinates of the board's files
	Parts        int          `json:"parts"`
	Sources      []sourceData `json:"sources"`
	Packages     *sourceData  `json:"packages,omitempty"` // the shop's table of bodies
	OverEdge     []overData   `json:"parts_over_edge,omitempty"`
	Fragile      []string     `json:"fragile_parts,omitempty"`
}

// overData is a part whose body stands out over the board's edge.
type overData struct {
	Part string `json:"part"`
	By   mm     `json:"by_mm"`
}

type copyData struct {
	ID       string `json:"id"`
	Board    string `json:"board"`
	X        mm     `json:"x_mm"` // shift after the turn about the origin of the board's files
	Y        mm     `json:"y_mm"`
	Rotation deg    `json:"rotation_deg"`
	Box      [2]xy  `json:"box_mm"`
}

type railData struct {
	ID  string `json:"id"`
	Box [2]xy  `json:"box_mm"`
}

type markData struct {
	ID       string `json:"id"`
	Kind     string `json:"kind"`
	At       xy     `json:"at_mm"`
	Diameter mm     `json:"diameter_mm"`
	Mask     *mm    `json:"mask_diameter_mm,omitempty"`
	Clear    *mm    `json:"clear_diameter_mm,omitempty"`
	Sides    []Side `json:"sides,omitempty"`
}

type slotData struct {
	ID      string       `json:"id"`
	Outer   []edgeData   `json:"outer_mm"`
	CutOuts [][]edgeData `json:"cut_outs_mm,omitempty"`
}

func cutOutData(paths []geom.Path) (out [][]edgeData) {
	for _, p := range paths {
		out = append(out, pathData(p))
	}
	return out
}

type unreachedData struct {
	ID      string       `json:"id"`
	Copy    string       `json:"copy"`
	At      xy           `json:"at_mm"`
	Radius  mm           `json:"radius_mm"`
	Outer   []edgeData   `json:"outer_mm"`
	CutOuts [][]edgeData `json:"cut_outs_mm,omitempty"`
}

type rowData struct {
	Copies        []string   `json:"copies"`
	Inset         mm         `json:"inset_mm"`
	Line          []edgeData `json:"line_mm"`
	Web           mm         `json:"web_mm"`
	WorstWeb      mm         `json:"web_at_worst_mm"`
	Shoulder      mm         `json:"shoulder_mm"`
	WorstShoulder mm         `json:"shoulder_at_worst_mm"`
	Stub          mm         `json:"stub_mm"`
	WorstStub     mm         `json:"stub_at_worst_mm"`
}

type tabData struct {
	ID     string    `json:"id"`
	Copies []string  `json:"copies"`
	Rail   string    `json:"rail,omitempty"`
	Width  mm        `json:"width_mm"`
	Feet   [2]xy     `json:"feet_mm"`
	Along  xy        `json:"along"`
	Pinned bool      `json:"pinned,omitempty"`
	Rows   []rowData `json:"rows"`
}

type holeData struct {
	ID       string `json:"id"`
	Tab      string `json:"tab"`
	Row      int    `json:"row"`
	Copy     string `json:"copy"`
	At       xy     `json:"at_mm"`
	Diameter mm     `json:"diameter_mm"`
}

type scoreData struct {
	ID            string `json:"id"`
	From          xy     `json:"from_mm"`
	To            xy     `json:"to_mm"`
	RemainingWeb  mm     `json:"remaining_web_mm"`
	Depth         mm     `json:"depth_each_side_mm"`
	IncludedAngle deg    `json:"included_angle_deg"`
	Leave         mm     `json:"leave_mm"`
	WebTolerance  mm     `json:"web_tolerance_mm"`
	BladeOffset   mm     `json:"blade_offset_tolerance_mm"`
	Position      mm     `json:"position_tolerance_mm"`
	RunOut        *mm    `json:"run_out_mm,omitempty"`
	BladeDiameter *mm    `json:"blade_diameter_mm,omitempty"`
	Source        string `json:"source,omitempty"`
}

type blankData struct {
	ID      string       `json:"id"`
	Copy    string       `json:"copy"`
	Outer   []edgeData   `json:"outer_mm"`
	CutOuts [][]edgeData `json:"cut_outs_mm,omitempty"`
}

// some gives a length that is there, nil for 0.
func some(l geom.Length) *mm {
	if l == 0 {
		return nil
	}
	v := mm(l)
	return &v
}

func dataOfBoard(b *Board) boardData {
	o := b.Outline.Box()
	x := boardData{b.Name, b.PartNumber, b.Revision, mm(b.Thickness), b.CopperCount, b.Finish, b.MaskColor,
		mm(o.Width()), mm(o.Height()), at(o.Min), len(b.Parts), []sourceData{}, nil, nil, nil}
	for _, s := range b.Sources {
		x.Sources = append(x.Sources, sourceData(s))
	}
	if b.Packages == nil {
		return x
	}
	table := sourceData(*b.Packages)
	x.Packages = &table
	for _, p := range b.Parts {
		if p.Body.By != ByTable || b.PartsElsewhere {
			continue
		}
		if by := b.OverEdge(p); by > 0 {
			x.OverEdge = append(x.OverEdge, overData{p.Refdes, mm(by)})
		}
		if p.Body.Fragile {
			x.Fragile = append(x.Fragile, p.Refdes)
		}
	}
	return x
}

// Data writes the whole panel as JSON, in a stable order, one feature a line, made to be read in a
// diff. Lengths are exact decimals in millimetres, angles in degrees. Artwork stands in it by the
// SHA-256 of its source files; ReadData makes a panel of it again.
func (p Panel) Data(name, revision string) ([]byte, error) {
	d := p.get()
	box := d.outline.Box()
	if box.Empty() {
		box = geom.Box{}
	}
	w := &jsonlines.Object{}
	w.Line("schema", DataSchema)
	w.Line("panel", name)
	w.Line("revision", revision)
	w.Line("units", "mm and degrees; origin at the panel outline's lower left corner, x right, y up, seen from the top")
	w.Line("width_mm", mm(box.Width()))
	w.Line("height_mm", mm(box.Height()))
	w.Line("thickness_mm", mm(p.Thickness()))
	w.Line("copper_layers", p.CopperCount())
	w.Line("outline_mm", pathData(d.outline.Outer))
	if len(d.outline.CutOuts) > 0 {
		w.Line("cut_outs_mm", cutOutData(d.outline.CutOuts))
	}
	jsonlines.List(w, "boards", d.boards, func(b *Board) any { return dataOfBoard(b) })
	jsonlines.List(w, "copies", d.copies, func(c Copy) any {
		b := c.Box()
		return copyData{c.ID, c.Board.Name, mm(c.Place.Shift.X), mm(c.Place.Shift.Y), deg(c.Place.Turn.Normal()), [2]xy{at(b.Min), at(b.Max)}}
	})
	jsonlines.List(w, "rails", d.rails, func(r Rail) any { return railData{r.ID, [2]xy{at(r.Box.Min), at(r.Box.Max)}} })
	jsonlines.List(w, "marks", d.marks, func(m Mark) any {
		x := markData{ID: m.ID, Kind: string(m.Kind), At: at(m.At), Diameter: mm(m.Diameter), Sides: m.Sides}
		if m.Kind == Fiducial {
			mask, clear := mm(m.Mask), mm(m.Clear)
			x.Mask, x.Clear = &mask, &clear
		}
		return x
	})
	cutters := []mm{}
	for _, c := range d.cutters {
		cutters = append(cutters, mm(c))
	}
	w.Line("cutters_mm", cutters)
	jsonlines.List(w, "slots", d.slots, func(s Slot) any {
		return slotData{s.ID, pathData(s.Outline.Outer), cutOutData(s.Outline.CutOuts)}
	})
	jsonlines.List(w, "unreached", d.unreached, func(x Unreached) any {
		return unreachedData{x.ID, x.Copy, at(x.At), mm(x.Radius), pathData(x.Outline.Outer), cutOutData(x.Outline.CutOuts)}
	})
	jsonlines.List(w, "tabs", d.tabs, func(t Tab) any {
		x := tabData{t.ID, t.Copies, t.Rail, mm(t.Width), [2]xy{at(t.Feet[0]), at(t.Feet[1])}, at(t.Along), t.Pinned, []rowData{}}
		for _, r := range t.Rows {
			x.Rows = append(x.Rows, rowData{r.Copies, mm(r.Inset), pathData(r.Line), mm(r.Web), mm(r.WorstWeb),
				mm(r.Shoulder), mm(r.WorstShoulder), mm(r.Stub), mm(r.WorstStub)})
		}
		return x
	})
	jsonlines.List(w, "perforations", d.perforations, func(h Perforation) any { return holeData{h.ID, h.Tab, h.Row, h.Copy, at(h.At), mm(h.Diameter)} })
	jsonlines.List(w, "scores", d.scores, func(s Score) any {
		return scoreData{s.ID, at(s.From), at(s.To), mm(s.RemainingWeb), mm(s.Depth), deg(s.IncludedAngle), mm(s.Leave),
			mm(s.WebTolerance), mm(s.BladeOffsetTolerance), mm(s.PositionTolerance), some(s.RunOut), some(s.BladeDiameter), s.Source}
	})
	jsonlines.List(w, "blanks", d.blanks, func(x Blank) any {
		return blankData{x.ID, x.Copy, pathData(x.Outline.Outer), cutOutData(x.Outline.CutOuts)}
	})
	jsonlines.List(w, "prints", d.prints, func(x Print) any { return dataOfPrint(x) })
	if x := d.xOut; x != nil {
		w.Line("x_out", xOutData{x.Copies, mm(x.Panels), x.Source, x.Usual})
	}
	if len(d.copperShares) > 0 {
		jsonlines.List(w, "copper_shares", d.copperShares, func(x CopperShare) any { return shareData{x.Layer.Key(), mm(x.Before), mm(x.After)} })
	}
	if d.support != nil {
		writeSupport(w, d.support)
	}
	return w.Done()
}
