package rout

import (
	"cmp"
	"slices"
	"time"

	"panelwright/pipeline/geom"
)

// Feed is how fast a cutter is driven.
type Feed struct {
	Cutter      geom.Length // its diameter
	MMPerMinute float64
}

// Machine is what a machine's times depend on.
type Machine struct {
	Feeds        []Feed        // by cutter; between two a straight line, beyond them the nearest
	RapidPerMin  float64       // mm a minute between passes
	Plunge       time.Duration // into the panel and out of it, each pass
	ChangeCutter time.Duration
}

// UsualFeeds are the middles of ranges from memory, no published source: 0.8 mm 0.3 to 0.7, 1.6 mm 0.8 to
// 1.2, 2.4 mm 1.0 to 1.8 m/min.
var UsualFeeds = []Feed{{800 * geom.UM, 500}, {1600 * geom.UM, 1000}, {2400 * geom.UM, 1400}}

// Feed gives a cutter's feed in mm a minute; 0 without any.
func (m Machine) Feed(diameter geom.Length) float64 {
	feeds := slices.Clone(m.Feeds)
	if len(feeds) == 0 {
		return 0
	}
	slices.SortStableFunc(feeds, func(a, b Feed) int { return cmp.Compare(a.Cutter, b.Cutter) })
	for i, f := range feeds {
		if f.Cutter < diameter {
			continue
		}
		if i == 0 || f.Cutter == diameter {
			return f.MMPerMinute
		}
		low := feeds[i-1]
		part := float64(diameter-low.Cutter) / float64(f.Cutter-low.Cutter)
		return low.MMPerMinute + float64(part*(f.MMPerMinute-low.MMPerMinute))
	}
	return feeds[len(feeds)-1].MMPerMinute
}

// Total is what one cutter does.
type Total struct {
	Cutter geom.Length
	Passes int // each a hit
	Length geom.Length
	Travel geom.Length // between passes
	Feed   float64     // mm a minute
	Time   time.Duration
}

// Totals adds up a program, for each cutter that is used, in the order of use.
func (p *Program) Totals(cutters []geom.Length, m Machine) []Total {
	var out []Total
	at := geom.Point{}
	for i, pass := range p.Passes {
		if i == 0 || p.Passes[i-1].Cutter != pass.Cutter {
			d := cutters[pass.Cutter]
			out = append(out, Total{Cutter: d, Feed: m.Feed(d)})
		}
		t := &out[len(out)-1]
		t.Passes++
		t.Length += geom.Round(pass.Path.Length())
		t.Travel += geom.Round(at.Distance(pass.Start()))
		at = pass.End()
	}
	for i := range out {
		t := &out[i]
		minutes := 0.0
		if t.Feed > 0 {
			minutes = t.Length.MM() / t.Feed
		}
		if m.RapidPerMin > 0 {
			minutes += t.Travel.MM() / m.RapidPerMin
		}
		t.Time = time.Duration(float64(minutes*float64(time.Minute))) + time.Duration(t.Passes)*m.Plunge + m.ChangeCutter
	}
	return out
}

// Travel is the way between passes, in all.
func (p *Program) Travel() geom.Length {
	at, sum := geom.Point{}, geom.Length(0)
	for _, x := range p.Passes {
		sum += geom.Round(at.Distance(x.Start()))
		at = x.End()
	}
	return sum
}
