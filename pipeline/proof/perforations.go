package proof

import (
	"fmt"
	"slices"

	"panelwright/pipeline/geom"
	"panelwright/pipeline/panel"
	"panelwright/pipeline/panel/artwork"
	"panelwright/pipeline/proof/apart"
)

// rowKey names a row of perforations: a tab and the row's index.
type rowKey struct {
	tab string
	row int
}

// strayed is how far a hole may lie from its place and still be taken for the same hole: less than half
// of what usually lies between two.
const strayed = 350 * geom.UM

// bitesMore is by how much more than its inset a hole may reach into a board: roundings.
const bitesMore = 1 * geom.UM

// matchPerforations holds the written perforations against the planned ones, hole by hole, and notes
// them for the proof of geometry. Each fault is told of once, under the rule that fits it best: a tool
// of another diameter, a hole that reaches into a board, or holes missing, too many, or elsewhere.
func (p *prover) matchPerforations(file string, d *artwork.Drilling) {
	planned := p.in.Panel.Perforations()
	var index geom.Index[int]
	for i, h := range d.Holes {
		index.Insert(geom.BoxOf(h.At), i)
	}
	used := make([]bool, len(d.Holes))
	match := make([]int, len(planned))
	find := func(h panel.Perforation, within geom.Length) int {
		best, at := within+1, -1
		index.Search(geom.BoxOf(h.At).Grow(within), func(_ geom.Box, i int) bool {
			if l := geom.Round(h.At.Distance(d.Holes[i].At)); !used[i] && (l < best || l == best && i < at) {
				best, at = l, i
			}
			return true
		})
		if at >= 0 {
			used[at] = true
		}
		return at
	}
	for i, h := range planned { // those in their place first
		match[i] = find(h, 0)
	}
	for i, h := range planned {
		if match[i] < 0 {
			match[i] = find(h, strayed)
		}
	}
	outlines := map[string]geom.Outline{}
	for _, c := range p.in.Panel.Copies() {
		outlines[c.ID] = c.Outline()
	}
	insets := map[rowKey]geom.Length{}
	for _, t := range p.in.Panel.Tabs() {
		for n, r := range t.Rows {
			insets[rowKey{t.ID, n}] = r.Inset
		}
	}
	var missing []panel.Perforation
	tools := map[[2]geom.Length][]panel.Perforation{}
	p.rows = map[rowKey][]geom.Point{}
	for i, h := range planned {
		if match[i] < 0 {
			missing = append(missing, h)
			continue
		}
		at := d.Holes[match[i]].At
		diameter := d.Tools[d.Holes[match[i]].Tool].Diameter
		k := rowKey{h.Tab, h.Row}
		p.rows[k] = append(p.rows[k], at)
		p.perforations = append(p.perforations, apart.Disc{At: at, Diameter: h.Diameter})
		if diameter != h.Diameter {
			pair := [2]geom.Length{h.Diameter, diameter}
			tools[pair] = append(tools[pair], h)
			continue
		}
		if bites := bite(outlines[h.Copy], at, diameter); bites > insets[k]+bitesMore {
			p.report(ruleInBoard, h.ID, []string{h.Copy}, &at, "%s at %v mm reaches %v into %s, %v more than its row is set in", h.ID, at, bites, h.Copy, bites-insets[k])
		} else if at != h.At {
			p.report(ruleHoles, file, []string{h.ID}, &at, "%s is drilled at %v mm, %v from its place", h.ID, at, geom.Round(at.Distance(h.At)))
		}
	}
	pairs := make([][2]geom.Length, 0, len(tools))
	for k := range tools {
		pairs = append(pairs, k)
	}
	slices.SortFunc(pairs, func(a, b [2]geom.Length) int { return slices.Compare(a[:], b[:]) })
	for _, k := range pairs {
		first := tools[k][0]
		p.report(ruleHoles, file, []string{first.ID}, &first.At, "the tool drills %v instead of %v: %s, the first %s at %v mm", k[1], k[0], holeCount(len(tools[k])), first.ID, first.At)
	}
	if len(missing) > 0 {
		p.report(ruleHoles, file, []string{missing[0].ID}, &missing[0].At, "%s missing, the first: %s at %v mm", holeCount(len(missing)), missing[0].ID, missing[0].At)
	}
	extra := 0
	var first geom.Point
	for i, h := range d.Holes {
		if used[i] {
			continue
		}
		if extra == 0 {
			first = h.At
		}
		extra++
		p.perforations = append(p.perforations, apart.Disc{At: h.At, Diameter: d.Tools[h.Tool].Diameter})
	}
	if extra += len(d.Routs); extra > 0 {
		p.report(ruleHoles, file, nil, &first, "%s too many, the first at %v mm", holeCount(extra), first)
	}
}

func holeCount(n int) string {
	if n == 1 {
		return "1 hole is"
	}
	return fmt.Sprintf("%d holes are", n)
}

// bite is how far a hole reaches into a board; below zero when it stays off.
func bite(o geom.Outline, at geom.Point, diameter geom.Length) geom.Length {
	d := o.Distance(at)
	if o.Locate(at) == geom.Inside {
		d = -d
	}
	return diameter/2 - geom.Round(d)
}
