package proof

import (
	"context"
	"fmt"
	"slices"
	"strings"

	"panelwright/pipeline"
	"panelwright/pipeline/format/gerber"
	"panelwright/pipeline/geom"
	"panelwright/pipeline/geom/overlay"
	"panelwright/pipeline/panel"
	"panelwright/pipeline/panel/artwork"
	"panelwright/pipeline/proof/apart"
)

// The rules of the geometry that was written.
const (
	ruleProfile    = "written-profile"
	ruleOpen       = "open-contour"
	ruleLoose      = "loose-piece"
	ruleNotFree    = "board-not-free"
	ruleDamaged    = "board-damaged"
	ruleTabMissing = "tab-missing"
	ruleInBoard    = "perforation-in-board"
)

// geometry proves, on what was written, that the panel is one piece before it is broken and that every
// board comes off it as it should. What else of the profile differs from the plan is told of only where
// none of this explains it.
func (p *prover) geometry(ctx context.Context) error {
	material, ok, err := p.material(ctx)
	if err != nil || !ok {
		return err
	}
	planned, err := p.in.Panel.Material(ctx, p.in.Workers)
	if err != nil {
		return err
	}
	before := len(p.findings)
	x := apart.Panel{Material: material, Rows: p.perforations, Holes: p.round, Routs: p.routs}
	if cutters := p.in.Panel.Cutters(); len(cutters) > 0 {
		x.Cutter = cutters[len(cutters)-1]
	}
	copies := p.in.Panel.Copies()
	if x.Boards, err = p.expected(ctx, copies); err != nil {
		return err
	}
	p.breaks(&x)
	loose, err := apart.Loose(ctx, x)
	if err != nil {
		return err
	}
	for _, piece := range loose {
		p.reportLoose(piece, copies)
	}
	if err := p.judgeBoards(ctx, x, copies); err != nil {
		return err
	}
	if len(p.findings) > before {
		return nil
	}
	return p.compareProfile(ctx, material, planned)
}

// expected gives every board as it should come off: its outline, and with it the blank laminate that the plan
// leaves on it beside score lines.
func (p *prover) expected(ctx context.Context, copies []panel.Copy) ([]apart.Board, error) {
	blanks, stays := map[string]geom.Region{}, map[string]geom.Region{}
	for _, b := range p.in.Panel.Blanks() {
		blanks[b.Copy] = append(blanks[b.Copy], b.Outline)
	}
	for _, u := range p.in.Panel.Unreached() {
		stays[u.Copy] = append(stays[u.Copy], u.Outline)
	}
	out := make([]apart.Board, len(copies))
	err := pipeline.Each(ctx, p.in.Workers, len(copies), func(i int) error {
		c := copies[i]
		out[i] = apart.Board{ID: c.ID, Outline: c.Outline(), Stays: stays[c.ID]}
		if len(blanks[c.ID]) == 0 {
			return nil
		}
		whole, err := overlay.Union(ctx, overlay.Options{Workers: 1}, overlay.Of(c.Outline()), overlay.Of(blanks[c.ID]...))
		if err != nil {
			return err
		}
		largest := 0
		for k, o := range whole {
			if o.Area() > whole[largest].Area() {
				largest = k
			}
		}
		out[i].Outline = whole[largest] // laminate that hangs on to the board by nothing falls off, which Loose or Judge tell
		return nil
	})
	return out, err
}

// material reads the profile back: what lies within its contours.
func (p *prover) material(ctx context.Context) (geom.Region, bool, error) {
	name := p.file("profile", ".gbr")
	data, ok, err := p.take(name)
	if err != nil || !ok {
		return nil, false, err
	}
	var edges []geom.Edge
	strange := 0
	if _, _, err := gerber.Read(name, data, gerber.Options{MaxObjects: 1 << 28, Visit: func(_ *artwork.Image, objects []artwork.Object) {
		for _, o := range objects {
			if o.Kind == artwork.Stroke && !o.Clear {
				edges = append(edges, o.Edge)
			} else {
				strange++
			}
		}
	}}); err != nil {
		p.report(ruleProfile, name, nil, nil, "cannot be read back: %v", err)
		return nil, false, nil
	}
	if strange > 0 {
		p.report(ruleProfile, name, nil, nil, "%d objects are no contours", strange)
		return nil, false, nil
	}
	joined, err := geom.Join(edges, 0)
	if err != nil {
		p.report(ruleProfile, name, nil, nil, "its contours cannot be followed: %v", err)
		return nil, false, nil
	}
	for _, c := range joined.Open {
		from, to := c.From, c.To
		p.report(ruleOpen, name, nil, &from, "a contour of the profile does not close: it runs from %v to %v mm, %v apart", from, to, geom.Round(from.Distance(to)))
	}
	if len(joined.Open) > 0 {
		return nil, false, nil
	}
	out, err := overlay.Union(ctx, overlay.Options{Workers: p.in.Workers}, overlay.Operand{Paths: joined.Loops, Rule: overlay.EvenOdd})
	return out, err == nil, err
}

// breaks gives the lines along which the panel breaks: through the perforations as written, row by row,
// and along the score lines.
func (p *prover) breaks(x *apart.Panel) {
	index := map[string]int{}
	for i, b := range x.Boards {
		index[b.ID] = i
	}
	walls := contours(x.Material)
	holes, depths := map[rowKey]int{}, map[rowKey]geom.Length{}
	for _, h := range p.in.Panel.Perforations() {
		holes[rowKey{h.Tab, h.Row}]++
		depths[rowKey{h.Tab, h.Row}] = h.Diameter / 2
	}
	for _, t := range p.in.Panel.Tabs() {
		for n, r := range t.Rows {
			depths[rowKey{t.ID, n}] = max(0, r.Inset-depths[rowKey{t.ID, n}])
		}
	}
	locate := geom.NewLocator(x.Material)
	for _, t := range p.in.Panel.Tabs() {
		middle := geom.Pt((t.Feet[0].X+t.Feet[1].X)/2, (t.Feet[0].Y+t.Feet[1].Y)/2)
		if locate.Locate(middle) == geom.Outside {
			p.report(ruleTabMissing, t.ID, t.Copies, &middle, "%s at %v mm has no material: the slot runs through it", t.ID, middle)
			continue
		}
		for n, r := range t.Rows {
			key := rowKey{t.ID, n}
			if holes[key] > 0 && len(p.rows[key]) == 0 {
				continue // every hole of it is missing, which is told of
			}
			line := breakLine(r, p.rows[key], walls, depths[key] > 0)
			if len(line) == 0 {
				continue
			}
			b := apart.Break{Line: line}
			for _, id := range r.Copies {
				b.Stubs = append(b.Stubs, apart.Stub{Board: index[id], Height: r.Stub, Depth: depths[key]})
			}
			x.Breaks = append(x.Breaks, b)
		}
	}
	for _, e := range p.scored {
		x.Breaks = append(x.Breaks, apart.Break{Line: geom.Path{e}})
	}
}

// contours indexes a material's edges.
func contours(r geom.Region) *geom.Index[geom.Edge] {
	var index geom.Index[geom.Edge]
	for _, path := range r.Paths() {
		for _, e := range path {
			index.Insert(e.Box(), e)
		}
	}
	return &index
}

// onTo is how far a break is led on past a row's last hole, at most, to meet a slot.
const onTo = 5 * geom.MM

// breakLine gives a row's line through the holes as written, led on at both ends into the slots. A row
// without holes, where a tab is cut off by hand, is as planned.
func breakLine(r panel.Row, holes []geom.Point, walls *geom.Index[geom.Edge], inside bool) geom.Path {
	if len(r.Line) == 0 {
		return nil
	}
	if len(holes) == 0 {
		return r.Line
	}
	first, last := r.Line[0].From, r.Line[len(r.Line)-1].To
	points := slices.Concat([]geom.Point{ledOn(holes[0], first, walls, inside)}, holes, []geom.Point{ledOn(holes[len(holes)-1], last, walls, inside)})
	var out geom.Path
	for i := 1; i < len(points); i++ {
		if points[i-1] != points[i] {
			out = append(out, geom.Line(points[i-1], points[i]))
		}
	}
	return out
}

// ledOn gives the end of a break that runs from a hole towards a place: a little past where it meets a
// contour. A row inside of the board runs beside the slot: its break goes on to the slot's end.
func ledOn(hole, towards geom.Point, walls *geom.Index[geom.Edge], inside bool) geom.Point {
	d := hole.Distance(towards)
	if d == 0 {
		return towards
	}
	at := func(l float64) geom.Point {
		return geom.Pt(hole.X+geom.Round(float64(towards.X-hole.X)*l/d), hole.Y+geom.Round(float64(towards.Y-hole.Y)*l/d))
	}
	ray := geom.Line(hole, at(float64(onTo)))
	best := -1.0
	look := ray.Box()
	if inside {
		look = geom.EmptyBox()
	}
	walls.Search(look, func(_ geom.Box, e geom.Edge) bool {
		for _, q := range ray.Intersections(e) {
			if l := hole.Distance(q); best < 0 || l < best {
				best = l
			}
		}
		return true
	})
	if best >= 0 {
		return at(best + float64(20*geom.UM))
	}
	end, least := towards, float64(onTo)
	walls.Search(geom.BoxOf(hole).Grow(onTo), func(_ geom.Box, e geom.Edge) bool {
		l, q := geom.PointEdgeDistance(hole, e)
		if onwards := float64(float64(q.X-hole.X)*float64(towards.X-hole.X)) + float64(float64(q.Y-hole.Y)*float64(towards.Y-hole.Y)); onwards > 0 && l < least {
			least, end = l, q
		}
		return true
	})
	return past(hole, end, 20*geom.UM)
}

// past gives the point beyond one seen from another.
func past(from, to geom.Point, by geom.Length) geom.Point {
	d := from.Distance(to)
	if d == 0 {
		return to
	}
	return geom.Pt(to.X+geom.Round(float64(to.X-from.X)*float64(by)/d), to.Y+geom.Round(float64(to.Y-from.Y)*float64(by)/d))
}

// reportLoose reports a piece that falls out.
func (p *prover) reportLoose(piece geom.Outline, copies []panel.Copy) {
	box := piece.Box()
	at := box.Center()
	if piece.Locate(at) != geom.Inside {
		at = piece.Outer[0].Beside(0.5, min(box.Width(), box.Height())/10)
	}
	var held []string
	for _, c := range copies {
		if !c.Box().Overlaps(box) {
			continue
		}
		for _, e := range c.Outline().Outer {
			if piece.Locate(e.Beside(0.5, 50*geom.UM)) == geom.Inside {
				held = append(held, c.ID)
				break
			}
		}
	}
	what := "a piece of waste"
	if len(held) > 0 {
		what = strings.Join(held, ", ")
	}
	p.report(ruleLoose, what, held, &at, "%s hangs on to nothing before breaking: %v x %v mm, %.2f mm²; its outline: %s",
		what, box.Width().Decimal(), box.Height().Decimal(), piece.Area()/1e12, outlineText(piece.Outer))
}

// outlineText lists a path's corners in mm, the first twelve of them.
func outlineText(p geom.Path) string {
	var b strings.Builder
	for i, e := range p {
		if i == 12 {
			fmt.Fprintf(&b, " and %d more", len(p)-i)
			break
		}
		if i > 0 {
			b.WriteString(" ")
		}
		b.WriteString(e.From.String())
	}
	return b.String()
}

// judgeBoards judges every copy; those that look alike once.
func (p *prover) judgeBoards(ctx context.Context, x apart.Panel, copies []panel.Copy) error {
	judge := apart.New(x)
	groups := map[string]int{}
	var alike [][]int
	keys := make([]string, len(copies))
	if err := pipeline.Each(ctx, p.in.Workers, len(copies), func(i int) error {
		keys[i] = judge.Key(i)
		return nil
	}); err != nil {
		return err
	}
	for i := range copies {
		k, ok := groups[keys[i]]
		if !ok {
			k = len(alike)
			groups[keys[i]] = k
			alike = append(alike, nil)
		}
		alike[k] = append(alike[k], i)
	}
	found := make([][]apart.Finding, len(alike))
	if err := pipeline.Each(ctx, p.in.Workers, len(alike), func(k int) error {
		var err error
		found[k], _, err = judge.Judge(ctx, alike[k][0])
		if err != nil {
			return fmt.Errorf("proof of %s: %w", copies[alike[k][0]].ID, err)
		}
		return nil
	}); err != nil {
		return err
	}
	for k, group := range alike {
		var ids []string
		for _, i := range group {
			ids = append(ids, copies[i].ID)
		}
		for _, f := range found[k] {
			p.reportBoard(f, copies, ids)
		}
	}
	return nil
}

func (p *prover) reportBoard(f apart.Finding, copies []panel.Copy, ids []string) {
	id := copies[f.Board].ID
	area, depth := f.Area/1e12, f.Depth
	switch f.Fault {
	case apart.HangsOn:
		to := "the frame"
		if len(f.To) > 0 {
			var names []string
			for _, k := range f.To {
				names = append(names, copies[k].ID)
			}
			to = strings.Join(names, ", ")
		}
		p.report(ruleNotFree, id, ids, &f.At, "%s does not come free along its breaks: it stays with %s, past its edge at %v mm", id, to, f.At)
	case apart.Waste:
		p.report(ruleNotFree, id, ids, &f.At, "%s comes off with waste on it that no cut or break takes away: %.4f mm² that stand out by %v, at %v mm", id, area, depth, f.At)
	case apart.SlugStays:
		p.report(ruleNotFree, id, ids, &f.At, "a cut-out of %s is not cut out: %.4f mm² stay in it, at %v mm", id, area, f.At)
	case apart.CutInTwo:
		p.report(ruleDamaged, id, ids, &f.At, "%s comes off in pieces: one of %.4f mm² at %v mm is cut off from the rest", id, area, f.At)
	default:
		p.report(ruleDamaged, id, ids, &f.At, "%.4f mm² of %s are cut away, %v deep, at %v mm", area, id, depth, f.At)
	}
}

// compareProfile finds where the written profile differs from the plan.
func (p *prover) compareProfile(ctx context.Context, got, want geom.Region) error {
	same := slices.EqualFunc(got.Paths(), want.Paths(), func(a, b geom.Path) bool { return slices.Equal(a, b) })
	if same {
		return nil
	}
	name := p.file("profile", ".gbr")
	diff, err := overlay.SymmetricDifference(ctx, overlay.Options{Workers: p.in.Workers}, overlay.Of(got...), overlay.Of(want...))
	if err != nil {
		return err
	}
	for _, o := range diff {
		if !o.Thicker(slack) {
			continue
		}
		at := o.Outer[0].From
		p.report(ruleProfile, name, nil, &at, "the written contours differ from the plan by %.4f mm² at %v mm", o.Area()/1e12, at)
	}
	return nil
}
