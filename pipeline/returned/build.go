package returned

import (
	"context"
	"fmt"
	"path"
	"slices"
	"strings"

	"panelwright/pipeline/format/gerber"
	"panelwright/pipeline/format/xnc"
	"panelwright/pipeline/geom"
	"panelwright/pipeline/geom/overlay"
	"panelwright/pipeline/panel"
	"panelwright/pipeline/panel/artwork"
)

// mostObjects is how many objects a panel's layer may have: as the proof allows.
const mostObjects = 1 << 28

// single: overlays here are small, or run beside one another.
var single = overlay.Options{Workers: 1}

// build is what was ordered, from the files that the build wrote.
type build struct {
	plan     *panel.Plan
	box      geom.Box // of the panel
	boards   []board  // the copies
	layers   []layer
	bores    []bore
	material geom.Region // what stays of the panel when all contours are cut
	scores   []geom.Edge
}

// board is one copy, with its outline where the build drew it.
type board struct {
	panel.PlanCopy
	outline geom.Outline
	near    *geom.Prepared
}

// layer is one layer of material.
type layer struct {
	key   string // "copper-2-inner"
	kind  panel.FunctionKind
	side  panel.Side
	index int // of copper, 1 is the top
	image *artwork.Image
}

// bore is a hole or slot.
type bore struct {
	at       geom.Point // of a slot: where it begins
	path     geom.Path  // nil for a hole
	diameter geom.Length
	plating  artwork.Plating
	from, to int    // the layers that it goes through; 0 where nobody says
	breakoff bool   // one of a row along which a board breaks off
	id       string // of what the panel adds
	source   string
}

func readBuild(ctx context.Context, name string, files map[string][]byte) (*build, error) {
	plan, err := panel.ReadPlan(files["panel.json"])
	if err != nil {
		return nil, fmt.Errorf("panel.json: %w", err)
	}
	b := &build{plan: plan, box: plan.Outline.Box()}
	var names []string
	for n := range files {
		names = append(names, n)
	}
	slices.Sort(names)
	var drawn []geom.Path
	for _, n := range names {
		rest, ok := strings.CutPrefix(n, "fab/"+name+"-")
		if !ok {
			continue
		}
		switch path.Ext(n) {
		case ".gbr":
			image, _, err := gerber.Read(n, files[n], gerber.Options{MaxObjects: mostObjects})
			if err != nil {
				return nil, err
			}
			switch key := strings.TrimSuffix(rest, ".gbr"); key {
			case "profile":
				if b.material, err = within(ctx, edgesOf(image)); err != nil {
					return nil, fmt.Errorf("%s: %w", n, err)
				}
			case "score":
				b.scores = edgesOf(image)
			case "array-drawing":
				j, err := geom.Join(edgesOf(image), 0)
				if err != nil {
					return nil, fmt.Errorf("%s: %w", n, err)
				}
				drawn = j.Loops
			default:
				if l, ok := layerOf(key); ok {
					l.image = image
					b.layers = append(b.layers, l)
				}
			}
		case ".drl":
			d, _, err := xnc.Read(n, files[n], xnc.Options{})
			if err != nil {
				return nil, err
			}
			all := boresOf(d, place{}, path.Base(n))
			if strings.TrimSuffix(rest, ".drl") == "drill-breakoff" {
				for i := range all {
					all[i].breakoff = true
				}
			}
			b.bores = append(b.bores, all...)
		}
	}
	if len(b.material) == 0 {
		return nil, fmt.Errorf("fab/%s-profile.gbr: is not among the build's files", name)
	}
	b.boards = boardsOf(plan, drawn)
	b.nameBores()
	return b, nil
}

// within gives what contours run round.
func within(ctx context.Context, edges []geom.Edge) (geom.Region, error) {
	j, err := geom.Join(edges, 0)
	if err != nil {
		return nil, err
	}
	return overlay.Union(ctx, single, overlay.Operand{Paths: j.Loops, Rule: overlay.EvenOdd})
}

// edgesOf gives the middle lines of an image's dark strokes.
func edgesOf(m *artwork.Image) (out []geom.Edge) {
	for _, o := range m.Objects {
		if o.Kind == artwork.Stroke && !o.Clear {
			out = append(out, o.Edge)
		}
	}
	return out
}

// layerOf reads the name that write_fab gives to a layer; false for what is no layer of material.
func layerOf(key string) (layer, bool) {
	w := strings.Split(key, "-")
	l := layer{key: key, kind: panel.FunctionKind(w[0]), side: panel.Side(w[len(w)-1])}
	switch l.kind {
	case panel.Copper:
		if len(w) == 3 {
			fmt.Sscan(w[1], &l.index)
		}
		return l, len(w) == 3 && l.index > 0
	case panel.Soldermask, panel.Paste, panel.Legend, panel.Glue, panel.Carbon, panel.Peelable:
		return l, len(w) == 2
	}
	return l, false
}

// boardsOf gives the copies; the outline of each is the loop drawn in its box, or the box itself.
func boardsOf(plan *panel.Plan, drawn []geom.Path) (out []board) {
	for _, c := range plan.Copies {
		x := board{PlanCopy: c, outline: geom.Outline{Outer: geom.Rectangle(c.Box)}}
		for _, p := range drawn {
			if p.Box() == c.Box {
				x.outline.Outer = p
				break
			}
		}
		x.near = geom.Prepare(x.outline)
		out = append(out, x)
	}
	return out
}

// boresOf lists a drilling's holes and slots, placed.
func boresOf(d *artwork.Drilling, at place, source string) []bore {
	out := make([]bore, 0, len(d.Holes)+len(d.Routs))
	one := func(tool int32) bore {
		t := d.Tools[tool]
		b := bore{diameter: t.Diameter, plating: t.Plating, from: d.From, to: d.To, source: source}
		if b.plating == artwork.PlatingUnknown {
			b.plating = d.Plating
		}
		return b
	}
	for _, h := range d.Holes {
		b := one(h.Tool)
		b.at = at.point(h.At)
		out = append(out, b)
	}
	for _, r := range d.Routs {
		if len(r.Path) == 0 {
			continue
		}
		b := one(r.Tool)
		b.path = at.path(r.Path)
		b.at = b.path[0].From
		out = append(out, b)
	}
	return out
}

// end is where a slot ends.
func (b bore) end() geom.Point {
	if b.path == nil {
		return b.at
	}
	return b.path[len(b.path)-1].To
}

// nameBores gives what the panel itself adds its name.
func (b *build) nameBores() {
	ids := map[geom.Point]string{}
	for _, h := range b.plan.Perforations {
		ids[h.At] = h.ID
	}
	for _, m := range b.plan.Marks {
		if m.Kind == panel.ToolingHole {
			ids[m.At] = m.ID
		}
	}
	for i, x := range b.bores {
		if len(x.path) == 0 {
			b.bores[i].id = ids[x.at]
		}
	}
}

// copyAt gives the copy that a place lies on, nil for none.
func (b *build) copyAt(p geom.Point) *board {
	for i := range b.boards {
		if c := &b.boards[i]; c.Box.HoldsPoint(p) && c.outline.Locate(p) != geom.Outside {
			return c
		}
	}
	return nil
}

// copyIn gives the copy that a box reaches into, nil for none.
func (b *build) copyIn(box geom.Box) *board {
	for i := range b.boards {
		c := &b.boards[i]
		if !c.Box.Overlaps(box) {
			continue
		}
		if d, _, _ := c.near.Distance(geom.Outline{Outer: geom.Rectangle(box)}); d == 0 {
			return c
		}
	}
	return nil
}
