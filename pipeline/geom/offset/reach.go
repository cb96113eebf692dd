package offset

import (
	"context"
	"fmt"
	"slices"

	"panelwright/pipeline/geom"
	"panelwright/pipeline/geom/overlay"
)

// Reach is what a disc reaches without leaving a region, as a cutter does in a slot.
type Reach struct {
	Radius geom.Length
	Region geom.Region // what the disc covers where it can move to both sides
	Lines  []geom.Path // the ways of its centre where it just fits: channels exactly as wide as it is
}

// Covered gives all that the disc reaches, channels and all.
func (c Reach) Covered(ctx context.Context, o Options) (geom.Region, error) {
	if len(c.Lines) == 0 {
		return c.Region, nil
	}
	o.End = RoundEnd
	strokes, err := Stroke(ctx, c.Lines, 2*c.Radius, o)
	if err != nil {
		return nil, err
	}
	return overlay.Union(ctx, o.Overlay, overlay.Of(c.Region...), overlay.Of(strokes...))
}

// Missed gives what of the region the disc does not reach, as the material left in corners and in
// channels too narrow, but for slivers thinner than Fit.
func (c Reach) Missed(ctx context.Context, r geom.Region, o Options) (geom.Region, error) {
	all, err := c.Covered(ctx, o)
	if err != nil {
		return nil, err
	}
	left, err := overlay.Difference(ctx, o.Overlay, overlay.Of(r...), overlay.Of(all...))
	if err != nil {
		return nil, err
	}
	o.Join = Round
	o.Overlay.ChordError = fine / 4
	if left, err = By(ctx, left, -fine, o); err != nil {
		return nil, err
	}
	return By(ctx, left, fine, o)
}

// Fit is how much narrower than a disc a channel may be for the disc to count as fitting, and how much
// wider to count as fitting just so: rounding to the nanometre and chords of a micrometre make no
// channel too narrow.
const Fit = 2 * geom.UM

// fine is half of Fit: the room for the middle of a disc that fits just so is up to twice as wide.
const fine = Fit / 2

// Opening gives what a disc of the given radius reaches inside a region: everything covered by some
// disc that lies in it. A square loses (4 − π)·radius² at its corners.
//
// A channel exactly as wide as the disc has no room for it to either side, and shrinks to a line that
// has no area: such channels, as wide as the disc to within Fit, come back as the ways of its centre.
// Where one runs into a wider place its line reaches up to where that begins. A dead end of less than
// 30 times Fit is left out, for it cannot be told from a pointed corner.
//
// A radius of 0 reaches everything; below 0 it is an error, as beyond geom.Limit.
//
// Opening and closing are those of J. Serra, "Image Analysis and Mathematical Morphology" (1982).
func Opening(ctx context.Context, r geom.Region, radius geom.Length, o Options) (Reach, error) {
	out := Reach{Radius: radius, Region: r}
	if err := checkRadius(radius, o); err != nil || radius == 0 {
		return out, err
	}
	o.Join = Round
	// Rooms for a disc's centre are cut up to a few times fine: chords must not show there.
	exact := o
	exact.Overlay.ChordError = fine / 4
	if o.Overlay.ChordError > 0 {
		exact.Overlay.ChordError = min(fine/4, o.Overlay.ChordError)
	}
	room, err := By(ctx, r, -radius, exact)
	if err != nil {
		return out, err
	}
	if radius > fine {
		if room, out.Lines, err = justFits(ctx, r, room, radius, exact); err != nil {
			return out, err
		}
	}
	out.Region, err = By(ctx, room, radius, o)
	return out, err
}

// justFits parts the room for a disc's centre into that with room to either side and the lines where the
// disc just fits: what is room for a disc smaller by fine, and not near that for one larger by fine.
func justFits(ctx context.Context, r, room geom.Region, radius geom.Length, o Options) (geom.Region, []geom.Path, error) {
	smaller, err := By(ctx, r, fine-radius, o)
	if err != nil {
		return nil, nil, err
	}
	larger, err := By(ctx, r, -fine-radius, o)
	if err != nil {
		return nil, nil, err
	}
	wide, err := By(ctx, larger, 4*fine, o)
	if err != nil {
		return nil, nil, err
	}
	thin, err := overlay.Difference(ctx, o.Overlay, overlay.Of(smaller...), overlay.Of(wide...))
	if err != nil || len(thin) == 0 {
		return room, nil, err
	}
	lines, given, err := thinLines(ctx, thin, wide)
	if err != nil || len(lines) == 0 {
		return room, nil, err
	}
	room, err = overlay.Difference(ctx, o.Overlay, overlay.Of(room...), overlay.Of(given...))
	if err != nil {
		return nil, nil, err
	}
	edges := gather(room)
	for i, p := range lines {
		if !p.Closed() || p.Length() < 1 {
			before, _ := edges.leadUp(p[0].From)
			after, _ := edges.leadUp(p[len(p)-1].To)
			lines[i] = canonical(slices.Concat(before.Reverse(), p, after))
		}
	}
	slices.SortFunc(lines, comparePaths)
	return room, lines, nil
}

func checkRadius(radius geom.Length, o Options) error {
	if radius < 0 || radius > geom.Limit {
		return fmt.Errorf("offset: a disc of radius %v; it must lie between 0 and %v", radius, geom.Limit)
	}
	return o.check()
}

// thinLines gives the centre lines of slivers no wider than 4·fine, and the slivers that have some.
func thinLines(ctx context.Context, thin, wide geom.Region) (lines []geom.Path, given geom.Region, err error) {
	edges := gather(wide)
	for _, o := range thin {
		found, err := CentreLines(ctx, geom.Region{o}, 5*fine)
		if err != nil {
			return nil, nil, err
		}
		box := o.Box()
		if long := max(box.Width(), box.Height()); len(o.CutOuts) == 0 && long < 8*fine {
			// Hardly longer than wide: the disc fits in one place.
			c := box.Center()
			found = []geom.Path{{geom.Line(c, c)}}
		}
		some := false
		for _, p := range found {
			long := p.Length()
			_, begins := edges.leadUp(p[0].From)
			_, ends := edges.leadUp(p[len(p)-1].To)
			const corner, neck = 60 * fine, 16 * fine
			switch {
			case p.Closed() && long > 1 && len(o.CutOuts) == 0:
				continue // nothing to run round: rounding
			case begins != ends && long < float64(corner):
				continue // the tip of a corner: the disc fits a little further in, within what Fit allows
			case begins && ends && long < float64(neck):
				continue // discs before and behind cover it
			}
			if !p.Closed() {
				p = straighten(straighten(p).Reverse()).Reverse()
			}
			lines, some = append(lines, p), true
		}
		if some {
			given = append(given, o)
		}
	}
	return lines, given, nil
}

// leadUp leads from a place to the nearest of the edges, and tells whether any is near.
func (c *channels) leadUp(from geom.Point) (geom.Path, bool) {
	const near = 8 * fine
	best, at, ok := float64(near), from, false
	c.index.Nearest(geom.BoxOf(from), func(dist float64, _ geom.Box, i int) bool {
		if dist > best {
			return false
		}
		if d, q := geom.PointEdgeDistance(from, c.edges[i]); d <= best {
			best, at, ok = d, q, true
		}
		return true
	})
	if at == from {
		return nil, ok
	}
	return geom.Path{geom.Line(from, at)}, ok
}

// straighten leads the last long edge of a line straight on, or on round its arc, to the line's end, if
// what follows it is short and strays by less than fine: where the side of a channel bends away, the
// middle does so too, but the disc need not follow.
func straighten(p geom.Path) geom.Path {
	end, tail := p[len(p)-1].To, 0.0
	i := len(p) - 1
	for ; i > 0 && p[i].Length() < max(4*tail, float64(100*fine)); i-- {
		tail += p[i].Length()
	}
	last := p[i]
	if i == len(p)-1 || tail > float64(200*fine) || last.Length() < 4*tail {
		return p
	}
	for _, e := range p[i+1:] {
		if on := foot(last, e.To); e.To.Distance(on) > float64(fine) {
			return p
		}
	}
	if last.To = foot(last, end); last.To == last.From {
		return p
	}
	return append(p[:i:i], last)
}

// Closing gives a region together with all that a disc of the given radius cannot reach from outside:
// notches and gaps too narrow for it are filled.
func Closing(ctx context.Context, r geom.Region, radius geom.Length, o Options) (geom.Region, error) {
	if err := checkRadius(radius, o); err != nil || radius == 0 {
		return r, err
	}
	o.Join = Round
	grown, err := By(ctx, r, radius, o)
	if err != nil {
		return nil, err
	}
	return By(ctx, grown, -radius, o)
}
