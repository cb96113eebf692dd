package returned

import (
	"cmp"
	"context"
	"fmt"
	"math"
	"slices"
	"strings"

	"panelwright/pipeline"
	"panelwright/pipeline/geom"
	"panelwright/pipeline/geom/offset"
	"panelwright/pipeline/panel/artwork"
)

// asLarge is how far the sides of a loop may differ from the panel's for it to be taken for the panel's outline; hit is
// how far a hole may lie off and be the same.
const (
	asLarge = 1 * geom.MM
	hit     = 60 * geom.UM
)

// findProfile gathers the contours that are cut: from the files that say that they draw them, else from the one
// that nobody knows and that draws a loop as large as the panel.
func (h *holder) findProfile(ctx context.Context) error {
	for i, l := range h.Got.Layers {
		if isProfile(l) {
			h.profile = append(h.profile, i)
			h.use(l.Source, "profile", l.By)
		}
	}
	if len(h.profile) == 0 {
		for i, l := range h.Got.Layers {
			if l.Function.Kind != "" || l.Score {
				continue
			}
			edges, err := contoursOf(ctx, l.Image)
			if err != nil {
				return err
			}
			if loops, _ := loopsOf(edges); slices.ContainsFunc(loops, func(p geom.Path) bool { return h.panelSized(p.Box()) }) {
				h.profile = []int{i}
				h.use(l.Source, "profile", "its picture")
				break
			}
		}
	}
	for _, i := range h.profile {
		edges, err := contoursOf(ctx, h.Got.Layers[i].Image)
		if err != nil {
			return err
		}
		h.edges = append(h.edges, edges...)
	}
	h.loops, _ = loopsOf(h.edges)
	return nil
}

// panelSized tells whether a box is as large as the panel, upright or turned by a quarter.
func (h *holder) panelSized(b geom.Box) bool {
	w, v := h.build.box.Width(), h.build.box.Height()
	near := func(x, y geom.Length) bool { return (x - y).Abs() <= asLarge }
	return near(b.Width(), w) && near(b.Height(), v) || near(b.Width(), v) && near(b.Height(), w)
}

// contoursOf gives what an image draws as contours: the middle lines of its strokes; where there are none, the borders of its
// regions, or the middle of those that are strokes' outlines.
func contoursOf(ctx context.Context, m *artwork.Image) ([]geom.Edge, error) {
	out := edgesOf(m)
	if len(out) > 0 || len(m.Objects) == 0 {
		return out, nil
	}
	dark, err := m.Dark(ctx)
	if err != nil {
		return nil, err
	}
	paths := dark.Paths()
	if width := 2 * dark.Area() / dark.Perimeter(); width < float64(widestPen) {
		paths = nil
		for _, o := range dark {
			for _, c := range o.CutOuts { // what a contour runs round is half a pen larger than what its outline leaves open
				inner, err := offset.By(ctx, geom.Region{{Outer: c.Reverse()}}, geom.Round(width/2), offset.Options{Overlay: single})
				if err != nil {
					return nil, err
				}
				paths = append(paths, inner.Paths()...)
			}
		}
	}
	for _, p := range paths {
		out = append(out, p...)
	}
	return out, nil
}

// widestPen is how wide a pen may be that contours and score lines are drawn with, and never a board.
const widestPen = 500 * geom.UM

func loopsOf(edges []geom.Edge) ([]geom.Path, []geom.OpenChain) {
	j, err := geom.Join(edges, geom.JoinTolerance)
	if err != nil {
		return nil, nil
	}
	return j.Loops, j.Open
}

// candidate is a way in which the panel may lie, and how many of the build's holes are where they should be then.
type candidate struct {
	back  place
	score float64 // 0 to 1
}

// locate finds where the panel lies; what keeps it from being found is a finding.
func (h *holder) locate(ctx context.Context) (bool, error) {
	h.drills = make([][]bore, len(h.Got.Drills))
	for i, d := range h.Got.Drills {
		h.drills[i] = boresOf(d.Drilling, place{}, d.Source)
	}
	all := h.candidates()
	if len(all) == 0 || all[0].score < 0.9 {
		h.readOtherwise(all)
		all = h.candidates()
	}
	if len(all) == 0 || all[0].score < 0.5 && h.Shift == nil {
		all = slices.Concat(h.byHoles(), all)
		slices.SortStableFunc(all, func(a, b candidate) int { return -cmp.Compare(a.score, b.score) })
	}
	if len(all) == 0 || all[0].score < 0.05 && len(h.loopsLikePanel()) == 0 && h.Shift == nil {
		h.notFound()
		return false, nil
	}
	best, err := h.choose(ctx, all)
	if err != nil {
		return false, err
	}
	h.back = best.back
	if h.Shift == nil {
		h.refine()
	}
	if h.scaled() {
		return false, nil
	}
	forth := h.back.inverse()
	h.out.Found, h.out.Mirrored, h.out.Turn = true, forth.mirrored, forth.t.Turn.Normal()
	h.out.Shift = forth.point(h.build.box.Min)
	h.out.Times = 1
	if n := h.times(all); n > 1 {
		h.out.Times = n
		h.report(rulePlacement, pipeline.Note, "", nil, nil, "the panel lies there %d times; held is the one whose lower left corner lies at %v mm in the returned files; --shift with another's corner holds that", n, h.out.Shift)
	}
	if forth.mirrored {
		h.report(rulePlacement, pipeline.Error, "", nil, nil, "all is mirrored: the panel is drawn as seen from the bottom; it is held as if it were turned over, but have it sent as seen from the top")
	}
	return true, nil
}

func (h *holder) loopsLikePanel() (out []geom.Path) {
	for _, p := range h.loops {
		if h.panelSized(p.Box()) {
			out = append(out, p)
		}
	}
	return out
}

// candidates gives what the profile's loops allow, the best first; or what was said.
func (h *holder) candidates() (out []candidate) {
	there := h.grid()
	if h.Shift != nil || h.Turn != nil {
		var t geom.Transform
		if h.Turn != nil {
			t.Turn = *h.Turn
		}
		if h.Shift != nil {
			t.Shift = *h.Shift
			corner := geom.Transform{Shift: geom.Point{}.Sub(h.build.box.Min)}
			back := place{t: corner.Then(t).Inverse()}
			return []candidate{{back, h.score(back, there)}}
		}
	}
	box := h.build.box
	for _, p := range h.loopsLikePanel() {
		for _, w := range ways() {
			b := w.Box(p.Box())
			if (b.Width()-box.Width()).Abs() > asLarge || (b.Height()-box.Height()).Abs() > asLarge {
				continue
			}
			if h.Turn != nil && (w.mirrored || (w.t.Turn+*h.Turn).Normal() != 0) {
				continue
			}
			// By the middle, so that a panel drawn a little too large lies where it would.
			c := w.then(middle(box).Sub(middle(b)))
			out = append(out, candidate{c, h.score(c, there)})
		}
	}
	slices.SortStableFunc(out, func(a, b candidate) int { return -cmp.Compare(a.score, b.score) })
	return out
}

func middle(b geom.Box) geom.Point { return b.Center() }

// grid makes the returned holes and slots ready to be looked up.
func (h *holder) grid() *grid {
	g := newGrid(hit)
	for i, d := range h.drills {
		for k, b := range d {
			g.add(b.at, i<<32|k)
		}
	}
	return g
}

// score gives which share of the build's holes are there.
func (h *holder) score(back place, there *grid) float64 {
	forth := back.inverse()
	n, of := 0, 0
	for _, b := range h.build.bores {
		if len(b.path) > 0 {
			continue
		}
		of++
		if there.near(forth.point(b.at), hit) >= 0 {
			n++
		}
	}
	if of == 0 {
		return 0
	}
	return float64(n) / float64(of)
}

// readOtherwise reads drill files in another way where hardly any of their holes is one of the build's, and nearly all are then.
func (h *holder) readOtherwise(all []candidate) {
	ours := newGrid(hit)
	for i, b := range h.build.bores {
		ours.add(b.at, i)
		ours.add(b.end(), i)
	}
	share := func(d []bore, back place) float64 {
		n := 0
		for _, b := range d {
			if ours.near(back.point(b.at), hit) >= 0 {
				n++
			}
		}
		return float64(n) / float64(max(1, len(d)))
	}
	for i, d := range h.Got.Drills {
		best := 0.0
		for _, c := range all {
			best = max(best, share(h.drills[i], c.back))
		}
		if best > 0.5 || d.Otherwise == nil || len(h.drills[i]) == 0 {
			continue
		}
		for _, r := range d.Otherwise() {
			other := boresOf(r.Drilling, place{}, d.Source)
			for _, c := range all {
				if share(other, c.back) < 0.9 {
					continue
				}
				h.drills[i] = other
				s := pipeline.Error
				said := "as it says that its numbers are to be read, its holes are not the panel's"
				if !r.Against {
					s, said = pipeline.Note, "it does not say how its numbers are to be read"
				}
				h.report(ruleFile, s, d.Source, nil, nil, "%s: %s; it is read with %s, which puts them where they belong", d.Source, said, r.How)
				best = 1
				break
			}
			if best == 1 {
				break
			}
		}
	}
}

// byHoles looks for the shift by which most of the build's holes fall on returned ones, each way round.
func (h *holder) byHoles() (out []candidate) {
	var ours, theirs []geom.Point
	for _, b := range h.build.bores {
		ours = append(ours, b.at)
	}
	for _, d := range h.drills {
		for _, b := range d {
			theirs = append(theirs, b.at)
		}
	}
	const sample, most = 24, 40_000
	if len(ours) == 0 || len(theirs) == 0 || len(theirs) > most {
		return nil
	}
	there := h.grid()
	slices.SortFunc(ours, geom.Point.Compare)
	for _, w := range ways() {
		if h.Turn != nil && (w.mirrored || (w.t.Turn+*h.Turn).Normal() != 0) {
			continue
		}
		votes := map[geom.Point]int{}
		for k := range sample {
			p := ours[k*(len(ours)-1)/(sample-1)]
			for _, q := range theirs {
				d := p.Sub(w.point(q))
				votes[geom.Pt(floorDiv(d.X, hit), floorDiv(d.Y, hit))]++
			}
		}
		var best []geom.Point
		for v := range votes {
			best = append(best, v)
		}
		slices.SortFunc(best, func(a, b geom.Point) int { return cmp.Or(-cmp.Compare(votes[a], votes[b]), a.Compare(b)) })
		for _, v := range best[:min(len(best), 6)] {
			if votes[v] < 3 {
				continue
			}
			c := w.then(geom.Pt(v.X*hit+hit/2, v.Y*hit+hit/2))
			if s := h.score(c, there); s > 0.2 {
				out = append(out, candidate{c, s})
			}
		}
	}
	slices.SortStableFunc(out, func(a, b candidate) int { return -cmp.Compare(a.score, b.score) })
	return out[:min(len(out), 16)]
}

func floorDiv(a, b geom.Length) geom.Length {
	q := a / b
	if a%b < 0 {
		q--
	}
	return q
}

// choose takes the best; of several that are as good by holes, the one whose pictures are the build's.
func (h *holder) choose(ctx context.Context, all []candidate) (candidate, error) {
	n := 1
	for n < len(all) && n < 8 && all[n].score > all[0].score-0.005 {
		n++
	}
	if n == 1 {
		return all[0], nil
	}
	best, least := 0, math.Inf(1)
	for i, c := range all[:n] {
		d, err := h.likeness(ctx, c.back)
		if err != nil {
			return candidate{}, err
		}
		if d < 0.9*least || i == 0 { // those on a sheet are alike but for rounding: the first then
			best, least = i, d
		}
	}
	return all[best], nil
}

// refine shifts the panel by the median of how far its holes lie off.
func (h *holder) refine() {
	there, forth := h.grid(), h.back.inverse()
	var dx, dy []geom.Length
	for _, b := range h.build.bores {
		if k := there.near(forth.point(b.at), hit); k >= 0 && len(b.path) == 0 {
			d := h.back.point(h.drills[k>>32][k&0xffffffff].at).Sub(b.at)
			dx, dy = append(dx, d.X), append(dy, d.Y)
		}
	}
	if len(dx) > 2 {
		slices.Sort(dx)
		slices.Sort(dy)
		h.back = h.back.then(geom.Pt(-dx[len(dx)/2], -dy[len(dy)/2]))
	}
}

// scaled tells whether the panel is drawn larger or smaller than it is, which is a finding.
func (h *holder) scaled() bool {
	box := h.build.box
	for _, p := range h.loops {
		b := h.back.Box(p.Box())
		dx, dy := b.Width()-box.Width(), b.Height()-box.Height()
		if (middle(b).Sub(middle(box))).Norm() > float64(asLarge) || dx.Abs() > asLarge || dy.Abs() > asLarge {
			continue
		}
		sx, sy := float64(b.Width())/float64(box.Width()), float64(b.Height())/float64(box.Height())
		// Both sides, and by the same share: the whole panel; else a contour differs.
		if min(dx.Abs(), dy.Abs()) > 2*Tolerance && math.Abs(sx-sy) < 0.2*math.Abs(sx-1) {
			h.report(rulePlacement, pipeline.Error, "", nil, nil, "the panel is drawn %.5g times as large as it is: %s × %s instead of %s × %s; nothing else was held. Have it sent true to size",
				(sx+sy)/2, b.Width().Decimal(), b.Height(), box.Width().Decimal(), box.Height())
			return true
		}
	}
	return false
}

// times counts at how many places the panel lies.
func (h *holder) times(all []candidate) int {
	if h.Shift != nil {
		return 1
	}
	var at []geom.Point
	for _, c := range all {
		m := c.back.inverse().point(middle(h.build.box))
		if c.score >= 0.9 && !slices.ContainsFunc(at, func(p geom.Point) bool { return p.Distance(m) < float64(asLarge) }) {
			at = append(at, m)
		}
	}
	return len(at)
}

// notFound says why the panel was not found, and how to help.
func (h *holder) notFound() {
	box := h.build.box
	var why string
	switch {
	case len(h.Got.Layers)+len(h.Got.Drills) == 0:
		why = "none of the returned files is layer or drill data"
	case len(h.loops) > 0:
		largest := h.loops[0].Box()
		why = fmt.Sprintf("the panel is %s × %s, and the largest contour of the returned profile is %s × %s", box.Width().Decimal(), box.Height(), largest.Width().Decimal(), largest.Height())
		for _, side := range [][2]geom.Length{{largest.Width(), largest.Height()}, {largest.Height(), largest.Width()}} {
			sx, sy := float64(side[0])/float64(box.Width()), float64(side[1])/float64(box.Height())
			if math.Abs(sx-sy) < 0.002*sx {
				why += fmt.Sprintf(": it is drawn %.5g times as large", sx)
				if math.Abs(sx-25.4) < 0.03 || math.Abs(float64(sx*25.4)-1) < 0.002 {
					why += ", as where millimetres and inches are taken for each other"
				}
				break
			}
		}
		if largest.Width() > box.Width()+asLarge && largest.Height() > box.Height()+asLarge && !strings.Contains(why, "times as large") {
			why += ", a production sheet perhaps: ask for the files of one panel, or say where one lies with --shift and --turn"
		}
	case len(h.profile) > 0:
		why = "the returned profile has no closed contour"
	default:
		why = "none of the returned files draws the profile"
	}
	if n := len(h.build.bores); n > 0 && len(h.drills) > 0 {
		why += "; its holes lie on those of the build in no place, whichever way it is turned"
	}
	h.report(rulePlacement, pipeline.Error, "", nil, nil, "the panel was not found in the returned files, and nothing was held: %s. Where it is known, say with --shift X,Y where the panel's lower left corner lies in them, in mm, and with --turn how it is turned", why)
}
