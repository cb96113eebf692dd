package overlay

import (
	"context"
	"slices"
	"sync"

	"panelwright/pipeline/geom"
)

// Much of what is asked is in order already: outlines that a union is to put in order, a border moved
// outwards, boards clear of the edge of their panel. Where no path crosses or touches itself or another,
// nothing is to be cut, and every path is a border as a whole or not at all. One sweep over bands proves
// that and tells which path lies within which; it costs a fraction of looking for crossings. It asks for
// more than it must: where it cannot say, the general way is gone.

// untouched gives what lies inside if no path crosses or touches itself or another; otherwise, and where
// operands are not as they must be, ok is false.
func untouched(ctx context.Context, o Options, operands []Operand, inside func(Cover) bool) (r geom.Region, ok bool, err error) {
	if o.ChordError < 0 || o.ChordError > maxChordError {
		return nil, false, nil // load says so
	}
	s, _ := sweeps.Get().(*bandSweep)
	if s == nil {
		s = &bandSweep{}
	}
	defer s.release()
	if !s.cutInto(operands, o) {
		return nil, false, nil
	}
	s.states = newStates()
	if ok, err := s.run(ctx); !ok {
		return nil, false, err
	}
	rules := make([]Rule, len(operands))
	for i, op := range operands {
		rules[i] = op.Rule
	}
	in := make([]bool, len(s.states.list))
	for i := range in {
		c := s.states.cover(int32(i), rules)
		in[i] = c.Len() > 0 && inside(c)
	}
	return s.region(in), true, nil
}

// sweeps keeps the memory of sweeps that are done for those to come. Small calls spend much of their time
// on getting memory, and calls that are not untouched should lose as little as may be.
var sweeps sync.Pool

func (s *bandSweep) release() {
	clear(s.walks)
	clear(s.list)
	*s = bandSweep{
		bands: bands{list: s.list[:0], walks: s.walks[:0], places: s.places[:0], tips: s.tips, lens: s.lens},
		ends:  s.ends, across: s.across[:0], found: s.found[:0],
		ended: s.ended[:0], fan: s.fan[:0], lastEnded: s.lastEnded[:0], lastFan: s.lastFan[:0],
	}
	sweeps.Put(s)
}

// region puts the paths that part inside from outside together, in canonical order.
func (s *bandSweep) region(in []bool) geom.Region {
	var out geom.Region
	owner := make([]int32, len(s.walks)+1) // of each face that is inside, its outline in out
	for _, k := range s.found {
		w := &s.walks[k]
		within, without := in[s.state(k+1)], in[s.state(w.outside)]
		switch {
		case within && without:
			owner[k+1] = owner[w.outside]
		case within:
			owner[k+1] = int32(len(out))
			out = append(out, geom.Outline{Outer: whole(w.path, w.left)})
		case without:
			c := &out[owner[w.outside]].CutOuts
			*c = append(*c, whole(w.path, !w.left))
		}
	}
	for i := range out {
		slices.SortFunc(out[i].CutOuts, comparePaths)
	}
	slices.SortFunc(out, func(a, b geom.Outline) int { return comparePaths(a.Outer, b.Outer) })
	return out
}

// whole gives a path, or the path backwards, from its least corner on and without edges of no length.
func whole(p geom.Path, forth bool) geom.Path {
	low, plain := -1, true
	var least geom.Point
	for i := range p {
		e := &p[i]
		from := e.From
		if e.Sense == geom.Straight {
			if from == e.To {
				plain = false
				continue
			}
			plain = plain && e.Center == geom.Point{}
		}
		if !forth {
			from = e.To
		}
		if low < 0 || from.Less(least) {
			low, least = i, from
		}
	}
	out := make(geom.Path, 0, len(p))
	if forth && plain {
		return append(append(out, p[low:]...), p[:low]...)
	}
	for k := range p {
		i := low + k
		if !forth {
			i = low - k + len(p)
		}
		e := p[i%len(p)]
		if !forth {
			e = e.Reverse()
		}
		switch {
		case e.Sense != geom.Straight:
			out = append(out, e)
		case e.From != e.To:
			out = append(out, geom.Line(e.From, e.To))
		}
	}
	return out
}
