package returned

import (
	"cmp"
	"context"
	"fmt"
	"slices"
	"strings"

	"panelwright/pipeline"
	"panelwright/pipeline/geom"
	"panelwright/pipeline/panel/artwork"
)

// What may differ of a hole (common practice, no published source).
const (
	rounded  = 13 * geom.UM  // of a diameter: half a mil, as tools given in inches are rounded
	larger   = 200 * geom.UM // a plated hole's tool may be, for the plating
	largerNP = 100 * geom.UM // a non-plated one's
	strayed  = 1 * geom.MM   // how far a hole is looked for that is not in its place
)

// kindOf is what holes are told together by.
type kindOf struct {
	diameter geom.Length
	plating  artwork.Plating
	slot     bool
	breakoff bool
}

func (b bore) kind() kindOf {
	return kindOf{b.diameter, b.plating, b.path != nil, b.breakoff}
}

// pairOf is a bore of the build and the returned one in its place.
type pairOf struct{ ours, theirs bore }

// holes holds holes and slots. Non-plated slots are cuts: see there.
func (h *holder) holes(context.Context) error {
	var theirs []bore
	for i, d := range h.drills {
		n := 0
		for _, b := range d {
			if b.path != nil && b.plating == artwork.NonPlated {
				continue
			}
			theirs = append(theirs, h.placed(b))
			n++
		}
		what := counted(n, "hole or slot", "holes and slots")
		h.use(h.Got.Drills[i].Source, what, "")
	}
	there := newGrid(strayed)
	for i, b := range theirs {
		there.add(b.at, i)
		if b.path != nil {
			there.add(b.end(), i)
		}
	}
	used := make([]bool, len(theirs))
	var pairs, moved []pairOf
	var missing []bore
	for _, b := range h.build.bores {
		if b.path != nil && b.plating == artwork.NonPlated {
			continue
		}
		h.out.Holes++
		if k := pick(b, theirs, used, there, hit); k >= 0 {
			used[k] = true
			pairs = append(pairs, pairOf{b, theirs[k]})
		} else {
			missing = append(missing, b)
		}
	}
	missing = h.withoutChains(missing, theirs, used)
	missing = slices.DeleteFunc(missing, func(b bore) bool {
		k := pick(b, theirs, used, there, strayed)
		if k < 0 || (theirs[k].diameter-b.diameter).Abs() > larger {
			return false
		}
		used[k] = true
		moved = append(moved, pairOf{b, theirs[k]})
		return true
	})
	if len(h.build.bores) > 0 && len(theirs) == 0 {
		h.report(ruleHole, pipeline.Error, "", nil, nil, "none of the returned files holds holes, and the panel has %s", counted(len(h.build.bores), "hole or slot", "holes and slots"))
		return nil
	}
	h.tellMissing(missing)
	h.tellMoved(moved)
	h.tellDiameters(pairs)
	h.tellPlating(pairs)
	h.tellSpans(pairs)
	var extra []bore
	for i, b := range theirs {
		if !used[i] {
			extra = append(extra, b)
		}
	}
	h.tellExtra(extra, pairs)
	return nil
}

// withoutChains takes out slots that are drilled as rows of holes: from end to end, none further from the next than it is wide.
func (h *holder) withoutChains(missing, theirs []bore, used []bool) []bore {
	n := 0
	out := slices.DeleteFunc(missing, func(b bore) bool {
		if b.path == nil {
			return false
		}
		var row []int
		for i, t := range theirs {
			if used[i] || t.path != nil || (t.diameter-b.diameter).Abs() > larger {
				continue
			}
			if d, _, _ := geom.Distance(t.at, b.path); d <= float64(hit) {
				row = append(row, i)
			}
		}
		slices.SortFunc(row, func(i, k int) int {
			return cmp.Compare(theirs[i].at.Distance(b.at), theirs[k].at.Distance(b.at))
		})
		at := b.at
		for _, i := range row {
			if theirs[i].at.Distance(at) > float64(b.diameter) {
				return false
			}
			at = theirs[i].at
		}
		if len(row) < 2 || theirs[row[0]].at.Distance(b.at) > float64(hit) || at.Distance(b.end()) > float64(hit) {
			return false
		}
		for _, i := range row {
			used[i] = true
		}
		n++
		return true
	})
	if n > 0 {
		h.report(ruleHole, pipeline.Note, "", nil, nil, "%s as rows of holes", counted(n, "slot is drilled", "slots are drilled"))
	}
	return out
}

// pick gives the returned bore that is most like one of the build's, of those that lie where it does; −1 for none.
func pick(b bore, theirs []bore, used []bool, there *grid, within geom.Length) int {
	best, least := -1, 0.0
	there.each(b.at, func(e entry) {
		t := theirs[e.id]
		if used[e.id] || (t.path == nil) != (b.path == nil) || e.at.Distance(b.at) > float64(within) {
			return
		}
		off := e.at.Distance(b.at)
		if b.path != nil {
			end, far := b.end(), t.end()
			if e.at == far && t.at != far {
				far = t.at
			}
			if off = max(off, end.Distance(far)); off > float64(within) {
				return
			}
		}
		cost := off + float64((t.diameter - b.diameter).Abs())
		if t.plating != b.plating {
			cost += float64(geom.MM)
		}
		if best < 0 || cost < least || cost == least && e.id < best {
			best, least = e.id, cost
		}
	})
	return best
}

// byKind puts bores together that are told together.
func byKind[T any](all []T, kind func(T) kindOf) (keys []kindOf, groups map[kindOf][]T) {
	groups = map[kindOf][]T{}
	for _, x := range all {
		k := kind(x)
		if groups[k] == nil {
			keys = append(keys, k)
		}
		groups[k] = append(groups[k], x)
	}
	slices.SortFunc(keys, func(a, b kindOf) int {
		return cmp.Or(cmp.Compare(a.plating, b.plating), cmp.Compare(a.diameter, b.diameter), compareBool(a.slot, b.slot), compareBool(a.breakoff, b.breakoff))
	})
	return keys, groups
}

func compareBool(a, b bool) int {
	switch {
	case a == b:
		return 0
	case b:
		return -1
	}
	return 1
}

func oursOf(p pairOf) kindOf { return p.ours.kind() }

func (k kindOf) rule() string {
	if k.breakoff {
		return ruleBreakoff
	}
	return ruleHole
}

// words names so many bores of a kind.
func (k kindOf) words(n int) string {
	what := platingWord(k.plating)
	one, many := " hole", " holes"
	switch {
	case k.breakoff:
		what, one, many = "break-off", " hole", " holes"
	case k.slot:
		one, many = " slot", " slots"
	}
	return counted(n, what+one, what+many) + " of " + shortMM(k.diameter) + " mm"
}

// whose gives the copies that bores lie on, and the names of what the panel adds.
func (h *holder) whose(bores []bore) (feature string, copies []string) {
	var ids []string
	seen := map[string]bool{}
	tabs := map[string][]string{}
	for _, t := range h.build.plan.Tabs {
		tabs[t.ID] = t.Copies
	}
	put := func(list *[]string, s string) {
		if s != "" && !seen[s] {
			seen[s] = true
			*list = append(*list, s)
		}
	}
	for _, b := range bores {
		id := b.id
		if i := strings.Index(id, "/hole/"); i >= 0 { // of a tab
			id = id[:i]
			for _, c := range tabs[id] {
				put(&copies, c)
			}
		}
		put(&ids, id)
		if c := h.build.copyAt(b.at); c != nil && b.id == "" {
			put(&copies, c.ID)
		}
	}
	return listed(ids), copies
}

// placesOf names where bores lie, the first few.
func placesOf(bores []bore) string {
	var at []string
	for _, b := range bores[:min(len(bores), mostNamed)] {
		at = append(at, shortPoint(b.at))
	}
	text := strings.Join(at, ", ") + " mm"
	if n := len(bores) - mostNamed; n > 0 {
		text += fmt.Sprintf(" and %d more", n)
	}
	return text
}

func (h *holder) tellMissing(missing []bore) {
	keys, groups := byKind(missing, bore.kind)
	for _, k := range keys {
		g := groups[k]
		feature, copies := h.whose(g)
		h.report(k.rule(), pipeline.Error, feature, copies, &g[0].at, "%s %s missing, at %s", k.words(len(g)), areIs(len(g)), placesOf(g))
	}
}

func areIs(n int) string {
	if n == 1 {
		return "is"
	}
	return "are"
}

func (h *holder) tellMoved(moved []pairOf) {
	keys, groups := byKind(moved, oursOf)
	for _, k := range keys {
		g := groups[k]
		var ours []bore
		far := pairOf{}
		for _, p := range g {
			ours = append(ours, p.ours)
			if p.theirs.at.Distance(p.ours.at) >= far.theirs.at.Distance(far.ours.at) {
				far = p
			}
		}
		feature, copies := h.whose(ours)
		d := far.theirs.at.Sub(far.ours.at)
		if len(g) == 1 {
			h.report(k.rule(), pipeline.Error, feature, copies, &g[0].ours.at, "%s is elsewhere: at %s instead of %s mm, off by %s mm", k.words(1), shortPoint(far.theirs.at), shortPoint(far.ours.at), shortPoint(d))
			continue
		}
		h.report(k.rule(), pipeline.Error, feature, copies, &g[0].ours.at, "%s are elsewhere, the farthest off by %s mm: at %s, of %s", k.words(len(g)), shortPoint(d), shortPoint(far.theirs.at), placesOf(ours))
	}
}

// tellDiameters tells of tools: all of a kind larger by one step is a note, where plating explains it.
func (h *holder) tellDiameters(pairs []pairOf) {
	keys, groups := byKind(pairs, oursOf)
	for _, k := range keys {
		g := groups[k]
		count := map[geom.Length]int{}
		for _, p := range g {
			count[p.theirs.diameter]++
		}
		common := k.diameter
		for d, n := range count {
			if n > count[common] || n == count[common] && d < common {
				common = d
			}
		}
		var others []pairOf
		for _, p := range g {
			if (p.theirs.diameter - common).Abs() > rounded {
				others = append(others, p)
			}
		}
		step, most := common-k.diameter, largerNP
		if k.plating == artwork.Plated {
			most = larger
		}
		switch {
		case len(others)*10 > len(g) && len(g) > 4:
			others = nil
			for _, p := range g {
				if (p.theirs.diameter - k.diameter).Abs() > rounded {
					others = append(others, p)
				}
			}
		case step.Abs() <= rounded:
		case step > 0 && step <= most:
			why := ""
			if k.plating == artwork.Plated {
				why = ": larger tools for the plating?"
			}
			h.report(ruleCompensation, pipeline.Note, "", nil, nil, "%s all have tools of %s mm%s", k.words(len(g)), shortMM(common), why)
		default:
			feature, copies := h.whose([]bore{g[0].ours})
			if k.breakoff {
				copies = nil
			}
			h.report(k.rule(), pipeline.Error, feature, copies, &g[0].ours.at, "%s all have tools of %s mm, which nothing explains", k.words(len(g)), shortMM(common))
		}
		if len(others) > 0 {
			var ours []bore
			sizes := map[string]bool{}
			for _, p := range others {
				ours = append(ours, p.ours)
				sizes[shortMM(p.theirs.diameter)] = true
			}
			var names []string
			for s := range sizes {
				names = append(names, s)
			}
			slices.Sort(names)
			feature, copies := h.whose(ours)
			h.report(k.rule(), pipeline.Error, feature, copies, &ours[0].at, "%s %s: %s mm, at %s", k.words(len(others)), otherTools(len(others)), listed(names), placesOf(ours))
		}
	}
}

func otherTools(n int) string {
	if n == 1 {
		return "has another tool than those like it"
	}
	return "have other tools than those like them"
}

// tellPlating tells of holes that are plated and should not be, or the other way round, and of files that do not say it.
func (h *holder) tellPlating(pairs []pairOf) {
	unsaid := map[string]int{}
	wrong := slices.DeleteFunc(slices.Clone(pairs), func(p pairOf) bool {
		if p.theirs.plating == artwork.PlatingUnknown {
			unsaid[p.theirs.source]++
		}
		return p.theirs.plating == artwork.PlatingUnknown || p.theirs.plating == p.ours.plating
	})
	keys, groups := byKind(wrong, oursOf)
	for _, k := range keys {
		var ours []bore
		for _, p := range groups[k] {
			ours = append(ours, p.ours)
		}
		feature, copies := h.whose(ours)
		h.report(k.rule(), pipeline.Error, feature, copies, &ours[0].at, "%s %s %s in %s, at %s", k.words(len(ours)), areIs(len(ours)), platingWord(groups[k][0].theirs.plating), groups[k][0].theirs.source, placesOf(ours))
	}
	for _, d := range h.Got.Drills {
		n := unsaid[d.Source]
		if n == 0 {
			continue
		}
		kinds := map[artwork.Plating]int{}
		for _, p := range pairs {
			if p.theirs.source == d.Source {
				kinds[p.ours.plating]++
			}
		}
		if len(kinds) > 1 {
			h.report(ruleHole, pipeline.Warning, d.Source, nil, nil, "%s does not say which of its holes are plated: on the panel %d are, and %d are not. Ask", d.Source, kinds[artwork.Plated], kinds[artwork.NonPlated])
			continue
		}
		p := artwork.NonPlated
		if kinds[artwork.Plated] > 0 {
			p = artwork.Plated
		}
		h.report(ruleHole, pipeline.Note, d.Source, nil, nil, "%s does not say whether its holes are plated; on the panel they all are %s", d.Source, platingWord(p))
	}
}

// tellSpans tells of holes that go through other layers.
func (h *holder) tellSpans(pairs []pairOf) {
	type span struct{ from, to int }
	groups := map[[2]span][]bore{}
	var keys [][2]span
	silent := 0
	for _, p := range pairs {
		a, b := span{p.ours.from, p.ours.to}, span{p.theirs.from, p.theirs.to}
		through := a.from == 1 && a.to == h.build.plan.CopperCount
		switch {
		case b.from == 0 && !through:
			silent++
		case b.from != 0 && a != b:
			k := [2]span{a, b}
			if groups[k] == nil {
				keys = append(keys, k)
			}
			groups[k] = append(groups[k], p.ours)
		}
	}
	slices.SortFunc(keys, func(a, b [2]span) int { return strings.Compare(fmt.Sprint(a), fmt.Sprint(b)) })
	for _, k := range keys {
		g := groups[k]
		feature, copies := h.whose(g)
		h.report(ruleHole, pipeline.Error, feature, copies, &g[0].at, "%s from layer %d to layer %d: in the returned files %s from %d to %d, at %s", counted(len(g), "hole or slot goes", "holes and slots go"), k[0].from, k[0].to,
			map[bool]string{true: "it goes", false: "they go"}[len(g) == 1], k[1].from, k[1].to, placesOf(g))
	}
	if silent > 0 {
		h.report(ruleHole, pipeline.Warning, "", nil, nil, "the returned files do not say which layers %s through that are not to go through the whole panel. Ask", counted(silent, "hole goes", "holes go"))
	}
}

// tellExtra tells of holes that the build does not have.
func (h *holder) tellExtra(extra []bore, pairs []pairOf) {
	taken := newGrid(hit)
	for i, p := range pairs {
		taken.add(p.ours.at, i)
	}
	var twice, onBoard, onRail, beyond []bore
	for _, b := range extra {
		switch {
		case taken.near(b.at, hit) >= 0:
			twice = append(twice, b)
		case !h.build.box.Grow(Tolerance).HoldsPoint(b.at):
			beyond = append(beyond, b)
		case h.build.copyAt(b.at) != nil || h.atTab(b.at):
			onBoard = append(onBoard, b)
		default:
			onRail = append(onRail, b)
		}
	}
	tell := func(rule string, s pipeline.Severity, all []bore, format string) {
		keys, groups := byKind(all, bore.kind)
		for _, k := range keys {
			g := groups[k]
			_, copies := h.whose(g)
			h.report(rule, s, g[0].source, copies, &g[0].at, format, k.words(len(g)), placesOf(g))
		}
	}
	tell(ruleHole, pipeline.Error, onBoard, "added: %s, at %s")
	tell(ruleHole, pipeline.Warning, twice, "drilled a second time: %s, at %s")
	tell(ruleAddition, pipeline.Note, onRail, "added beside the boards: %s, at %s")
	if h.alone() && len(beyond) > 0 {
		h.report(ruleAddition, pipeline.Note, "", nil, nil, "%s beyond the panel", counted(len(beyond), "hole lies", "holes lie"))
	}
}

// atTab tells whether a place lies at a tab.
func (h *holder) atTab(p geom.Point) bool {
	for _, t := range h.build.plan.Tabs {
		if d, _ := geom.PointEdgeDistance(p, geom.Line(t.Feet[0], t.Feet[1])); d < float64(t.Width/2+geom.MM/2) {
			return true
		}
	}
	return false
}
