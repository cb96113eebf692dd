package rule

import (
	"context"
	"fmt"
	"math"
	"slices"
	"strings"

	"panelwright/pipeline"
	"panelwright/pipeline/geom"
	"panelwright/pipeline/panel"
)

// wrongWay is one way to load a panel wrongly: what the camera sees of a place then.
type wrongWay struct {
	words string
	over  bool // the other side is up
	to    func(p geom.Point, whole geom.Box) geom.Point
}

// wrongWays gives those in which a panel goes into the line: the wrong end first, and turned over. A square panel
// goes in by a quarter turn too.
func wrongWays(whole geom.Box) []wrongWay {
	across := func(p geom.Point, b geom.Box) geom.Point { return geom.Pt(b.Min.X+b.Max.X-p.X, p.Y) }
	along := func(p geom.Point, b geom.Box) geom.Point { return geom.Pt(p.X, b.Min.Y+b.Max.Y-p.Y) }
	half := func(p geom.Point, b geom.Box) geom.Point { return along(across(p, b), b) }
	ways := []wrongWay{
		{"turned by 180 deg", false, half},
		{"turned over about its upright middle", true, across},
		{"turned over about its level middle", true, along},
	}
	if (whole.Width() - whole.Height()).Abs() <= geom.MM {
		quarter := func(p geom.Point, b geom.Box) geom.Point {
			return geom.Pt(b.Min.X+b.Max.Y-p.Y, b.Min.Y+p.X-b.Min.X)
		}
		ways = append(ways,
			wrongWay{"turned by 90 deg", false, quarter},
			wrongWay{"turned by 270 deg", false, func(p geom.Point, b geom.Box) geom.Point { return half(quarter(p, b), b) }},
			wrongWay{"turned over about a diagonal", true, func(p geom.Point, b geom.Box) geom.Point { return across(quarter(p, b), b) }},
			wrongWay{"turned over about the other diagonal", true, func(p geom.Point, b geom.Box) geom.Point { return along(quarter(p, b), b) }})
	}
	return ways
}

// fiducialSymmetry finds fiducials that a wrongly loaded panel shows where a rightly loaded one does.
func fiducialSymmetry(_ context.Context, in pipeline.Case) ([]pipeline.Finding, error) {
	p := in.Panel
	whole := p.Outline().Box()
	var out []pipeline.Finding
	for _, side := range []panel.Side{panel.Top, panel.Bottom} {
		wanted := onSide(p, side)
		if len(wanted) < 2 {
			continue // one mark tells little; how many there must be is for fiducial-count
		}
		var ways []string
		least, furthest := math.Inf(1), 0
		for _, way := range wrongWays(whole) {
			shown := side
			if way.over {
				shown = opposite(side)
			}
			d, at := displacement(wanted, onSide(p, shown), func(q geom.Point) geom.Point { return way.to(q, whole) })
			if d/1e6 >= in.Limit-tolerance {
				continue
			}
			ways = append(ways, way.words)
			if d < least {
				least, furthest = d, at
			}
		}
		if len(ways) == 0 {
			continue
		}
		v, place := math.Round(least)/1e6, wanted[furthest].At
		what := fmt.Sprintf("look alike with the panel %s: each has one within %s mm of its place then, and at least one must be off by %v mm for the line to tell",
			either(ways), trim(v), in.Limit)
		if n := len(out); n > 0 && out[0].Feature == wanted[furthest].ID && strings.HasSuffix(out[0].Message, what) {
			out[0].Message = "the fiducials of either side " + what
			continue
		}
		out = append(out, pipeline.Finding{At: &place, Feature: wanted[furthest].ID, Measured: &v,
			Message: fmt.Sprintf("the fiducials of the panel's %s %s", side, what)})
	}
	return out, nil
}

func opposite(s panel.Side) panel.Side {
	if s == panel.Top {
		return panel.Bottom
	}
	return panel.Top
}

func either(list []string) string {
	if n := len(list); n > 1 {
		return strings.Join(list[:n-1], ", ") + " or " + list[n-1]
	}
	return list[0]
}

// displacement gives the least distance in nm within which every wanted mark finds a shown one of its own, when the
// shown ones are moved, and which of the wanted is the furthest off then; +Inf and 0 where there are too few.
func displacement(wanted, shown []panel.Mark, moved func(geom.Point) geom.Point) (float64, int) {
	if len(shown) < len(wanted) {
		return math.Inf(1), 0
	}
	distance := make([][]float64, len(wanted))
	var all []float64
	for i, w := range wanted {
		distance[i] = make([]float64, len(shown))
		for k, s := range shown {
			distance[i][k] = w.At.Distance(moved(s.At))
			all = append(all, distance[i][k])
		}
	}
	slices.Sort(all)
	all = slices.Compact(all)
	// The smallest of these within which all can be paired.
	least, _ := slices.BinarySearchFunc(all, true, func(d float64, _ bool) int {
		if paired(distance, d) {
			return 0
		}
		return -1
	})
	if least == len(all) {
		return math.Inf(1), 0
	}
	for i := range wanted {
		if slices.Contains(distance[i], all[least]) {
			return all[least], i
		}
	}
	return all[least], 0
}

// paired tells whether every row can have a column of its own within d: augmenting paths.
func paired(distance [][]float64, d float64) bool {
	owner := map[int]int{}
	var take func(row int, tried map[int]bool) bool
	take = func(row int, tried map[int]bool) bool {
		for k, v := range distance[row] {
			if v > d || tried[k] {
				continue
			}
			tried[k] = true
			if other, ok := owner[k]; !ok || take(other, tried) {
				owner[k] = row
				return true
			}
		}
		return false
	}
	for row := range distance {
		if !take(row, map[int]bool{}) {
			return false
		}
	}
	return true
}
