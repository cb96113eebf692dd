package intake

import (
	"fmt"
	"slices"
	"strings"

	"panelwright/pipeline"
	"panelwright/pipeline/geom"
	"panelwright/pipeline/panel"
	"panelwright/pipeline/panel/artwork"
)

// settleDrills settles span and plating of every drill file, divides files that hold both platings,
// and joins files of the same span and plating.
func (r *Result) settleDrills(copper int) []panel.DrillFile {
	files := r.of(DrillFile)
	r.settleNumbers(files, copper)
	var out []panel.DrillFile
	for _, f := range files {
		if f.Err != nil {
			continue // no way to read its numbers was settled
		}
		if !r.drillable(f) {
			continue
		}
		from, to, ok := r.span(f, copper)
		if !ok {
			continue
		}
		parts := divide(f.Drilling)
		plating, said := r.plating(f, files, from, to, copper)
		if f.By == "" {
			f.By = said
		}
		var uses []string
		for _, p := range parts {
			d := panel.DrillFile{Drilling: p, Plating: p.Plating, From: from, To: to, Source: f.Name}
			if plating != artwork.PlatingUnknown && (d.Plating == artwork.PlatingUnknown || said == byRecipe) {
				d.Plating = plating
			}
			// The settled values go into a copy: what a reader returned stays as it is.
			q := *p
			q.Plating, q.From, q.To = d.Plating, from, to
			d.Drilling = &q
			use := "drill " + d.Key()
			if len(q.Holes)+len(q.Routs) == 0 {
				use += " (no holes)"
			}
			uses = append(uses, use)
			out = append(out, d)
		}
		f.Use = strings.Join(uses, ", ")
	}
	out = append(out, r.drillLayers(out, copper)...)
	slices.SortStableFunc(out, func(a, b panel.DrillFile) int { return strings.Compare(a.Key(), b.Key()) })
	out = r.joinDrills(out)
	r.drilledTwice(out)
	r.routedOutline(out)
	return out
}

// drilledTwice tells of holes that files of different span or plating both have: one of them may be
// a file of all holes beside files of some.
func (r *Result) drilledTwice(drills []panel.DrillFile) {
	for i, a := range drills {
		for _, b := range drills[i+1:] {
			if min(a.To, b.To) <= max(a.From, b.From) && a.From != a.To {
				continue
			}
			there := map[geom.Point]bool{}
			for _, h := range a.Drilling.Holes {
				there[h.At] = true
			}
			n, first := 0, geom.Point{}
			for _, h := range b.Drilling.Holes {
				if there[h.At] {
					if n == 0 {
						first = h.At
					}
					n++
				}
			}
			if n > 0 {
				r.find("hole-drilled-twice", pipeline.Warning, fmt.Sprintf("%s (%s) and %s (%s) both have %s in the same places, one at %s mm: one of them may be a file of all holes",
					a.Source, a.Key(), b.Source, b.Key(), counted(n, "hole"), first))
			}
		}
	}
}

// span settles the layers that a drill file goes through.
func (r *Result) span(f *File, copper int) (from, to int, ok bool) {
	d, by := f.Drilling, ""
	from, to = d.From, d.To
	if from > 0 {
		by = "its attribute .FileFunction"
	}
	switch rule := f.drillRule; {
	case rule != nil && rule.From > 0:
		from, to, by = rule.From, rule.To, byRecipe
	case from > 0:
	default:
		var said bool
		if from, to, said = spanOf(r.jobFunction(f.Name)); said {
			by = "the job file"
			break
		}
		if from, to, said = spanByName(f.Name, copper); said {
			by = byName
			break
		}
		var unsure bool
		if from, to, said, unsure = r.spanBeside(f, copper); said {
			by = byName
			break
		}
		if unsure {
			r.through(f, from, to)
		}
		return 1, copper, true
	}
	f.By = by
	if copper == 1 && from == 1 && to <= 2 { // one layer of copper, whichever way its systems count
		return 1, 1, true
	}
	if to > copper && (r.unreadable() || len(r.Unclaimed) > 0) {
		return from, to, true // the layers are not counted yet
	}
	if from < 1 || to > copper || from >= to {
		r.problem(fmt.Sprintf("%s: %s says that it goes from layer %d to layer %d; the board has %s", f.Name, by, from, to, counted(copper, "copper layer")),
			fmt.Sprintf("say it in the recipe, in the board stage:\n  drill %q {\n    from = 1\n    to   = %d\n  }", f.Name, copper))
		return 0, 0, false
	}
	return from, to, true
}

// divide gives the parts of a drill file that holds both platings by tool, else the file itself.
func divide(d *artwork.Drilling) []*artwork.Drilling {
	if d.Plating != artwork.PlatingUnknown {
		return []*artwork.Drilling{d}
	}
	kinds := map[artwork.Plating]bool{}
	for _, t := range d.Tools {
		kinds[t.Plating] = true
	}
	if len(kinds) == 0 {
		return []*artwork.Drilling{d}
	}
	var out []*artwork.Drilling
	for _, p := range []artwork.Plating{artwork.Plated, artwork.NonPlated, artwork.PlatingUnknown} {
		if kinds[p] {
			out = append(out, only(d, p))
		}
	}
	return out
}

// only gives the tools of one plating with what they do.
func only(d *artwork.Drilling, p artwork.Plating) *artwork.Drilling {
	out := &artwork.Drilling{Attributes: d.Attributes, Plating: p, From: d.From, To: d.To, Sets: d.Sets}
	to := map[int32]int32{}
	for i, t := range d.Tools {
		if t.Plating == p {
			to[int32(i)] = int32(len(out.Tools))
			out.Tools = append(out.Tools, t)
		}
	}
	for _, h := range d.Holes {
		if n, ok := to[h.Tool]; ok {
			h.Tool = n
			out.Holes = append(out.Holes, h)
		}
	}
	for _, s := range d.Routs {
		if n, ok := to[s.Tool]; ok {
			s.Tool = n
			out.Routs = append(out.Routs, s)
		}
	}
	return out
}

// plating settles what the holes of a file are, where its tools do not say.
func (r *Result) plating(f *File, all []*File, from, to, copper int) (artwork.Plating, string) {
	d := f.Drilling
	if rule := f.drillRule; rule != nil && rule.Plating != artwork.PlatingUnknown {
		return rule.Plating, byRecipe
	}
	open := d.Plating == artwork.PlatingUnknown
	for _, t := range d.Tools {
		open = open && t.Plating == artwork.PlatingUnknown
	}
	if !open {
		return artwork.Plated, "the file" // tools that say nothing, among others that do: settled below
	}
	if p := platingOf(r.jobFunction(f.Name)); p != artwork.PlatingUnknown {
		return p, "the job file"
	}
	if p := platingByName(f.Name); p != artwork.PlatingUnknown {
		return p, byName
	}
	if from > 1 || to < copper {
		return artwork.Plated, byName // blind and buried holes are there to connect
	}
	if len(d.Holes)+len(d.Routs) > 0 {
		f.assumed = true
		why := "nobody says whether its holes are plated"
		for _, o := range all {
			if o != f && platingByName(o.Name) == artwork.NonPlated {
				why += "; " + o.Name + " holds the non-plated ones"
				break
			}
		}
		if t := r.padless(f.Drilling, from, to); len(t) > 0 {
			why += "; those of " + list(t) + " lie on no pads, and may be non-plated"
		}
		r.find("plating-assumed", pipeline.Warning, f.Name+" is taken for plated: "+why+"; "+f.drillSays())
	}
	return artwork.Plated, "assumed"
}

// joinDrills joins files of the same span and plating, such as one of round holes and one of slots.
// A hole that is in both shows that they are not parts of one thing.
func (r *Result) joinDrills(in []panel.DrillFile) []panel.DrillFile {
	var out []panel.DrillFile
	for _, d := range in {
		n := len(out) - 1
		if n < 0 || out[n].Key() != d.Key() {
			out = append(out, d)
			continue
		}
		a := out[n]
		if a.Source == d.Source { // the tools that say it and those that do not, of one file
			out[n].Drilling = join(a.Drilling, d.Drilling)
			continue
		}
		if at, twice := sameHole(a.Drilling, d.Drilling); twice {
			r.problem(fmt.Sprintf("two files claim to be %s: %s and %s both drill at %s mm", d.Key(), a.Source, d.Source, at),
				"take one away; or, where they differ in plating or layers, say so in the recipe in drill blocks")
			continue
		}
		out[n].Drilling = join(a.Drilling, d.Drilling)
		out[n].Source += ", " + d.Source
	}
	for _, d := range out {
		if names := strings.Split(d.Source, ", "); len(names) > 1 {
			r.find("drill-files-joined", pipeline.Note, fmt.Sprintf("%s are %s all of them, and are written as one file", list(names), d.Key()))
		}
	}
	return out
}

func join(a, b *artwork.Drilling) *artwork.Drilling {
	out := *a
	tools, sets := int32(len(a.Tools)), int32(len(a.Sets))
	out.Tools = slices.Clone(a.Tools)
	out.Sets = append(slices.Clone(a.Sets), b.Sets...)
	out.Holes = slices.Clone(a.Holes)
	out.Routs = slices.Clone(a.Routs)
	move := func(set int32) int32 {
		if set == 0 {
			return 0
		}
		return set + sets
	}
	for _, t := range b.Tools {
		t.Set = move(t.Set)
		out.Tools = append(out.Tools, t)
	}
	for _, h := range b.Holes {
		h.Tool, h.Set = h.Tool+tools, move(h.Set)
		out.Holes = append(out.Holes, h)
	}
	for _, s := range b.Routs {
		s.Tool, s.Set = s.Tool+tools, move(s.Set)
		out.Routs = append(out.Routs, s)
	}
	return &out
}

func sameHole(a, b *artwork.Drilling) (geom.Point, bool) {
	there := map[geom.Point]bool{}
	for _, h := range a.Holes {
		there[h.At] = true
	}
	for _, h := range b.Holes {
		if there[h.At] {
			return h.At, true
		}
	}
	return geom.Point{}, false
}

// plain counts the holes and slots of a drill file and gives its smallest and largest tool in use.
func plain(d *artwork.Drilling) (holes, slots int, low, high geom.Length) {
	use := func(i int32) {
		t := d.Tools[i].Diameter
		if low == 0 || t < low {
			low = t
		}
		high = max(high, t)
	}
	for _, h := range d.Holes {
		use(h.Tool)
	}
	for _, s := range d.Routs {
		use(s.Tool)
	}
	return len(d.Holes), len(d.Routs), low, high
}
