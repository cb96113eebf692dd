package intake

import (
	"errors"
	"fmt"
	"slices"
	"strings"

	"panelwright/pipeline"
	"panelwright/pipeline/format"
	"panelwright/pipeline/format/xnc"
	"panelwright/pipeline/geom"
	"panelwright/pipeline/panel"
	"panelwright/pipeline/panel/artwork"
)

// held is how the holes and slots of a drill file lie on the board (common practice, no published
// source: plated holes lie in pads of both layers that they begin and end in, all holes lie within
// the outline).
type held struct {
	holes, inside  int
	plated, onPads int // taken for plated, and those of them in the middle of pads of both layers
	bare, onAny    int // non-plated, and those in the middle of something on copper or mask
	outline        bool
	layers         []string // the copper layers that plated holes were held against
}

// verdict is what that says of the way in which a file's numbers were read.
type verdict uint8

const (
	silent verdict = iota // nothing tells
	wrong                 // the holes miss the board, or its pads
	weak                  // nothing speaks against it
	strong                // most holes lie on pads
)

func (h held) verdict() verdict {
	within := !h.outline || 10*h.inside >= 9*h.holes
	padless := h.plated > 0 && len(h.layers) > 0
	switch {
	case h.holes == 0 || !h.outline && !padless:
		return silent
	case padless && h.plated >= 4 && 10*h.onPads < h.plated:
		return wrong
	case within && padless && 2*h.onPads >= h.plated, within && h.plated == 0 && h.bare > 0 && 2*h.onAny >= h.bare:
		return strong
	case within && h.outline:
		return weak
	}
	return wrong
}

// text says the counts in words.
func (h held) text() string {
	var t []string
	if h.holes == 0 {
		return ""
	}
	if h.plated > 0 && len(h.layers) > 0 {
		t = append(t, fmt.Sprintf("%d of %s taken for plated lie on pads of %s", h.onPads, counted(h.plated, "hole"), list(h.layers)))
	}
	if h.outline {
		t = append(t, fmt.Sprintf("%d of %d lie within the outline", h.inside, h.holes))
	}
	return strings.Join(t, ", ")
}

// hold holds drill data against copper and outline; plating is that of tools that do not say it.
func (r *Result) hold(d *artwork.Drilling, plating artwork.Plating, from, to int) held {
	h := r.holdOn(d, plating, from, to, false)
	if h.plated > 0 && 2*h.onPads < h.plated && len(h.layers) > 0 { // pads may be drawn rather than flashed
		if x := r.holdOn(d, plating, from, to, true); x.onPads > h.onPads {
			return x
		}
	}
	return h
}

func (r *Result) holdOn(d *artwork.Drilling, plating artwork.Plating, from, to int, drawn bool) held {
	h := held{outline: r.Outline.Found}
	var ends, any []*pads
	for _, l := range r.layers {
		switch {
		case l.is.Kind == panel.Copper && (l.is.Index == from || l.is.Index == to):
			p := r.padsIn(l.file.Image, drawn)
			any = append(any, p)
			if len(l.file.Image.Objects) > 0 { // a layer without copper tells nothing
				ends = append(ends, p)
				h.layers = append(h.layers, l.is.Key())
			}
		case l.is.Kind == panel.Soldermask:
			any = append(any, r.padsIn(l.file.Image, drawn))
		}
	}
	outer := r.Outline.Outline.Outer
	box := outer.Box()
	one := func(tool int32, near geom.Length, at ...geom.Point) {
		h.holes++
		inside := h.outline
		for _, q := range at {
			inside = inside && box.Grow(near).HoldsPoint(q)
		}
		if inside {
			h.inside++
		}
		p := d.Tools[tool].Plating
		if p == artwork.PlatingUnknown {
			p = d.Plating
		}
		if p == artwork.PlatingUnknown {
			p = plating
		}
		on := func(layer *pads) bool { return slices.ContainsFunc(at, layer.near) }
		if p == artwork.NonPlated {
			h.bare++
			if slices.ContainsFunc(any, on) {
				h.onAny++
			}
			return
		}
		h.plated++
		if !slices.ContainsFunc(ends, func(l *pads) bool { return !on(l) }) {
			h.onPads++
		}
	}
	for _, x := range d.Holes {
		one(x.Tool, d.Tools[x.Tool].Diameter/2, x.At)
	}
	for _, s := range d.Routs {
		if e := s.Path[0]; len(s.Path) == 1 {
			one(s.Tool, d.Tools[s.Tool].Diameter/2, e.At(0.5), e.From, e.To)
		} else {
			one(s.Tool, d.Tools[s.Tool].Diameter/2, e.From)
		}
	}
	return h
}

// padless names the tools of which no hole lies on pads of both layers, where others do.
func (r *Result) padless(d *artwork.Drilling, from, to int) []string {
	holes, routs := make([][]artwork.Hole, len(d.Tools)), make([][]artwork.Rout, len(d.Tools))
	for _, h := range d.Holes {
		holes[h.Tool] = append(holes[h.Tool], h)
	}
	for _, s := range d.Routs {
		routs[s.Tool] = append(routs[s.Tool], s)
	}
	one := *d
	var out []string
	some := false
	for i, t := range d.Tools {
		one.Holes, one.Routs = holes[i], routs[i]
		h := r.hold(&one, artwork.PlatingUnknown, from, to)
		switch {
		case len(h.layers) == 0 || h.plated == 0:
		case h.onPads == 0:
			out = append(out, fmt.Sprintf("tool %d (%s)", t.Number, t.Diameter))
		default:
			some = true
		}
	}
	if !some {
		return nil
	}
	return out
}

// trial is one way to read a drill file, and how its holes lie then.
type trial struct {
	how      xnc.Options
	drilling *artwork.Drilling
	report   *xnc.Report
	held     held
	verdict  verdict
}

// tries reads a file in several ways; those that give the same holes count once.
func (r *Result) tries(f *File, ways []xnc.Options, plating artwork.Plating, from, to int) []trial {
	var out []trial
	for _, o := range ways {
		d, rep, err := xnc.Read(f.Name, f.data, o)
		if err != nil || slices.ContainsFunc(out, func(t trial) bool { return sameHoles(t.drilling, d) }) {
			continue
		}
		h := r.hold(d, plating, from, to)
		out = append(out, trial{o, d, rep, h, h.verdict()})
	}
	return out
}

func sameHoles(a, b *artwork.Drilling) bool {
	return slices.EqualFunc(a.Holes, b.Holes, func(x, y artwork.Hole) bool {
		return x.At == y.At && a.Tools[x.Tool].Diameter == b.Tools[y.Tool].Diameter
	}) && slices.EqualFunc(a.Routs, b.Routs, func(x, y artwork.Rout) bool {
		return slices.Equal(x.Path, y.Path) && a.Tools[x.Tool].Diameter == b.Tools[y.Tool].Diameter
	})
}

// with gives the trials of a verdict.
func with(in []trial, v verdict) []trial {
	var out []trial
	for _, t := range in {
		if t.verdict == v {
			out = append(out, t)
		}
	}
	return out
}

// settleNumbers settles how the numbers of each drill file are read: where the file is silent, by
// what fits copper and outline; where it speaks, its word is held against them.
func (r *Result) settleNumbers(files []*File, copper int) {
	open := map[*File][]trial{}
	for _, f := range files {
		from, to, plating := r.likely(f, copper)
		if f.guessed == nil {
			r.holdStated(f, plating, from, to)
			continue
		}
		opt := f.drillOptions()
		opt.Tools = f.listed
		if t := r.settleGuess(f, r.tries(f, xnc.Readings(f.data, opt), plating, from, to)); len(t) > 0 {
			open[f] = t
		}
	}
	for _, f := range files {
		if t := open[f]; len(t) > 0 {
			r.settleBeside(f, t, files)
		}
	}
	for _, f := range r.Files {
		if f.Kind == DrillFile && f.Err != nil && f.Drilling == nil {
			r.unreadAsSaid(f, copper)
		}
		f.data = nil // it is not read again
	}
}

// unreadAsSaid looks whether a file that cannot be read as it says would fit the board if it were read
// in another way, and adds that to its fault.
func (r *Result) unreadAsSaid(f *File, copper int) {
	var fault *format.Fault
	if !errors.As(f.Err, &fault) {
		return
	}
	opt := f.drillOptions()
	opt.Tools = f.listed
	for _, o := range xnc.AllReadings(f.data, opt) {
		d, _, err := xnc.Read(f.Name, f.data, o)
		if err != nil {
			continue
		}
		try := *f
		try.Drilling = d
		from, to, plating := r.likely(&try, copper)
		if h := r.hold(d, plating, from, to); h.verdict() == strong {
			fault.Do += fmt.Sprintf("; read with %s, %s: where that is right, say it in the recipe, in the board stage:\n%s", o, h.text(), drillBlock(f.Name, o, true))
			return
		}
	}
}

// likely gives span and plating of a file without saying anything about them yet.
func (r *Result) likely(f *File, copper int) (from, to int, p artwork.Plating) {
	from, to = f.Drilling.From, f.Drilling.To
	said := from > 0
	if rule := f.drillRule; rule != nil && rule.From > 0 {
		from, to, said = rule.From, rule.To, true
	}
	if !said {
		from, to, said = spanOf(r.jobFunction(f.Name))
	}
	if !said {
		from, to, said = spanByName(f.Name, copper)
	}
	if !said {
		from, to, said, _ = r.spanBeside(f, copper)
	}
	if !said {
		from, to = 1, copper
	}
	if rule := f.drillRule; rule != nil && rule.Plating != artwork.PlatingUnknown {
		return from, to, rule.Plating
	}
	if p = platingOf(r.jobFunction(f.Name)); p == artwork.PlatingUnknown {
		p = platingByName(f.Name)
	}
	return from, to, p
}

// settleGuess takes the one way to read that fits. It gives those that are left when several do.
func (r *Result) settleGuess(f *File, all []trial) []trial {
	fits := with(all, strong)
	if len(fits) == 0 {
		fits = with(all, weak)
	}
	switch {
	case len(fits) == 1:
		r.take(f, fits[0], len(all)-1, "")
	case len(fits) > 1:
		return fits
	case len(all) == 0 || len(with(all, silent)) == len(all):
		if len(f.Drilling.Holes)+len(f.Drilling.Routs) > 0 {
			r.guessed(f, pipeline.Warning, "nothing tells whether that is right")
		}
	default:
		what := fmt.Sprintf("%s does not say how its numbers are to be read, and no usual way puts its holes on the board: with %s, %s", f.Name, all[0].how, all[0].held.text())
		do := "look up how it was written, and say it in the recipe, in the board stage:\n" + drillBlock(f.Name, all[0].how, false)
		opt := f.drillOptions()
		opt.Tools = f.listed
		if !opt.Override { // what little it says may be wrong
			from, to, plating := r.likely(f, r.copper)
			if others := with(r.tries(f, xnc.AllReadings(f.data, opt), plating, from, to), strong); len(others) > 0 {
				o := others[0]
				what += fmt.Sprintf("; against what it says, read with %s, %s", o.how, o.held.text())
				do = "have it written again with a true header; or, where the other way is right, say it in the recipe, in the board stage:\n" + drillBlock(f.Name, o.how, true)
			}
		}
		f.Err = &Problem{what, do}
		r.Problems = append(r.Problems, f.Err)
	}
	return nil
}

// settleBeside takes, of several ways that fit, the one in which a file beside it is written; else
// the user is asked.
func (r *Result) settleBeside(f *File, fits []trial, files []*File) {
	for _, g := range files {
		if g == f || g.Err != nil || g.report == nil || g.guessed != nil && g.Held == "" || g.report.Integer+g.report.Decimals == 0 || g.Generator != f.Generator {
			continue
		}
		for _, t := range fits {
			if a, b := t.report, g.report; a.Unit == b.Unit && a.Zeros == b.Zeros && a.Integer == b.Integer && a.Decimals == b.Decimals && t.verdict >= weak && g.Held != "" {
				r.take(f, t, len(fits)-1, "as "+g.Name+" is written")
				return
			}
		}
	}
	var ways []string
	for _, t := range fits {
		ways = append(ways, "\n  "+t.how.String()+": "+t.held.text())
	}
	f.Err = &Problem{
		f.Name + " does not say how its numbers are to be read, and several ways put its holes on the board:" + strings.Join(ways, ""),
		"say in the recipe, in the board stage, which is meant:\n" + drillBlock(f.Name, fits[0].how, false),
	}
	r.Problems = append(r.Problems, f.Err)
}

// take takes one way to read, and tells.
func (r *Result) take(f *File, t trial, others int, also string) {
	first := f.guessed
	same := sameHoles(t.drilling, f.Drilling)
	rep := *t.report
	rep.Guessed, rep.GuessedWhat = true, t.how.String()+" (the first guess, "+first.GuessedWhat+", does not fit the board)"
	if same {
		rep.GuessedWhat = first.GuessedWhat
	}
	f.takeDrill(t.drilling, &rep)
	if same {
		f.guessed = first
	}
	f.Held = t.held.text()
	why := []string{t.held.text()}
	if also != "" {
		why = append(why, also)
	}
	if others > 0 {
		way := "1 other usual way to read its numbers does"
		if others > 1 {
			way = fmt.Sprintf("%d other usual ways to read its numbers do", others)
		}
		why = append(why, way+" not fit as well")
	}
	severity := pipeline.Warning
	if t.verdict == strong {
		severity = pipeline.Note
	}
	r.guessed(f, severity, strings.Join(why, "; "))
}

// guessed reports a guess of the number format.
func (r *Result) guessed(f *File, s pipeline.Severity, why string) {
	f.Remarks = append(f.Remarks, f.guessed.GuessedWhat)
	r.find("number-format-guessed", s, f.Name+" does not say how its numbers are to be read: taken with "+f.guessed.GuessedWhat+"; "+why+"; "+f.drillSays())
}

// holdStated holds a file's own word against the board. Where it cannot be true and another way to
// read fits, nothing is taken: the user is asked.
func (r *Result) holdStated(f *File, plating artwork.Plating, from, to int) {
	h := r.hold(f.Drilling, plating, from, to)
	f.Held = h.text()
	const some = 4 // plated holes of which something can be told
	if h.verdict() != wrong {
		if h.plated >= some && len(h.layers) > 0 && 2*h.onPads < h.plated {
			r.offPads(f, h, plating)
		}
		if h.outline && h.inside < h.holes {
			r.beyondEdge(f, h)
		}
		return
	}
	opt := f.drillOptions()
	opt.Tools = f.listed
	if !opt.Override {
		others := with(r.tries(f, xnc.AllReadings(f.data, opt), plating, from, to), strong)
		if len(others) > 0 {
			o := others[0]
			f.Err = &Problem{
				fmt.Sprintf("%s misses the board as it says that its numbers are to be read (%s): %s; read with %s, %s", f.Name, statedText(f.report), h.text(), o.how, o.held.text()),
				"have it written again with a true header; or, where the other way is right, say it in the recipe, in the board stage:\n" + drillBlock(f.Name, o.how, true),
			}
			r.Problems = append(r.Problems, f.Err)
			return
		}
	}
	switch {
	case h.outline && 2*h.inside < h.holes:
		r.find("holes-off-board", pipeline.Error, fmt.Sprintf("%s: %s: its holes are not in the coordinates of the outline, or are those of another board", f.Name, h.text()))
	case h.outline && 10*h.inside < 9*h.holes:
		r.beyondEdge(f, h)
	default:
		r.offPads(f, h, plating)
	}
}

// offPads says that holes lie on few pads.
func (r *Result) offPads(f *File, h held, plating artwork.Plating) {
	why := "its holes may not be in the coordinates of the copper"
	if plating != artwork.Plated && f.Drilling.Plating != artwork.Plated { // then it is only a guess that they are
		why += ", or not be plated"
	}
	r.find("holes-off-pads", pipeline.Warning, fmt.Sprintf("%s: %s: %s", f.Name, h.text(), why))
}

// beyondEdge says that some holes lie beyond the outline.
func (r *Result) beyondEdge(f *File, h held) {
	r.find("holes-beyond-edge", pipeline.Warning, fmt.Sprintf("%s: %s: the others lie beyond the board's edge; look whether the outline is the whole board", f.Name, h.text()))
}

func statedText(rep *xnc.Report) string {
	return xnc.Options{Unit: rep.Unit, Zeros: rep.Zeros, Integer: rep.Integer, Decimals: rep.Decimals}.String()
}

// drillBlock proposes a drill block that says how numbers are read.
func drillBlock(name string, o xnc.Options, override bool) string {
	var set [][2]string
	if o.Unit != "" {
		set = append(set, [2]string{"unit", fmt.Sprintf("%q", string(o.Unit))})
	}
	if o.Zeros != "" {
		set = append(set, [2]string{"zeros", fmt.Sprintf("%q", string(o.Zeros))})
	}
	if o.Integer+o.Decimals > 0 {
		set = append(set, [2]string{"digits", fmt.Sprintf("[%d, %d]", o.Integer, o.Decimals)})
	}
	if override {
		set = append(set, [2]string{"override", "true"})
	}
	return fmt.Sprintf("  drill %q {\n%s  }", name, settings("    ", set))
}
