package compare

import (
	"context"
	"encoding/json"
	"fmt"
	"maps"
	"slices"
	"strconv"
	"strings"

	"panelwright/pipeline/geom"
	"panelwright/pipeline/geom/overlay"
)

// comparison is two builds and what was found so far.
type comparison struct {
	old, new *build
	changes  []Change
	notes    []string
	told     map[string]Group // files, by their plain name, whose difference is told by features
	moves    map[string]geom.Point
	copies   []copyPair
	layers   []*layerDiff
	oldOwner map[string]string // a new copy's id to what it was called
	workers  int
	// elsewhere counts values that are the same and come from another file.
	elsewhere int
}

// copyPair is a copy before and after, either -1 where there is none.
type copyPair struct{ old, new int }

func (c *comparison) add(x Change) { c.changes = append(c.changes, x) }

// family says how one list of panel.json is told.
type family struct {
	key, one, many string
	group          Group
	rank           int
	numbered       bool
}

var families = []family{
	{"rails", "", "rails", PanelGroup, 20, false},
	{"slots", "", "slots", CutsGroup, 20, true},
	{"scores", "", "score lines", CutsGroup, 10, false},
	{"blanks", "blank", "blanks", CutsGroup, 40, true},
	{"unreached", "", "places that no cutter reaches", CutsGroup, 50, true},
	{"marks", "", "marks", MarksGroup, 10, false},
	{"prints", "print", "prints", MarksGroup, 20, false},
	{"copper_shares", "copper's share of", "shares of copper", ArtworkGroup, 90, false},
	{"laminate", "laminate's", "constants of the laminate", PanelGroup, 71, false},
}

// ofPanel compares what panel.json says.
func (c *comparison) ofPanel(ctx context.Context) error {
	o, n := c.old.panel, c.new.panel
	c.head(o, n)
	if err := c.outline(ctx, o, n); err != nil {
		return err
	}
	c.boards()
	c.ofCopies()
	c.spread()
	c.rename()
	if err := c.tabs(ctx); err != nil {
		return err
	}
	for _, f := range families {
		if f.key == "laminate" && (o.support == "") != (n.support == "") {
			continue // its constants came or went with the support, which is told of
		}
		if err := c.family(ctx, f); err != nil {
			return err
		}
	}
	if o.cutters != n.cutters {
		c.value(CutsGroup, 5, "cutters", short(orNone(o.cutters), " mm"), short(orNone(n.cutters), " mm"))
	}
	if o.xOut != n.xOut {
		c.add(Change{Group: PanelGroup, Kind: Changed, rank: 60, Text: "agreed about bad copies: " + strings.Join(fieldPhrases(rawFields(o.xOut), rawFields(n.xOut)), ", "), Old: plainText(o.xOut), New: plainText(n.xOut)})
	}
	c.ofSupport(o.support, n.support)
	keys := maps.Clone(o.rest)
	maps.Copy(keys, n.rest)
	for _, k := range slices.Sorted(maps.Keys(keys)) {
		if o.rest[k] != n.rest[k] {
			c.add(Change{Group: PanelGroup, Kind: Changed, rank: 90, Text: "panel.json: " + plainText(k) + " changed"})
		}
	}
	c.told[panelName] = PanelGroup
	return nil
}

// rawFields gives the fields of an object as text.
func rawFields(s string) map[string]string {
	var m map[string]json.RawMessage
	out := map[string]string{}
	if json.Unmarshal([]byte(s), &m) == nil {
		for k, v := range m {
			out[k] = compact(v)
		}
	}
	return out
}

func orNone(s string) string {
	if s == "" || s == "[]" {
		return "none"
	}
	return s
}

// value tells a single value that changed.
func (c *comparison) value(g Group, rank int, what, old, new string) {
	if old == new {
		return
	}
	if old == "" {
		old = "none"
	}
	if new == "" {
		new = "none"
	}
	c.add(Change{Group: g, Kind: Changed, rank: rank, Text: what + " " + old + " → " + new, Old: old, New: new})
}

func (c *comparison) head(o, n *data) {
	mo, mn := c.old.manifest, c.new.manifest
	c.value(PanelGroup, 1, "panel", plainText(o.name), plainText(n.name))
	c.value(PanelGroup, 2, "revision", plainText(o.revision), plainText(n.revision))
	c.value(PanelGroup, 3, "built for", plainText(mo.Supplier), plainText(mn.Supplier))
	state := func(released bool) string {
		if released {
			return "good for release"
		}
		return "not for release"
	}
	c.value(PanelGroup, 0, "release:", state(mo.Released), state(mn.Released))
	c.value(PanelGroup, 6, "least severity that keeps from release:", string(mo.Reject), string(mn.Reject))
	c.value(PanelGroup, 5, "thickness", o.thickness.String(), n.thickness.String())
	if o.copperLayers != n.copperLayers {
		c.value(PanelGroup, 5, "copper layers", fmt.Sprint(o.copperLayers), fmt.Sprint(n.copperLayers))
	}
	if mo.Tool != mn.Tool {
		c.notes = append(c.notes, fmt.Sprintf("the old build was written by %s %s, the new one by %s %s",
			plainText(mo.Tool.Name), plainText(mo.Tool.Version), plainText(mn.Tool.Name), plainText(mn.Tool.Version)))
	}
	date := func(e *int64) string {
		if e == nil {
			return "none"
		}
		return fmt.Sprint(*e)
	}
	c.value(PanelGroup, 70, "date of the source (SOURCE_DATE_EPOCH)", date(mo.Epoch), date(mn.Epoch))
}

// outline tells how the panel's size and outline changed.
func (c *comparison) outline(ctx context.Context, o, n *data) error {
	if o.width != n.width || o.height != n.height {
		verb := "changed"
		switch {
		case n.width >= o.width && n.height >= o.height:
			verb = "grew"
		case n.width <= o.width && n.height <= o.height:
			verb = "shrank"
		}
		was, is := size(o.width, o.height), size(n.width, n.height)
		at := append(spot("old", o.outline.Box()), spot("new", n.outline.Box())...)
		c.add(Change{Group: PanelGroup, Kind: Changed, rank: 4, Text: fmt.Sprintf("panel %s from %s to %s", verb, was, is), Old: was, New: is, At: at})
		if a, b := radii(o.outline), radii(n.outline); a != b {
			c.value(PanelGroup, 4, "radius of the outline's corners", a, b)
		}
		return nil
	}
	gone, added, err := differ(ctx, overlay.Of(o.outline), overlay.Of(n.outline))
	if err != nil {
		return err
	}
	if len(gone)+len(added) > 0 {
		x := areas(Change{Group: PanelGroup, Kind: Changed, rank: 4}, gone, added)
		x.Text = "the panel's outline changed over " + square(*x.AreaMM2)
		if a, b := radii(o.outline), radii(n.outline); a != b {
			x.Text += "; radius of its corners " + a + " → " + b
		}
		x.At = append(regionSpots("old", gone), regionSpots("new", added)...)
		c.add(x)
	}
	return nil
}

// radii lists the radii of an outline's arcs, each once.
func radii(o geom.Outline) string {
	seen := map[geom.Length]bool{}
	for _, e := range o.Outer {
		if e.Sense != geom.Straight {
			seen[geom.Round(e.Radius())] = true
		}
	}
	if len(seen) == 0 {
		return "none"
	}
	var out []string
	for _, r := range slices.Sorted(maps.Keys(seen)) {
		out = append(out, r.Decimal())
	}
	return listed(out, 4) + " mm"
}

// ofCopies pairs the copies and tells what became of them.
func (c *comparison) ofCopies() {
	o, n := c.old.panel, c.new.panel
	oldAt, newAt := map[string]int{}, map[string]int{}
	for i, x := range o.copies {
		oldAt[x.id] = i
	}
	for i, x := range n.copies {
		newAt[x.id] = i
	}
	for _, p := range match(o.lists["copies"], n.lists["copies"], false) {
		cp := copyPair{-1, -1}
		if p.old != nil {
			cp.old = oldAt[p.old.id]
		}
		if p.new != nil {
			cp.new = newAt[p.new.id]
		}
		c.copies = append(c.copies, cp)
		x := Change{Group: CopiesGroup, subject: "copy", plural: "copies"}
		switch {
		case p.old == nil:
			x.Kind, x.rank, x.Features, x.At = Appeared, 1, []string{p.new.id}, spot("new", p.new.box)
			x.says = "of " + n.copies[cp.new].board + " appeared"
		case p.new == nil:
			x.Kind, x.rank, x.Features, x.At = Gone, 0, []string{p.old.id}, spot("old", p.old.box)
			x.says = "of " + o.copies[cp.old].board + " gone"
		default:
			a, b := o.copies[cp.old], n.copies[cp.new]
			c.oldOwner[b.id] = a.id
			if a.place.Turn == b.place.Turn && a.board == b.board {
				c.moves[b.id] = b.place.Shift.Sub(a.place.Shift)
			}
			x.Kind, x.rank, x.Features = Moved, 3, []string{b.id}
			var says []string
			if a.id != b.id {
				x.Kind, x.rank, x.Was = Renamed, 4, []string{a.id}
			}
			if a.board != b.board {
				x.Kind, x.rank = Changed, 2
				says = append(says, "of board "+b.board+", before "+a.board)
			}
			if t := (b.place.Turn - a.place.Turn).Normal(); t != 0 {
				x.rank = 2
				says = append(says, turned(t))
			}
			if d := b.box.Center().Sub(a.box.Center()); d != (geom.Point{}) && a.box.Width() == b.box.Width() && a.box.Height() == b.box.Height() {
				says = append(says, moved(d))
			} else if a.box.Min != b.box.Min && a.place.Turn == b.place.Turn {
				says = append(says, moved(b.box.Min.Sub(a.box.Min)))
			}
			if a.place.Turn == b.place.Turn && (a.box.Width() != b.box.Width() || a.box.Height() != b.box.Height()) {
				x.Kind = Changed
				says = append(says, sizeWords(a.box, b.box))
			}
			if len(says) == 0 && a.place != b.place {
				x.Kind = Changed
				says = append(says, "another origin in the board's files")
			}
			if len(says) == 0 && len(x.Was) == 0 {
				continue
			}
			x.says = strings.Join(says, ", ")
			x.At = append(spot("old", a.box), spot("new", b.box)...)
		}
		x.says = plainText(x.says)
		c.add(x)
	}
}

// movedWords says how far a feature moved: where its copy moved too, how far on the copy. with tells that it only moved
// along.
func (c *comparison) movedWords(o, n *feature) (says string, with bool) {
	d := n.at.Sub(o.at)
	if n.owner != "" && c.oldOwner[n.owner] == o.owner {
		if by := c.moves[n.owner]; by != (geom.Point{}) {
			if d == by {
				return "moved along with the copy", true
			}
			if d == (geom.Point{}) {
				return "stayed while its copy moved", false
			}
			return "moved along with the copy and, on it, " + strings.TrimPrefix(moved(d.Sub(by)), "moved "), false
		}
	}
	if d == (geom.Point{}) {
		return "", false
	}
	return moved(d), false
}

// family compares one list of features.
func (c *comparison) family(ctx context.Context, f family) error {
	for _, p := range match(c.old.panel.lists[f.key], c.new.panel.lists[f.key], f.numbered) {
		if err := ctx.Err(); err != nil {
			return err
		}
		x, ok := c.oneSided(f, p)
		if !ok {
			var err error
			if x, ok, err = c.both(ctx, f, p.old, p.new); err != nil {
				return fmt.Errorf("%s: %w", p.new.id, err)
			}
		}
		if ok {
			x.subject = f.one
			c.add(x)
		}
	}
	return nil
}

// oneSided tells of what is gone or new.
func (c *comparison) oneSided(f family, p pair) (Change, bool) {
	x := Change{Group: f.group, rank: f.rank, plural: f.many}
	switch {
	case p.old == nil:
		x.Kind, x.Features, x.At, x.says = Appeared, []string{p.new.id}, spot("new", p.new.box), "appeared"
		if p.new.owner != "" && c.isNew(p.new.owner) {
			x.says, x.rank = "appeared with the copy", f.rank+5
		}
	case p.new == nil:
		x.Kind, x.Features, x.At, x.says = Gone, []string{p.old.id}, spot("old", p.old.box), "gone"
		if p.old.owner != "" && c.isGone(p.old.owner) {
			x.says, x.rank = "gone with the copy", f.rank+5
		}
	default:
		return x, false
	}
	return x, true
}

func (c *comparison) isNew(id string) bool {
	return slices.ContainsFunc(c.new.panel.copies, func(x copyOf) bool { return x.id == id }) && c.oldOwner[id] == ""
}

func (c *comparison) isGone(id string) bool {
	if !slices.ContainsFunc(c.old.panel.copies, func(x copyOf) bool { return x.id == id }) {
		return false
	}
	for _, was := range c.oldOwner {
		if was == id {
			return false
		}
	}
	return true
}

// both tells how one feature differs from what it was.
func (c *comparison) both(ctx context.Context, f family, o, n *feature) (Change, bool, error) {
	x := Change{Group: f.group, Kind: Changed, rank: f.rank, plural: f.many, Features: []string{n.id}}
	if o.id == n.id && o.text == n.text {
		return x, false, nil
	}
	var says []string
	if o.id != n.id {
		x.Kind, x.rank, x.Was = Renamed, f.rank+8, []string{o.id}
	}
	a, b := o.relative(), n.relative()
	plain := fieldPhrases(a, b, geometry...)
	if f.key == "copper_shares" {
		plain = sharePhrases(o, n)
	}
	sameShape := true
	for _, k := range geometry {
		if a[k] != b[k] && k != "at_mm" && k != "rows" {
			sameShape = false
		}
	}
	if how, with := c.movedWords(o, n); how != "" && (sameShape || f.key != "slots") {
		says = append(says, how)
		if with {
			x.rank = f.rank + 6
		}
		if x.Kind == Changed && sameShape && len(plain) == 0 {
			x.Kind = Moved
		}
	}
	x.At = append(spot("old", o.box), spot("new", n.box)...)
	if !sameShape {
		phrase, area, err := shapePhrase(ctx, f, o, n)
		if err != nil {
			return x, false, err
		}
		says = append(says, phrase)
		x.AreaMM2, x.GoneMM2, x.AddedMM2 = area.AreaMM2, area.GoneMM2, area.AddedMM2
		if len(area.At) > 0 {
			x.At = area.At
		}
		if x.Kind != Renamed {
			x.Kind = Changed
		}
	}
	says = append(says, plain...)
	if len(says) == 0 && len(x.Was) == 0 {
		return x, false, nil
	}
	x.says = strings.Join(says, ", ")
	return x, true, nil
}

// shapePhrase tells how a shape changed.
func shapePhrase(ctx context.Context, f family, o, n *feature) (string, Change, error) {
	var x Change
	switch {
	case f.key == "rails":
		return sizeWords(o.box, n.box), x, nil
	case f.key == "scores":
		return fmt.Sprintf("now from (%s) to (%s) mm", point(n.at), point(n.far())), x, nil
	case len(n.shape.Outer) > 0 && len(o.shape.Outer) > 0:
		gone, added, err := differ(ctx, overlay.Of(o.shape), overlay.Of(n.shape))
		if err != nil {
			return "", x, err
		}
		x = areas(x, gone, added)
		x.At = append(regionSpots("old", gone), regionSpots("new", added)...)
		if *x.AreaMM2 == 0 {
			return "written otherwise, the same area", x, nil
		}
		var parts []string
		if *x.AddedMM2 > 0 {
			parts = append(parts, square(*x.AddedMM2)+" added")
		}
		if *x.GoneMM2 > 0 {
			parts = append(parts, square(*x.GoneMM2)+" gone")
		}
		return fmt.Sprintf("changed over %s (%s)", square(*x.AreaMM2), strings.Join(parts, ", ")), x, nil
	case o.box.Width() != n.box.Width() || o.box.Height() != n.box.Height():
		return sizeWords(o.box, n.box), x, nil
	}
	return "drawn otherwise", x, nil
}

// far is the other end of a line.
func (f *feature) far() geom.Point {
	var p place
	if unmarshal([]byte(f.fields["to_mm"]), &p) != nil {
		return f.box.Max
	}
	return geom.Point(p)
}

func point(p geom.Point) string { return p.X.Decimal() + ", " + p.Y.Decimal() }

func sizeWords(o, n geom.Box) string {
	return "size " + size(o.Width(), o.Height()) + " → " + size(n.Width(), n.Height())
}

// sharePhrases tells copper's share of a layer, in per cent of the panel.
func sharePhrases(o, n *feature) []string {
	share := func(f *feature, key string) string {
		v, err := strconv.ParseFloat(f.fields[key], 64)
		if err != nil {
			return "none"
		}
		return strconv.FormatFloat(v*100, 'f', 2, 64) + " %"
	}
	out := []string{}
	for _, k := range [][2]string{{"after", "of the panel"}, {"before", "before thieving"}} {
		if a, b := share(o, k[0]), share(n, k[0]); o.fields[k[0]] != n.fields[k[0]] {
			out = append(out, a+" → "+b+" "+k[1])
		}
	}
	return out
}
