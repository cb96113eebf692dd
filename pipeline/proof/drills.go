package proof

import (
	"cmp"
	"context"
	"slices"
	"strconv"

	"panelwright/pipeline/format/xnc"
	"panelwright/pipeline/geom"
	"panelwright/pipeline/geom/offset"
	"panelwright/pipeline/geom/overlay"
	"panelwright/pipeline/panel"
	"panelwright/pipeline/panel/artwork"
	"panelwright/pipeline/proof/apart"
)

// bore is one hole or slot as the proof compares it. Order and tool numbers do not matter.
type bore struct {
	diameter geom.Length
	path     geom.Path // nil for a hole
	at       geom.Point
	owner    string
}

// drills holds every drill file against the boards' holes and slots and the panel's own holes. A
// perforation stands in its own file and in no other: every file must hold just what is expected.
func (p *prover) drills(ctx context.Context) error {
	want := map[string][]bore{}
	plating := map[string]artwork.Plating{}
	add := func(key string, plated artwork.Plating, b ...bore) {
		want[key] = append(want[key], b...)
		plating[key] = plated
	}
	for _, c := range p.in.Panel.Copies() {
		for _, f := range c.Board.Drills {
			add(f.Key(), f.Plating, bores(f.Drilling, c.Place, c.ID)...)
		}
	}
	through := panel.DrillFile{Plating: artwork.NonPlated, From: 1, To: max(p.in.Panel.CopperCount(), 1)}
	for _, m := range p.in.Panel.Marks() {
		if m.Kind == panel.ToolingHole {
			add(through.Key(), artwork.NonPlated, bore{diameter: m.Diameter, at: m.At, owner: m.ID})
		}
	}
	for _, h := range p.in.Panel.Perforations() {
		add("breakoff", artwork.NonPlated, bore{diameter: h.Diameter, at: h.At, owner: h.ID})
	}
	keys := make([]string, 0, len(want))
	for k := range want {
		keys = append(keys, k)
	}
	slices.Sort(keys)
	for _, k := range keys {
		if err := ctx.Err(); err != nil {
			return err
		}
		if len(want[k]) == 0 {
			continue
		}
		name := p.file("drill-"+k, ".drl")
		data, ok, err := p.take(name)
		if err != nil {
			return err
		}
		if !ok {
			continue
		}
		d, _, err := xnc.Read(name, data, xnc.Options{})
		if err != nil {
			p.report(ruleHoles, name, nil, nil, "cannot be read back: %v", err)
			continue
		}
		if d.Plating != plating[k] {
			p.report(ruleHoles, name, nil, nil, "the file says %s, its holes are %s", d.Plating, plating[k])
		}
		if k == "breakoff" {
			p.matchPerforations(name, d)
			continue
		}
		written := bores(d, geom.Transform{}, "")
		p.compareBores(name, written, want[k])
		if err := p.note(ctx, written); err != nil {
			return err
		}
	}
	return nil
}

// note keeps holes and slots for the proof of geometry.
func (p *prover) note(ctx context.Context, written []bore) error {
	for _, b := range written {
		if len(b.path) == 0 {
			p.round = append(p.round, apart.Disc{At: b.at, Diameter: b.diameter})
			continue
		}
		r, err := offset.Stroke(ctx, []geom.Path{b.path}, b.diameter, offset.Options{Overlay: overlay.Options{Workers: 1}})
		if err != nil {
			return err
		}
		p.routs = append(p.routs, r...)
	}
	return nil
}

// bores lists a drilling's holes and slots under a transform.
func bores(d *artwork.Drilling, place geom.Transform, owner string) []bore {
	out := make([]bore, 0, len(d.Holes)+len(d.Routs))
	for _, h := range d.Holes {
		out = append(out, bore{diameter: d.Tools[h.Tool].Diameter, at: place.Apply(h.At), owner: owner})
	}
	for _, r := range d.Routs {
		path := joined(place.Path(r.Path))
		if len(path) > 0 {
			out = append(out, bore{diameter: d.Tools[r.Tool].Diameter, path: path, at: path[0].From, owner: owner})
		}
	}
	return out
}

// joined puts arcs together that are parts of one: drill files give arcs by their radius, so that
// long ones must be cut.
func joined(p geom.Path) geom.Path {
	var out geom.Path
	for _, e := range p {
		if n := len(out); n > 0 && e.Sense != geom.Straight && out[n-1].Sense == e.Sense &&
			near(out[n-1].Center, e.Center, 2*slack) && out[n-1].From != out[n-1].To {
			out[n-1].To = e.To
			continue
		}
		out = append(out, e)
	}
	return out
}

func compareBore(a, b bore) int {
	return cmp.Or(cmp.Compare(a.diameter, b.diameter), cmp.Compare(len(a.path), len(b.path)),
		cmp.Compare(a.at.X, b.at.X), cmp.Compare(a.at.Y, b.at.Y), cmp.Compare(end(a).X, end(b).X), cmp.Compare(end(a).Y, end(b).Y))
}

func end(b bore) geom.Point {
	if len(b.path) == 0 {
		return b.at
	}
	return b.path[len(b.path)-1].To
}

// compareBores goes through two sorted lists side by side.
func (p *prover) compareBores(file string, got, want []bore) {
	slices.SortStableFunc(got, compareBore)
	slices.SortStableFunc(want, compareBore)
	missing, extra := 0, 0
	var firstMissing, firstExtra bore
	i, k := 0, 0
	for i < len(got) || k < len(want) {
		switch {
		case i < len(got) && k < len(want) && sameBore(got[i], want[k]):
			i, k = i+1, k+1
		case k == len(want) || i < len(got) && compareBore(got[i], want[k]) < 0:
			if extra == 0 {
				firstExtra = got[i]
			}
			extra, i = extra+1, i+1
		default:
			if missing == 0 {
				firstMissing = want[k]
			}
			missing, k = missing+1, k+1
		}
	}
	if missing > 0 {
		p.report(ruleHoles, file, []string{firstMissing.owner}, &firstMissing.at,
			"%s missing, the first: %s at %v mm, of %s", count(missing), describeBore(firstMissing), firstMissing.at, firstMissing.owner)
	}
	if extra > 0 {
		p.report(ruleHoles, file, nil, &firstExtra.at,
			"%s too many, the first: %s at %v mm", count(extra), describeBore(firstExtra), firstExtra.at)
	}
}

func sameBore(a, b bore) bool {
	if a.diameter != b.diameter || a.at != b.at || len(a.path) != len(b.path) {
		return false
	}
	for i := range a.path {
		e, f := a.path[i], b.path[i]
		if e.From != f.From || e.To != f.To || e.Sense != f.Sense || e.Sense != geom.Straight && !near(e.Center, f.Center, 2*slack) {
			return false
		}
	}
	return true
}

func count(n int) string {
	if n == 1 {
		return "1 hole or slot is"
	}
	return strconv.Itoa(n) + " holes or slots are"
}

func describeBore(b bore) string {
	if len(b.path) > 0 {
		return "a slot " + b.diameter.String() + " wide"
	}
	return "a hole of " + b.diameter.String()
}
