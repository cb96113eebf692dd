package intake

import (
	"cmp"
	"context"
	"path"
	"slices"
	"strings"

	"panelwright/pipeline"
	"panelwright/pipeline/format/xnc"
	"panelwright/pipeline/panel/artwork"
)

// ReadReturned reads the files that a fabricator sends back, and says of each what it says by itself: nothing is held
// against anything, no outline is looked for, and two files may be for the same. An error means that the files could
// not be got at.
func ReadReturned(ctx context.Context, files pipeline.Files, req Request) (*pipeline.Returned, error) {
	got, err := gather(ctx, files, req.Paths, req.Workers)
	if err != nil {
		return nil, err
	}
	r := &Result{req: req}
	if err := r.classify(ctx, got); err != nil {
		return nil, err
	}
	first := map[string]string{}
	for _, f := range r.Files {
		switch name, again := first[f.SHA256+path.Base(f.Name)]; {
		case f.Ignored == noPlaces:
			f.Ignored = "a table, which is not read"
		case f.Ignored == noData:
			f.Ignored = "a text, for people to read"
		case f.Ignored == "" && again: // as where a zip lies beside what was packed into it; masks may be alike, under two names
			f.Ignored = "the same bytes as " + name
		case f.Ignored == "":
			first[f.SHA256+path.Base(f.Name)] = f.Name
		}
	}
	if err := r.decode(ctx, got); err != nil {
		return nil, err
	}
	r.toolLists(got)
	out := &pipeline.Returned{}
	jobs := r.of(JobFile)
	jobs = jobs[:min(len(jobs), 1)]
	r.returnedLayers(out, jobs)
	for _, f := range r.of(DrillFile) {
		out.Drills = append(out.Drills, r.returnedDrill(f))
	}
	slices.SortStableFunc(out.Drills, func(a, b pipeline.ReturnedDrill) int { return cmp.Compare(a.Source, b.Source) })
	for _, f := range r.Files {
		x := pipeline.ReturnedFile{Name: f.Name, Ignored: f.Ignored, Doubts: f.doubts}
		switch {
		case f.Err != nil:
			x.Fault = f.Err.Error()
		case x.Ignored != "":
		case f.Kind == LayerFile || f.Kind == DrillFile:
			x.Cut = !f.ended
		case f.Kind == JobFile:
			x.Ignored = "a job file: it is asked what the others are for"
		case f.Use != "":
			x.Ignored = f.Use
		default:
			x.Ignored = "a " + string(f.Kind) + " file, which is not held against the build"
		}
		out.Files = append(out.Files, x)
	}
	return out, nil
}

// returnedLayers says of the layer files what they are for.
func (r *Result) returnedLayers(out *pipeline.Returned, jobs []*File) {
	var job *File
	if len(jobs) > 0 {
		job = jobs[0]
	}
	var claimed []*File
	scores := map[*File]bool{}
	for _, f := range r.of(LayerFile) {
		f.claim, f.claimed = r.claimOf(f, job)
		c := f.claim
		v := f.Image.Attributes.Get(".FileFunction")
		score := len(v) > 0 && strings.EqualFold(v[0], "Vcut") || !f.claimed && scoreWords(words(f.Name))
		switch {
		case score:
			scores[f] = true
		case c.drill, !f.claimed && drillWords(words(f.Name)):
			if d, err := drillingOf(f.Image); err == nil {
				d.Plating, d.From, d.To = r.platingSaid(f, v), 0, 0
				if from, to, ok := spanOf(v); ok {
					d.From, d.To = from, to
				}
				out.Drills = append(out.Drills, pipeline.ReturnedDrill{Source: f.Name, Drilling: d})
				continue
			}
			f.claim, f.claimed = claim{}, false
		case f.claimed && c.refused == "" && c.ignored != "":
			f.Ignored = c.ignored
			continue
		case c.refused != "":
			f.claim, f.claimed = claim{}, false
		}
		claimed = append(claimed, f)
	}
	r.numberCopper(slices.DeleteFunc(slices.Clone(claimed), func(f *File) bool { return !f.claimed }))
	for _, f := range claimed {
		c := f.claim
		l := pipeline.ReturnedLayer{Source: f.Name, Image: f.Image, Score: scores[f]}
		if f.claimed && !l.Score {
			l.Function.Kind, l.Function.Side, l.Function.Type, l.By = c.kind, c.side, c.typ, c.from
			if c.number > 0 {
				l.Function.Index = c.number
			}
		}
		l.Negative = f.negative(c.kind)
		out.Layers = append(out.Layers, l)
	}
}

// platingSaid asks attribute, job file and name in turn.
func (r *Result) platingSaid(f *File, function []string) artwork.Plating {
	for _, p := range []artwork.Plating{platingOf(function), platingOf(r.jobFunction(f.Name)), platingByName(f.Name)} {
		if p != artwork.PlatingUnknown {
			return p
		}
	}
	return artwork.PlatingUnknown
}

// returnedDrill gives a drill file with what is said of its plating and span.
func (r *Result) returnedDrill(f *File) pipeline.ReturnedDrill {
	settle := func(d *artwork.Drilling) *artwork.Drilling {
		out := *d
		if out.Plating == artwork.PlatingUnknown {
			out.Plating = r.platingSaid(f, nil)
		}
		if from, to, ok := spanOf(r.jobFunction(f.Name)); ok && out.From == 0 {
			out.From, out.To = from, to
		}
		return &out
	}
	x := pipeline.ReturnedDrill{Source: f.Name, Drilling: settle(f.Drilling)}
	if f.guessed != nil {
		x.Unsaid = f.guessed.GuessedWhat
	}
	opt := f.drillOptions()
	opt.Tools = f.listed
	x.Otherwise = func() (out []pipeline.ReturnedReading) {
		seen := []*artwork.Drilling{f.Drilling}
		try := func(ways []xnc.Options, against bool) {
			for _, o := range ways {
				d, _, err := xnc.Read(f.Name, f.data, o)
				if err == nil && !slices.ContainsFunc(seen, func(s *artwork.Drilling) bool { return sameHoles(s, d) }) {
					seen = append(seen, d)
					out = append(out, pipeline.ReturnedReading{How: o.String(), Against: against, Drilling: settle(d)})
				}
			}
		}
		try(xnc.Readings(f.data, opt), false)
		try(xnc.AllReadings(f.data, opt), true)
		return out
	}
	return x
}

// scoreWords tells whether a file's name says that it draws score lines (common practice, no published source).
func scoreWords(w []string) bool {
	for i, x := range w {
		switch x {
		case "vcut", "vscore", "score", "scores", "scoring", "vgroove", "vcuts":
			return true
		case "cut", "groove":
			if i > 0 && w[i-1] == "v" {
				return true
			}
		}
	}
	return false
}

// drillWords tells whether a layer file's name says that it holds holes (common practice, no published source).
func drillWords(w []string) bool {
	return slices.ContainsFunc(w, func(x string) bool {
		return slices.Contains([]string{"pth", "npth", "drill", "drills", "drl", "holes"}, x)
	})
}
