package panel

import (
	"errors"
	"fmt"
	"strings"

	"panelwright/pipeline/geom"
)

// Erasure is a clear object of one copy that reaches into another copy, where it would erase what
// the other has drawn before it.
type Erasure struct {
	Copy, Other string // ids
	Layer       string // the function's key
	At          geom.Point
}

// Erasures finds clear objects that reach from their own copy into another copy's outline box, the
// first of each layer and pair of copies. Clear objects that stay within their copy's own box are no
// concern: nothing else is drawn there.
func (p Panel) Erasures() []Erasure {
	type reach struct {
		layer string
		box   geom.Box // in the board's coordinates
	}
	outside := map[*Board][]reach{}
	for _, b := range p.get().boards {
		own := b.Outline.Box()
		for _, l := range b.Layers {
			for _, o := range l.Image.Objects {
				if !o.Clear {
					continue
				}
				if x := l.Image.Box(o); !own.Holds(x) {
					outside[b] = append(outside[b], reach{l.Function.Key(), x})
				}
			}
		}
	}
	var out []Erasure
	copies := p.get().copies
	for i, c := range copies {
		for k, d := range copies {
			if i == k {
				continue
			}
			other, seen := d.Box(), map[string]bool{}
			for _, r := range outside[c.Board] {
				x := c.Place.Box(r.box)
				if seen[r.layer] || !overlapInside(x, other) {
					continue
				}
				seen[r.layer] = true
				at := geom.Box{
					Min: geom.Pt(max(x.Min.X, other.Min.X), max(x.Min.Y, other.Min.Y)),
					Max: geom.Pt(min(x.Max.X, other.Max.X), min(x.Max.Y, other.Max.Y)),
				}.Center()
				out = append(out, Erasure{c.ID, d.ID, r.layer, at})
			}
		}
	}
	return out
}

// overlapInside tells whether the boxes share more than a border.
func overlapInside(a, b geom.Box) bool {
	return a.Min.X < b.Max.X && b.Min.X < a.Max.X && a.Min.Y < b.Max.Y && b.Min.Y < a.Max.Y
}

// RefuseErasures gives an error that names the first few erasures, nil when there is none.
func (p Panel) RefuseErasures() error {
	found := p.Erasures()
	if len(found) == 0 {
		return nil
	}
	var b strings.Builder
	for i, e := range found {
		if i == 3 {
			fmt.Fprintf(&b, "; and %d more", len(found)-i)
			break
		}
		if i > 0 {
			b.WriteString("; ")
		}
		fmt.Fprintf(&b, "clear polarity on layer %s of %s reaches into %s at %v mm and would erase what is drawn there", e.Layer, e.Copy, e.Other, e.At)
	}
	b.WriteString(": place the copies further apart")
	return errors.New(b.String())
}
