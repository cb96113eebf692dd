package offset

import (
	"context"
	"fmt"

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

// Fit is how much narrower than a disc a channel may be for the disc to count as fitting, and how much
// wider to count as fitting just so: rounding to the nanometre and chords of a micrometre make no
// channel too narrow.
const Fit = 2 * geom.UM

// Opening gives what a disc of the given radius reaches inside a region: everything covered by some
// disc that lies in it. A square loses (4 − π)·radius² at its corners.
//
// A channel exactly as wide as the disc has no room for it to either side, and shrinks to a line that
// has no area: such channels, as wide as the disc to within Fit, come back as the ways of its centre.
// Where one runs into a wider place its line reaches up to where that begins.
//
// Opening and closing are those of J. Serra, "Image Analysis and Mathematical Morphology" (1982).
func Opening(ctx context.Context, r geom.Region, radius geom.Length, o Options) (Reach, error) {
	out := Reach{Radius: radius, Region: r}
	if err := checkRadius(radius, o); err != nil || radius == 0 {
		return out, err
	}
	o.Join = Round
	// The room for the disc's centre, and that for one smaller by t.
	const t = Fit / 2
	fine := o
	fine.Overlay.ChordError = min(t/4, max(o.Overlay.ChordError, 1))
	if o.Overlay.ChordError == 0 {
		fine.Overlay.ChordError = t / 4
	}
	room, err := By(ctx, r, -radius, fine)
	if err != nil {
		return out, err
	}
	if out.Region, err = By(ctx, room, radius, o); err != nil || radius <= t {
		return out, err
	}
	wider, err := By(ctx, r, t-radius, fine)
	if err != nil {
		return out, err
	}
	near, err := By(ctx, room, 3*t, fine)
	if err != nil {
		return out, err
	}
	thin, err := overlay.Difference(ctx, fine.Overlay, overlay.Of(wider...), overlay.Of(near...))
	if err != nil {
		return out, err
	}
	out.Lines, err = thinLines(ctx, thin, room, t)
	return out, err
}

func checkRadius(radius geom.Length, o Options) error {
	if radius < 0 || radius > geom.Limit {
		return fmt.Errorf("offset: a disc of radius %v; it must lie between 0 and %v", radius, geom.Limit)
	}
	return o.check()
}

// thinLines gives the centre lines of slivers no wider than 2·t, led up to the room that they run into.
func thinLines(ctx context.Context, thin, room geom.Region, t geom.Length) ([]geom.Path, error) {
	var out []geom.Path
	for _, o := range thin {
		box := o.Box()
		long := max(box.Width(), box.Height())
		lines, err := CentreLines(ctx, geom.Region{o}, 3*t)
		if err != nil {
			return nil, err
		}
		touches := false
		for _, p := range room.Paths() {
			if d, _, _ := geom.PathDistance(p, o.Outer); d <= float64(4*t) {
				touches = true
			}
		}
		switch {
		case touches && long < 25*t:
			continue // the tip of a wedge: the disc fits a little further in, within what Fit allows
		case len(o.CutOuts) == 0 && long < 8*t: // hardly longer than wide: the disc fits in one place
			c := box.Center()
			lines = []geom.Path{{geom.Line(c, c)}}
		}
		for _, p := range lines {
			if len(p) == 0 {
				continue
			}
			if touches && !p.Closed() {
				p = leadUp(leadUp(p, room, t).Reverse(), room, t).Reverse()
			}
			out = append(out, canonical(p))
		}
	}
	return out, nil
}

// leadUp leads the end of a line on to the room that it ends before.
func leadUp(p geom.Path, room geom.Region, t geom.Length) geom.Path {
	end := p[len(p)-1].To
	best, at := float64(6*t), end
	for _, q := range room.Paths() {
		for _, e := range q {
			if d, n := geom.PointEdgeDistance(end, e); d < best {
				best, at = d, n
			}
		}
	}
	if at == end {
		return p
	}
	return append(p[:len(p):len(p)], geom.Line(end, at))
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
