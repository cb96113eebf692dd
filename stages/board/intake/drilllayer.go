package intake

import (
	"errors"
	"fmt"
	"path"
	"strings"

	"panelwright/pipeline"
	"panelwright/pipeline/geom"
	"panelwright/pipeline/panel"
	"panelwright/pipeline/panel/artwork"
)

// namedDrill tells whether a drill block's label names this very layer file: then it holds drill data
// in the layer format. A pattern never means layer files.
func (f *File) namedDrill(label string) bool {
	return f.Kind == LayerFile && !strings.ContainsAny(label, `*?[\`) && (label == f.Name || label == path.Base(f.Name))
}

// drillClaim is what a layer file is for that a drill block names, unless its own attribute says that
// it is something else: a drawing of the holes is no drill data.
func (r *Result) drillClaim(f *File, own claim, said bool) claim {
	if said && !own.drill {
		r.problem(fmt.Sprintf("%s: the drill block %q takes it for drill data, but its own attribute says %s", f.Name, f.drillRule.Files,
			strings.Join(f.Image.Attributes.Get(".FileFunction"), ",")), "take the block away, or name a file of drill data")
		return own
	}
	return claim{drill: true, from: byRecipe}
}

// jobFunction gives the file function that the job file has for a drill file; nil where it is silent.
func (r *Result) jobFunction(name string) []string {
	for _, f := range r.of(JobFile) {
		if f.job == nil {
			continue
		}
		if v := f.job.function(name); platingOf(v) != artwork.PlatingUnknown {
			return v
		}
		return nil
	}
	return nil
}

// platingOf and spanOf read the fields of a file function such as Plated,1,4,PTH.
func platingOf(v []string) artwork.Plating {
	if len(v) > 0 {
		switch v[0] {
		case "Plated":
			return artwork.Plated
		case "NonPlated":
			return artwork.NonPlated
		}
	}
	return artwork.PlatingUnknown
}

func spanOf(v []string) (from, to int, ok bool) {
	if len(v) < 3 {
		return 0, 0, false
	}
	from, to = atoi(v[1]), atoi(v[2])
	return from, to, from > 0 && to >= from
}

// drillLayers takes drill data that were written as layers: where the same span and plating is there
// as a drill file the two are held against one another, otherwise flashes are holes and strokes slots
// (the layer format specification's section on drill and rout data in the layer format, from memory).
func (r *Result) drillLayers(drills []panel.DrillFile, copper int) []panel.DrillFile {
	var out []panel.DrillFile
	for _, f := range r.of(LayerFile) {
		if !f.claim.drill {
			continue
		}
		d, err := drillingOf(f.Image)
		function := f.Image.Attributes.Get(".FileFunction")
		if platingOf(function) == artwork.PlatingUnknown {
			function = r.jobFunction(f.Name)
		}
		from, to, spanned := spanOf(function)
		plating := platingOf(function)
		if rule := f.drillRule; rule != nil {
			if rule.From > 0 {
				from, to, spanned = rule.From, rule.To, true
			}
			if rule.Plating != artwork.PlatingUnknown {
				plating = rule.Plating
			}
		}
		if !spanned {
			from, to = 1, copper
		}
		if from < 1 || to > copper || from >= to && copper > 1 {
			r.problem(fmt.Sprintf("%s: %s says that it goes from layer %d to layer %d; the board has %s", f.Name, f.claim.from, from, to, counted(copper, "copper layer")),
				fmt.Sprintf("say it in the recipe, in the board stage:\n  drill %q {\n    from = 1\n    to   = %d\n  }", f.Name, copper))
			continue
		}
		if plating == artwork.PlatingUnknown {
			r.problem(f.Name+": nobody says whether its holes are plated", fmt.Sprintf("say it in the recipe, in the board stage:\n  drill %q {\n    plating = \"plated\"\n  }", f.Name))
			continue
		}
		what := fmt.Sprintf("drill data as a layer (%s)", strings.Join(function, ","))
		if len(function) == 0 {
			what = "drill data as a layer"
		}
		if o, ok := sameKey(drills, plating, from, to); ok {
			f.Ignored = what + ": the same holes are taken from " + o.Source
			if err == nil {
				r.compareLayer(f, d, drills, o)
			}
			continue
		}
		if err != nil {
			r.problem(fmt.Sprintf("%s: it holds %s, and no drill file has that span and plating; %v", f.Name, what, err),
				"have the drill data written as a drill file (XNC); or ignore it in the recipe:\n"+ignoreProposal(f.Name))
			continue
		}
		d.Plating, d.From, d.To = plating, from, to
		h := r.hold(d, plating, from, to)
		f.Held = h.text()
		if h.verdict() == wrong {
			r.problem(fmt.Sprintf("%s: it holds %s, but its holes are not those of the board: %s", f.Name, what, f.Held),
				"a drawing of the holes is no drill data; ignore it in the recipe:\n"+ignoreProposal(f.Name))
			continue
		}
		x := panel.DrillFile{Drilling: d, Plating: plating, From: from, To: to, Source: f.Name}
		f.Use, f.By = "drill "+x.Key(), f.claim.from
		if n := len(d.Holes) + len(d.Routs); n == 0 {
			f.Use += " (no holes)"
		}
		out = append(out, x)
		r.find("drill-data-as-layer", pipeline.Note, fmt.Sprintf("%s is drill data in the layer format: %s and %s are taken from its flashes and strokes", f.Name,
			counted(len(d.Holes), "hole"), counted(len(d.Routs), "slot")))
	}
	return out
}

func sameKey(drills []panel.DrillFile, p artwork.Plating, from, to int) (panel.DrillFile, bool) {
	for _, d := range drills {
		if d.Plating == p && d.From == from && d.To == to {
			return d, true
		}
	}
	return panel.DrillFile{}, false
}

// compareLayer tells where a layer of drill data has other holes than the drill files of its span and
// plating.
func (r *Result) compareLayer(f *File, d *artwork.Drilling, drills []panel.DrillFile, like panel.DrillFile) {
	there := &pads{}
	n := 0
	for _, x := range drills {
		if x.Key() == like.Key() {
			for _, h := range x.Drilling.Holes {
				there.add(h.At)
				n++
			}
		}
	}
	off := 0
	for _, h := range d.Holes {
		if !there.near(h.At) {
			off++
		}
	}
	if off > 0 || len(d.Holes) != n {
		r.find("drill-layer-differs", pipeline.Warning, fmt.Sprintf("%s is ignored, for %s has its span and plating; but it has %s, %d of them where that has none, and that has %d",
			f.Name, like.Source, counted(len(d.Holes), "hole"), off, n))
	}
}

// drillingOf makes drill data of a layer: flashes of round apertures are holes, obround ones and
// strokes of round pens are slots. Anything else is no drill data.
func drillingOf(m *artwork.Image) (*artwork.Drilling, error) {
	if m.Negative {
		return nil, errors.New("its image is negative")
	}
	d := &artwork.Drilling{Attributes: m.Attributes, Sets: m.Sets}
	type key struct {
		diameter geom.Length
		set      int32
	}
	tools := map[key]int32{}
	tool := func(diameter geom.Length, set int32) int32 {
		k := key{diameter, set}
		i, ok := tools[k]
		if !ok {
			i = int32(len(d.Tools))
			tools[k] = i
			d.Tools = append(d.Tools, artwork.Tool{Number: int(i) + 1, Diameter: diameter, Set: set})
		}
		return i
	}
	last := -1 // the object that the newest slot ends with, when the next may go on from it
	for i, o := range m.Objects {
		at := o.Edge.From
		if o.Clear {
			return nil, fmt.Errorf("something is erased at %s mm, which no drill does", m.Anchor(o))
		}
		if o.Kind == artwork.Fill {
			return nil, fmt.Errorf("there is a filled region at %s mm, which no drill makes", m.Anchor(o))
		}
		a := m.Apertures[o.Aperture]
		switch {
		case a.Hole > 0 || a.Shape != artwork.Circle && (a.Shape != artwork.Obround || o.Kind == artwork.Stroke):
			return nil, fmt.Errorf("what is drawn at %s mm is not round", at)
		case a.Width <= 0 || a.Shape == artwork.Obround && a.Height <= 0:
			return nil, fmt.Errorf("the hole at %s mm has no diameter", at)
		case o.Kind == artwork.Flash && a.Shape == artwork.Obround && a.Width != a.Height:
			along := geom.Pt(max(0, a.Width-a.Height)/2, max(0, a.Height-a.Width)/2)
			d.Routs = append(d.Routs, artwork.Rout{Tool: tool(min(a.Width, a.Height), a.Set), Set: o.Set, Path: geom.Path{geom.Line(at.Sub(along), at.Add(along))}})
		case o.Kind == artwork.Flash || o.Edge.Sense == geom.Straight && o.Edge.From == o.Edge.To:
			d.Holes = append(d.Holes, artwork.Hole{Tool: tool(a.Width, a.Set), At: at, Set: o.Set})
		default:
			t := tool(a.Width, a.Set)
			if n := len(d.Routs) - 1; last == i-1 && i > 0 && d.Routs[n].Tool == t && d.Routs[n].Set == o.Set && d.Routs[n].Path[len(d.Routs[n].Path)-1].To == at {
				d.Routs[n].Path = append(d.Routs[n].Path, o.Edge)
			} else {
				d.Routs = append(d.Routs, artwork.Rout{Tool: t, Path: geom.Path{o.Edge}, Set: o.Set})
			}
			last = i
		}
	}
	middles := map[geom.Point]bool{}
	for _, s := range d.Routs {
		if len(s.Path) > 1 {
			continue
		}
		at := s.Path[0].At(0.5)
		if middles[at] {
			return nil, fmt.Errorf("strokes cross at %s mm, as the signs in a drawing of the holes do", at)
		}
		middles[at] = true
	}
	return d, nil
}
