package overlay

import (
	"errors"
	"slices"

	"panelwright/pipeline/geom"
)

// shrinkWork bounds the search for a small case: how many segments may be gone through in all.
const shrinkWork = 20_000_000

// shrink looks for a small part of operands of straight paths for which fails still holds: it drops
// whole paths, then corners, in ever smaller groups, as long as that helps (A. Zeller and R.
// Hildebrandt, "Simplifying and isolating failure-inducing input", IEEE Transactions on Software
// Engineering 28, 2002).
func shrink(ops []Operand, fails func([]Operand) bool) []Operand {
	s := shrinker{fails: fails, left: shrinkWork}
	if !s.try(ops) {
		return nil // it takes more than these: chords that were cut otherwise
	}
	type name struct{ op, path int }
	var paths []name
	for i, op := range ops {
		for k := range op.Paths {
			paths = append(paths, name{i, k})
		}
	}
	build := func(keep []name) []Operand {
		out := make([]Operand, len(ops))
		for i, op := range ops {
			out[i].Rule = op.Rule
		}
		for _, n := range keep {
			out[n.op].Paths = append(out[n.op].Paths, ops[n.op].Paths[n.path])
		}
		return out
	}
	ops = build(drop(paths, func(keep []name) bool { return s.try(build(keep)) }))
	for i := range ops {
		for k := range ops[i].Paths {
			replace := func(p geom.Path) []Operand {
				out := slices.Clone(ops)
				out[i].Paths = slices.Clone(out[i].Paths)
				out[i].Paths[k] = p
				return out
			}
			corners := make([]geom.Point, len(ops[i].Paths[k]))
			for n, e := range ops[i].Paths[k] {
				corners[n] = e.From
			}
			corners = drop(corners, func(keep []geom.Point) bool { return s.try(replace(polygon(keep))) })
			ops = replace(polygon(corners))
		}
	}
	return ops
}

type shrinker struct {
	fails func([]Operand) bool
	left  int
}

func (s *shrinker) try(ops []Operand) bool {
	work := 100
	for _, op := range ops {
		for _, p := range op.Paths {
			work += len(p)
		}
	}
	if s.left -= work; s.left < 0 {
		return false
	}
	return s.fails(ops)
}

// drop leaves out groups of a list, halves first, as long as good holds for the rest.
func drop[T any](list []T, good func([]T) bool) []T {
	for size := (len(list) + 1) / 2; size > 0; {
		dropped := false
		for i := 0; i < len(list); {
			rest := slices.Concat(list[:i], list[min(i+size, len(list)):])
			if len(rest) > 0 && good(rest) {
				list, dropped = rest, true
			} else {
				i += size
			}
		}
		if !dropped || size > len(list) {
			size /= 2
		}
	}
	return list
}

// polygon makes a closed path of its corners.
func polygon(corners []geom.Point) geom.Path {
	p := make(geom.Path, len(corners))
	for i, c := range corners {
		p[i] = geom.Line(c, corners[(i+1)%len(corners)])
	}
	return p
}

// isFault tells whether an error is a fault, and gives it.
func isFault(err error) (*Fault, bool) {
	var f *Fault
	return f, errors.As(err, &f)
}
