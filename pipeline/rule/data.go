package rule

import (
	"context"
	"fmt"
	"math"
	"slices"
	"strings"

	"panelwright/pipeline"
	"panelwright/pipeline/geom"
	"panelwright/pipeline/panel"
	"panelwright/pipeline/panel/artwork"
	"panelwright/pipeline/panel/edgeclass"
)

// layersComplete finds layers and drill files that a placed board surely has and whose files are not there.
func layersComplete(_ context.Context, in pipeline.Case) ([]pipeline.Finding, error) {
	boards := placedBoards(in.Panel)
	var out []pipeline.Finding
	for _, b := range boards {
		lacks := func(what string) {
			out = append(out, pipeline.Finding{Feature: b.feature(), Copies: b.ids(), Message: fmt.Sprintf("board %s has %s", b.Name, what)})
		}
		var missing []string
		for i := 1; i <= b.CopperCount; i++ {
			if b.copper(i) == nil {
				missing = append(missing, fmt.Sprint(i))
			}
		}
		if len(missing) > 0 {
			lacks(fmt.Sprintf("%s, and no file for copper layer %s; the recipe allows it by saying copper_layers",
				counted(b.CopperCount, "copper layer", "copper layers"), strings.Join(missing, ", ")))
			out[len(out)-1].Severity = pipeline.Warning // whoever reads the board without that word refuses it
		}
		for _, side := range []panel.Side{panel.Top, panel.Bottom} {
			if why := b.maskWanted(side, in.Panel, boards); why != "" && b.Layer(panel.Function{Kind: panel.Soldermask, Side: side}) == nil {
				lacks(fmt.Sprintf("copper on the %s, and no file for the mask there, but %s: all of it would be covered; add the file", side, why))
			}
		}
		if why := b.holesWanted(); why != "" {
			lacks("no plated hole in any file, but " + why + ": add the drill file")
		}
	}
	return out, nil
}

// copper gives copper layer i, nil where no file has it.
func (b placedBoard) copper(i int) *panel.Layer {
	for k := range b.Layers {
		if f := b.Layers[k].Function; f.Kind == panel.Copper && f.Index == i {
			return &b.Layers[k]
		}
	}
	return nil
}

// maskWanted says why a side of the board should have a mask; "" when nothing says so.
func (b placedBoard) maskWanted(side panel.Side, p panel.Panel, boards []placedBoard) string {
	index := 1
	other := panel.Bottom
	if side == panel.Bottom {
		index, other = b.CopperCount, panel.Top
	}
	if l := b.copper(index); l == nil || l.Function.Side != side || len(l.Image.Objects) == 0 {
		return ""
	}
	mask := func(b *panel.Board, s panel.Side) bool {
		return b.Layer(panel.Function{Kind: panel.Soldermask, Side: s}) != nil
	}
	if mask(b.Board, other) {
		return "its " + string(other) + " has one"
	}
	for _, o := range boards {
		if mask(o.Board, side) {
			return "board " + o.Name + " has one"
		}
	}
	for _, m := range p.Marks() {
		if m.Kind == panel.Fiducial && slices.Contains(m.Sides, side) {
			return m.ID + " opens one"
		}
	}
	return ""
}

// holesWanted says why the board should have plated holes where it has none; "" where it has some, or nothing
// says that it should.
func (b placedBoard) holesWanted() string {
	for _, f := range b.Drills {
		if f.Plating == artwork.Plated && len(f.Drilling.Holes)+len(f.Drilling.Routs) > 0 {
			return ""
		}
	}
	if b.Netlist != nil {
		n := 0
		for _, q := range b.Netlist.Points {
			if q.Drill > 0 && q.Plated {
				n++
			}
		}
		if n > 0 {
			return fmt.Sprintf("%s has %s", b.Netlist.Source, counted(n, "point with one", "points with one"))
		}
	}
	// The layer format's words for pads round plated holes: ViaPad, and ComponentPad for leads (chapter 5 of
	// its specification).
	for _, l := range b.Layers {
		if l.Function.Kind != panel.Copper {
			continue
		}
		n := 0
		for _, o := range l.Image.Objects {
			if o.Kind != artwork.Flash || o.Clear {
				continue
			}
			set := l.Image.Apertures[o.Aperture].Set
			if int(set) < len(l.Image.Sets) {
				if v := l.Image.Sets[set].Get(".AperFunction"); len(v) > 0 && (v[0] == "ViaPad" || v[0] == "ComponentPad") {
					n++
				}
			}
		}
		if n > 0 {
			return fmt.Sprintf("layer %s says of %s that a hole is in it", l.Function.Key(), counted(n, "pad", "pads"))
		}
	}
	return ""
}

// revisionUnknown finds placed boards whose part number or revision nobody says. That recipe and files contradict
// each other is told by the board stage when it reads them.
func revisionUnknown(_ context.Context, in pipeline.Case) ([]pipeline.Finding, error) {
	var out []pipeline.Finding
	for _, b := range placedBoards(in.Panel) {
		var lacks []string
		if b.PartNumber == "" {
			lacks = append(lacks, "part number")
		}
		if b.Revision == "" {
			lacks = append(lacks, "revision")
		}
		if len(lacks) > 0 {
			what := strings.Join(lacks, " and ")
			out = append(out, pipeline.Finding{Feature: b.feature(), Copies: b.ids(),
				Message: fmt.Sprintf("nobody says the %s of board %s, so nobody can tell later what was built; say it in its board stage", what, b.Name)})
		}
	}
	return out, nil
}

// revisionsMixed finds boards of one part number and different revisions on one panel.
func revisionsMixed(_ context.Context, in pipeline.Case) ([]pipeline.Finding, error) {
	var out []pipeline.Finding
	boards := placedBoards(in.Panel)
	for i, b := range boards {
		for _, a := range boards[:i] {
			if a.PartNumber == "" || !strings.EqualFold(a.PartNumber, b.PartNumber) || a.Revision == b.Revision || a.Revision == "" || b.Revision == "" {
				continue
			}
			out = append(out, pipeline.Finding{Feature: b.feature(), Copies: b.ids(),
				Message: fmt.Sprintf("boards %s and %s are both %s, but of revision %s and %s: they would be mixed up once they are parted",
					a.Name, b.Name, b.PartNumber, a.Revision, b.Revision)})
			break
		}
	}
	return out, nil
}

// named is how many parts or holes of a board are told of one by one; more have one cause.
const named = 8

// partInsideBoard finds parts whose place lies outside the board's outer edge. A part that its package's row
// lets stand out is meant to; cut-outs do not count, since a body may well lie over one.
func partInsideBoard(_ context.Context, in pipeline.Case) ([]pipeline.Finding, error) {
	var out []pipeline.Finding
	for _, b := range placedBoards(in.Panel) {
		if b.PartsElsewhere {
			continue
		}
		outer := geom.Outline{Outer: b.Outline.Outer}
		var found []pipeline.Finding
		worst := -1
		for _, x := range b.Parts {
			if x.Body.Overhang {
				continue
			}
			v := 0.0
			if outer.Locate(x.At) == geom.Outside {
				v = math.Round(outer.Distance(x.At)) / 1e6
			}
			if v <= in.Limit+tolerance {
				continue
			}
			at := b.copies[0].Place.Apply(x.At)
			if worst < 0 || v > *found[worst].Measured {
				worst = len(found)
			}
			found = append(found, pipeline.Finding{At: &at, Feature: b.feature() + "/part/" + x.Refdes, Copies: b.ids(), Measured: &v,
				Message: fmt.Sprintf("%s of board %s is placed %s mm outside the board's edge; at most %v mm are allowed", x.Refdes, b.Name, trim(v), in.Limit)})
		}
		if len(found) > named {
			f := found[worst]
			f.Feature = b.feature()
			f.Message = fmt.Sprintf("%d parts of board %s are placed outside its edge, as if their origin were another one; the furthest by %s mm, and at most %v mm are allowed",
				len(found), b.Name, trim(*f.Measured), in.Limit)
			found = []pipeline.Finding{f}
		}
		out = append(out, found...)
	}
	return out, nil
}

// hitInsideBoard finds holes and slots of a board's drill files that reach over the board's own edge, but for
// plated ones where the edge is castellated, plated or has fingers.
func hitInsideBoard(ctx context.Context, in pipeline.Case) ([]pipeline.Finding, error) {
	var out []pipeline.Finding
	for _, b := range placedBoards(in.Panel) {
		border := geom.Prepare(b.Outline.Outer)
		within := geom.NewLocator(geom.Region{{Outer: b.Outline.Outer}})
		var classes *edgeclass.Locator
		belongs := func(at geom.Point) (bool, error) {
			if classes == nil {
				list, err := edgeclass.Find(ctx, b.Board)
				if err != nil {
					return false, err
				}
				classes = edgeclass.NewLocator(b.Board, list)
			}
			return classes.Holds(at), nil
		}
		// over gives how far a disc reaches beyond the edge in nm; not more than 0 where it lies within.
		over := func(at geom.Point, r float64) float64 {
			d, _, _ := border.Distance(at)
			if within.Locate(at) != geom.Outside {
				return r - d
			}
			return r + d
		}
		for _, f := range b.Drills {
			n, most, place := 0, 0.0, geom.Point{}
			hit := func(at geom.Point, d geom.Length) (float64, error) {
				v := over(at, float64(d)/2)
				if v/1e6 <= in.Limit+tolerance {
					return 0, nil
				}
				if f.Plating == artwork.Plated {
					if ok, err := belongs(at); ok || err != nil {
						return 0, err
					}
				}
				return v, nil
			}
			count := func(v float64, at geom.Point) {
				if v > 0 {
					n++
				}
				if v > most {
					most, place = v, at
				}
			}
			for i, h := range f.Drilling.Holes {
				if i%4096 == 0 && ctx.Err() != nil {
					return nil, ctx.Err()
				}
				v, err := hit(h.At, f.Drilling.Tools[h.Tool].Diameter)
				if err != nil {
					return nil, err
				}
				count(v, h.At)
			}
			for _, s := range f.Drilling.Routs {
				v, at, err := furthest(s.Path, func(q geom.Point) (float64, error) { return hit(q, f.Drilling.Tools[s.Tool].Diameter) })
				if err != nil {
					return nil, err
				}
				count(v, at)
			}
			if n == 0 {
				continue
			}
			v := math.Round(most) / 1e6
			at := b.copies[0].Place.Apply(place)
			out = append(out, pipeline.Finding{At: &at, Feature: b.feature() + "/" + f.Key(), Copies: b.ids(), Measured: &v,
				Message: fmt.Sprintf("%s of board %s: %s over the board's own edge, the furthest by %s mm; at most %v mm are allowed",
					f.Source, b.Name, counted(n, "hole or slot reaches", "holes and slots reach"), trim(v), in.Limit)})
		}
	}
	return out, nil
}

// hitFigure gives how far a hole reaches over its board's edge; 0 where all lie within, however far.
func hitFigure(ctx context.Context, c pipeline.Case, found []pipeline.Finding) (pipeline.Figure, error) {
	if c.Limit > 0 && len(found) == 0 {
		c.Limit = 0
		var err error
		if found, err = hitInsideBoard(ctx, c); err != nil {
			return pipeline.Figure{}, err
		}
		pipeline.SortFindings(found)
	}
	switch w := worstFigure(pipeline.AtMost, found); {
	case w != nil:
		return pipeline.Figure{Worst: w}, nil
	case !anyBores(c.Panel):
		return pipeline.Figure{Nothing: true}, nil
	case c.Limit < 0:
		return pipeline.Figure{}, nil
	}
	none := 0.0
	return pipeline.Figure{Worst: &pipeline.Finding{Measured: &none}}, nil
}

// furthest gives the largest value along a path: at its corners, and every 0.1 mm between them.
func furthest(p geom.Path, value func(geom.Point) (float64, error)) (most float64, at geom.Point, err error) {
	const step = float64(100 * geom.UM)
	for _, e := range p {
		n := max(1, int(math.Ceil(e.Length()/step)))
		for i := range n + 1 {
			q := e.To
			if i < n {
				q = e.At(float64(i) / float64(n))
			}
			v, err := value(q)
			if err != nil {
				return 0, geom.Point{}, err
			}
			if v > most {
				most, at = v, q
			}
		}
	}
	return most, at, nil
}
