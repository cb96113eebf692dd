package xnc

import (
	"panelwright/pipeline/geom"
)

// pattern is what the machine steps and repeats: everything between its beginning (M25, the % that
// ends the header, or the program's beginning) and its end (M01). Each M02 repeats it, shifted by X
// and Y from the copy before; R3M02 does so three times; M08 ends the repeats. The rules are from
// memory of the machines' open description; that shifts add up follows from R with M02, which would
// otherwise drill one place several times.
type pattern struct {
	from, to mark
	ends     int // how often M01 came since the beginning
	at       geom.Point
	copies   int
	tail     mark // right behind the newest copy
	unsure   bool // after repeats: where the table stands is not said
	told     bool
}

// mark is a place in what was read so far.
type mark struct{ holes, routs int }

func (r *reader) here() mark { return mark{len(r.out.Holes), len(r.out.Routs)} }

func (r *reader) beginPattern(w word) error {
	if err := r.raise(); err != nil {
		return err
	}
	if r.pattern.ends > 0 && r.pattern.copies == 0 && r.here() != r.pattern.to {
		return r.fault(w.off, doWhole, "a pattern begins where another has ended and is not repeated")
	}
	r.reachedBody, r.inHeader, r.lastHole = true, false, false
	r.pattern = pattern{from: r.here(), unsure: r.pattern.unsure || r.pattern.copies > 0, told: r.pattern.told}
	return nil
}

func (r *reader) endPattern() error {
	if err := r.raise(); err != nil {
		return err
	}
	r.pattern.ends++
	if r.pattern.ends == 1 {
		r.pattern.to = r.here()
		r.pattern.tail = r.pattern.to
	}
	r.lastHole = false
	return nil
}

// endRepeats obeys M08.
func (r *reader) endRepeats() error {
	if err := r.raise(); err != nil {
		return err
	}
	r.pattern = pattern{from: r.here(), unsure: r.pattern.unsure || r.pattern.copies > 0, told: r.pattern.told}
	r.lastHole = false
	return nil
}

// repeatPattern obeys M02 with X and Y, with or without R and a count in front.
func (r *reader) repeatPattern(ws []word) (int, error) {
	n, count := 0, 1
	if ws[0].letter == 'R' {
		if ws[0].num.point || ws[0].num.neg || !ws[0].num.ok || !ws[1].num.ok || ws[1].num.value != 2 {
			return 0, r.fault(ws[0].off, "the form known is R, a count, then M02 with X and Y; "+doExport, "this repeat is not understood")
		}
		count, n = ws[0].num.int(), 1
	}
	w := ws[n]
	b, k, repeated := gather(ws[n+1:])
	n += 1 + k
	if n < len(ws) && ws[n].letter == 'M' && (ws[n].num.value == 70 || ws[n].num.value == 80 || ws[n].num.value == 90) {
		return 0, r.swapped(ws[n])
	}
	if n < len(ws) || repeated || b.a != nil || b.i != nil || b.j != nil || b.x == nil && b.y == nil {
		return 0, r.fault(w.off, "the form known is M02 with X and Y; "+doExport, "this repeat of a pattern is not understood")
	}
	p := &r.pattern
	switch {
	case r.format1:
		return 0, r.oldCode(w)
	case p.ends == 0:
		return 0, r.fault(w.off, "M01 must end the pattern; "+doWhole, "a pattern is repeated that has no end")
	case p.ends > 1:
		return 0, r.fault(w.off, doWhole, "a pattern with several ends (M01) is repeated: which of them is meant is not said")
	case r.down || r.here() != p.tail:
		return 0, r.fault(w.off, doWhole, "something was drilled between the end of the pattern (M01) and its repeat")
	}
	d, err := r.shift(b)
	if err != nil {
		return 0, err
	}
	holes, routs := p.to.holes-p.from.holes, p.to.routs-p.from.routs
	edges := 0
	for _, s := range r.out.Routs[p.from.routs:p.to.routs] {
		edges += len(s.Path)
	}
	if holes+routs == 0 {
		return n, nil
	}
	if holes > 0 && count > (r.opt.maxHoles()-len(r.out.Holes))/holes {
		return 0, r.fault(w.off, doLimit, "the file has more than %d holes", r.opt.maxHoles())
	}
	if edges > 0 && count > (r.opt.maxEdges()-r.edges)/edges {
		return 0, r.fault(w.off, doLimit, "the file has more than %d slot edges", r.opt.maxEdges())
	}
	for range count {
		p.at = p.at.Add(d)
		if err := r.copyPattern(w.off); err != nil {
			return 0, err
		}
		r.edges += edges
		p.copies++
	}
	if p.copies > 1 && !p.told {
		p.told = true
		r.rep.warn("a pattern is repeated %d times (M02): each shift is counted from the copy before it", p.copies)
	}
	p.tail, r.lastHole = r.here(), false
	return n, nil
}

// copyPattern makes one copy, shifted by all shifts so far.
func (r *reader) copyPattern(off int) error {
	p := r.pattern
	far := func() error {
		return r.fault(off, "check unit, zeros and digits of the file", "the repeat runs more than %v from the origin", geom.Limit)
	}
	for i := p.from.holes; i < p.to.holes; i++ {
		h := r.out.Holes[i]
		h.At = h.At.Add(p.at)
		if !h.At.Within() {
			return far()
		}
		r.out.Holes = append(r.out.Holes, h)
	}
	for i := p.from.routs; i < p.to.routs; i++ {
		s := r.out.Routs[i]
		s.Path = moved(s.Path, p.at)
		for _, e := range s.Path {
			if !e.From.Within() || !e.To.Within() {
				return far()
			}
		}
		r.out.Routs = append(r.out.Routs, s)
	}
	return nil
}

func moved(path geom.Path, by geom.Point) geom.Path {
	out := make(geom.Path, len(path))
	for i, e := range path {
		e.From, e.To = e.From.Add(by), e.To.Add(by)
		if e.Sense != geom.Straight {
			e.Center = e.Center.Add(by)
		}
		out[i] = e
	}
	return out
}

// placed refuses work that begins where the table stands after repeats.
func (p *pattern) placed(r *reader, off int) error {
	if err := p.usable(r, off); err != nil || !p.unsure {
		return err
	}
	return r.fault(off, "give the place in X and Y first, from the origin; "+doWhole, "where the table stands after a repeated pattern is not said")
}

// usable refuses work between a pattern's repeats and their end: in whose coordinates it lies is not
// said.
func (p *pattern) usable(r *reader, off int) error {
	if p.copies > 0 {
		return r.fault(off, "M08 must end the repeats; "+doWhole, "the file goes on after a repeated pattern without ending the repeats")
	}
	return nil
}

// afterPattern refuses coordinates that depend on where the table stands after repeats.
func (r *reader) afterPattern(off int, b block) error {
	p := &r.pattern
	if err := p.usable(r, off); err != nil {
		return err
	}
	if !p.unsure {
		return nil
	}
	if r.incremental || b.x == nil || b.y == nil {
		return r.fault(off, "give it both X and Y, from the origin; "+doWhole, "where the table stands after a repeated pattern is not said")
	}
	p.unsure = false
	return nil
}

func (r *reader) swapped(w word) error {
	return r.fault(w.off, doWhole, "M%d swaps or mirrors the axes, which is not supported: about which line is not agreed between machines", w.num.value)
}
