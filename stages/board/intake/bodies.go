package intake

import (
	"context"
	"crypto/sha256"
	"encoding/hex"
	"fmt"
	"math"
	"path"
	"slices"

	"panelwright/pipeline"
	"panelwright/pipeline/format/packages"
	"panelwright/pipeline/geom"
	"panelwright/pipeline/panel"
)

// readBodies reads the shop's table of bodies, where the recipe names one.
func (r *Result) readBodies(ctx context.Context, files pipeline.Files) error {
	if r.req.Packages.Text == "" {
		return nil
	}
	found, err := files.List(ctx, r.req.Packages)
	if err != nil {
		return err
	}
	if len(found) != 1 {
		r.problem(fmt.Sprintf("packages = %q means %s, not one", r.req.Packages.Text, counted(len(found), "file")), "name the one table of bodies")
		return nil
	}
	data, err := files.Read(ctx, found[0])
	if err != nil {
		return err
	}
	name := path.Base(found[0].Text)
	t, err := packages.Read(name, data)
	if err != nil {
		r.Problems = append(r.Problems, err)
		return nil
	}
	sum := sha256.Sum256(data)
	r.bodies = t
	r.packages = &panel.SourceFile{Name: name, SHA256: hex.EncodeToString(sum[:]), Bytes: int64(len(data)), Use: "bodies of parts"}
	return nil
}

// settleBodies gives the parts what the table says of their packages, and tells what follows for the
// board's edge.
func (r *Result) settleBodies() {
	if r.bodies == nil {
		return
	}
	var unknown []string
	for i := range r.parts {
		p := &r.parts[i]
		row, ok := r.bodies.For(p.Package)
		if !ok {
			name := p.Package
			if name == "" {
				name = "no package"
			}
			unknown = append(unknown, name)
			continue
		}
		p.Body = panel.Body{By: panel.ByTable, Length: row.Length, Width: row.Width, Offset: geom.Pt(row.OffsetX, row.OffsetY), Height: row.Height,
			Underside: row.Underside, Mass: row.Mass, Overhang: row.Overhang, Fragile: row.Fragile || row.Height >= panel.Tall}
		if row.Class != "" {
			p.Body.Class, p.Body.ClassBy = panel.PartClass(row.Class), panel.ByTable
		}
	}
	slices.Sort(unknown)
	if unknown = slices.Compact(unknown); len(unknown) > 0 {
		r.find("package-not-listed", pipeline.Note, fmt.Sprintf("%s says nothing of %s: %s", r.packages.Name, counted(len(unknown), "package"), some(unknown)))
	}
	for _, p := range r.PartsOverEdge() {
		if p.Guessed {
			continue
		}
		severity, what := pipeline.Warning, ""
		if p.Meant {
			severity, what = pipeline.Note, ", as its package is meant to"
		}
		r.find("part-stands-out", severity, fmt.Sprintf("%s (%s) stands out over the board's edge by %s%s", p.Refdes, p.Package, p.By, what))
	}
	var fragile []string
	for _, p := range r.parts {
		if p.Body.Fragile {
			fragile = append(fragile, p.Refdes)
		}
	}
	if len(fragile) > 0 {
		r.find("parts-fragile", pipeline.Note, fmt.Sprintf("%s fragile, or %s and higher, by %s: %s", counted(len(fragile), "part"), panel.Tall, r.packages.Name, some(fragile)))
	}
}

func some(names []string) string {
	const most = 12
	if n := len(names); n > most {
		names = append(names[:most:most], fmt.Sprintf("%d more", n-most))
	}
	return list(names)
}

// PartOverEdge is a part whose body stands out over the board's edge.
type PartOverEdge struct {
	Refdes  string      `json:"refdes"`
	Package string      `json:"package,omitempty"`
	Side    panel.Side  `json:"side"`
	By      geom.Length `json:"-"`
	MM      string      `json:"by_mm"`
	Meant   bool        `json:"meant,omitempty"`   // the table says that the package is made so
	Guessed bool        `json:"guessed,omitempty"` // the body is a guess from the part's pads
}

// Line says it in words.
func (p PartOverEdge) Line() string {
	s := fmt.Sprintf("%s stands out over the edge by %s", p.Refdes, p.By)
	switch {
	case p.Meant:
		s += ", as it is meant to"
	case p.Guessed:
		s += ", guessed from its pads"
	}
	return s
}

// PartsOverEdge lists the parts that stand out over the board's edge, by bodies from the table and by
// guesses where the table is silent; none where the placement is not in the board's coordinates.
func (r *Result) PartsOverEdge() []PartOverEdge {
	if !r.Outline.Found || r.partsElsewhere {
		return nil
	}
	b := &panel.Board{Outline: r.Outline.Outline}
	var out []PartOverEdge
	for _, p := range r.Bodies() {
		if by := b.OverEdge(p); by > 0 {
			out = append(out, PartOverEdge{p.Refdes, p.Package, p.Side, by, by.Decimal(), p.Body.Overhang, p.Body.By == panel.ByPads})
		}
	}
	return out
}

// Bodies gives the parts with a body each, where one is known or can be guessed: a part of which the
// table says nothing takes the room of its pads. A guess is worked out here; settleClasses alone carries some
// of them further.
func (r *Result) Bodies() []panel.Part {
	if r.withBodies != nil || len(r.parts) == 0 || r.partsElsewhere {
		return r.withBodies
	}
	out := slices.Clone(r.parts)
	pads := &padSides{r, map[panel.Side]*fitter{}}
	for _, side := range []panel.Side{panel.Top, panel.Bottom} {
		guessBodies(out, side, pads.on(side).field)
	}
	r.withBodies = out
	return out
}

// guessBodies gives the parts of one side the box round their pads, in the part's own directions.
// Pads that carry names belong to the part named. Others belong to the part whose place is nearest,
// and of those with a like opposite: the pads that lie as two and two about the place; where there are
// none such, all within twice the distance of the nearest.
func guessBodies(parts []panel.Part, side panel.Side, f *field) {
	const far = 25 * geom.MM
	var open []int
	byName := map[string][]int{}
	var places []pad
	for i, p := range parts {
		if p.Side == side && !p.Body.Sized() {
			open = append(open, i)
		}
		if p.Side == side {
			byName[p.Refdes] = append(byName[p.Refdes], i)
			places = append(places, pad{at: p.At, refdes: p.Refdes})
		}
	}
	if len(open) == 0 || len(f.pads) == 0 {
		return
	}
	near := newField(places)
	own := map[geom.Point][]pad{} // by the part's place
	named := map[string][]pad{}
	for _, q := range f.pads {
		if q.refdes != "" {
			named[q.refdes] = append(named[q.refdes], q)
			continue
		}
		if i, _ := near.nearest(q.at, far); i >= 0 {
			own[near.pads[i].at] = append(own[near.pads[i].at], q)
		}
	}
	for _, i := range open {
		p := &parts[i]
		mine := named[p.Refdes]
		if len(mine) == 0 || len(byName[p.Refdes]) > 1 {
			mine = about(p.At, own[p.At])
		}
		if len(mine) == 0 {
			continue
		}
		back := geom.Transform{Turn: p.Turn, Shift: p.At}.Inverse()
		box := geom.EmptyBox()
		for _, q := range mine {
			for _, e := range geom.Rectangle(q.box) {
				box = box.Extend(back.Apply(e.From))
			}
		}
		off := box.Center()
		if side == panel.Bottom {
			off.X = -off.X
		}
		p.Body.By, p.Body.Length, p.Body.Width, p.Body.Offset = panel.ByPads, box.Width(), box.Height(), off
	}
}

// about chooses the pads of a part at c among those nearest to it.
func about(c geom.Point, all []pad) []pad {
	var pairs []pad
	nearest := math.Inf(1)
	for i, p := range all {
		nearest = math.Min(nearest, p.at.Distance(c))
		opposite := geom.Pt(2*c.X-p.at.X, 2*c.Y-p.at.Y)
		for j, q := range all {
			if q.like(p) && q.at.Distance(opposite) <= 2*float64(agreement) && (i != j || p.at.Distance(c) <= float64(agreement)) {
				pairs = append(pairs, p)
				break
			}
		}
	}
	if len(pairs) > 0 {
		return pairs
	}
	return slices.DeleteFunc(slices.Clone(all), func(p pad) bool { return p.at.Distance(c) > 2*nearest })
}
