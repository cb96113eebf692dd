package compare

import (
	"context"
	"errors"
	"fmt"
	"slices"
	"strings"

	"panelwright/pipeline"
	"panelwright/pipeline/format/gerber"
	"panelwright/pipeline/geom"
	"panelwright/pipeline/panel/artwork"
)

// layerDiff is a layer whose file changed.
type layerDiff struct {
	key      string // "copper-2-inner"
	old, new *file
	parts    []*partDiff
	changes  []Change
	notes    []string
}

// partDiff is what changed on a layer alike on some copies, or beside all copies.
type partDiff struct {
	board       string // empty: beside the copies
	pairs       []copyPair
	drawn       bool        // the objects differ; else only what is said of them
	gone, added geom.Region // in the board's coordinates
	err         error       // why no area is known
}

// layerKey gives the layer of a file, by the name that write_fab gives it.
func layerKey(f *file) (string, bool) {
	rest, ok := strings.CutPrefix(f.plain, "fab/*-")
	if !ok {
		return "", false
	}
	return strings.CutSuffix(rest, ".gbr")
}

// hasAreas tells whether a layer is a picture of material; others are drawings of lines.
func hasAreas(key string) bool {
	kind, _, _ := strings.Cut(key, "-")
	return kind == "copper" || kind == "mask" || kind == "paste" || kind == "legend"
}

// layerWords names a layer for people.
func layerWords(key string) string {
	w := strings.Split(plainText(key), "-")
	switch {
	case w[0] == "copper" && len(w) > 1:
		return "copper layer " + w[1]
	case hasAreas(key) && len(w) == 2:
		return w[0] + " on the " + w[1]
	}
	return plainText(key)
}

// artwork compares the layer files.
func (c *comparison) artwork(ctx context.Context) error {
	var work []*layerDiff
	for i := range c.new.files {
		n := &c.new.files[i]
		key, ok := layerKey(n)
		o := c.old.byPlain[n.plain]
		if !ok || o == nil || o.sum == n.sum {
			continue
		}
		work = append(work, &layerDiff{key: key, old: o, new: n})
	}
	err := pipeline.Each(ctx, c.workers, len(work), func(i int) error {
		if hasAreas(work[i].key) {
			return c.layer(ctx, work[i])
		}
		return c.lines(work[i])
	})
	if err != nil {
		return err
	}
	for _, l := range work {
		for _, x := range l.changes {
			c.add(x)
		}
		c.notes = append(c.notes, l.notes...)
		c.layers = append(c.layers, l)
		c.told[l.new.plain] = ArtworkGroup
	}
	return nil
}

// unreadable tells of a layer file that no reader understands: its bytes differ, and more is not known.
func (c *comparison) unreadable(g Group, b *build, f *file, err error) Change {
	return Change{Group: g, Kind: Changed, File: f.name, Text: plainText(fmt.Sprintf("%s differs, and %s/%s cannot be read: %v", f.name, b.shown, f.name, err))}
}

func (c *comparison) bothTexts(l *layerDiff) (a, b []byte, err error) {
	if a, err = c.old.read(l.old.name, mostBytes); err != nil {
		return nil, nil, err
	}
	b, err = c.new.read(l.new.name, mostBytes)
	return a, b, err
}

// layer compares a layer of material.
func (c *comparison) layer(ctx context.Context, l *layerDiff) error {
	a, b, err := c.bothTexts(l)
	if err != nil {
		return err
	}
	before, err := sumLayer(l.old.name, a, c.old.panel.copies)
	if err != nil {
		l.changes = append(l.changes, c.unreadable(ArtworkGroup, c.old, l.old, err))
		return nil
	}
	after, err := sumLayer(l.new.name, b, c.new.panel.copies)
	if err != nil {
		l.changes = append(l.changes, c.unreadable(ArtworkGroup, c.new, l.new, err))
		return nil
	}
	l.parts = c.parts(before, after)
	if err := c.measure(ctx, l, a, b); err != nil {
		return err
	}
	c.wordLayer(l)
	return nil
}

// parts finds the copies whose layer differs, those that differ alike as one, and the panel's own.
func (c *comparison) parts(before, after []sums) []*partDiff {
	o, n := c.old.panel, c.new.panel
	type key struct {
		board string
		a, b  sums
		turns [2]geom.Angle
	}
	at := map[key]*partDiff{}
	var out []*partDiff
	put := func(k key, p copyPair) {
		if k.a == k.b {
			return
		}
		if at[k] == nil {
			at[k] = &partDiff{board: k.board, drawn: k.a.drawn != k.b.drawn || k.turns[0] != k.turns[1]}
			out = append(out, at[k])
		}
		at[k].pairs = append(at[k].pairs, p)
	}
	for _, p := range c.pairsByBoard() {
		x, y := o.copies[p.old], n.copies[p.new]
		put(key{board: x.board, a: before[p.old], b: after[p.new], turns: [2]geom.Angle{frameOf(x.place).kept, frameOf(y.place).kept}}, p)
	}
	put(key{a: before[len(o.copies)], b: after[len(n.copies)]}, copyPair{len(o.copies), len(n.copies)})
	return out
}

// pairsByBoard are the copies of one board on both panels. A board none of whose copies have a partner lends its first
// copy on either side, so that what changed of the board itself is told.
func (c *comparison) pairsByBoard() []copyPair {
	var out []copyPair
	paired := map[string]bool{}
	for _, p := range c.copies {
		if p.old >= 0 && p.new >= 0 && c.old.panel.copies[p.old].board == c.new.panel.copies[p.new].board {
			out = append(out, p)
			paired[c.new.panel.copies[p.new].board] = true
		}
	}
	for i, n := range c.new.panel.copies {
		if paired[n.board] {
			continue
		}
		if k := slices.IndexFunc(c.old.panel.copies, func(x copyOf) bool { return x.board == n.board }); k >= 0 {
			out = append(out, copyPair{k, i})
		}
		paired[n.board] = true
	}
	return out
}

// measure works the areas out, each part once.
func (c *comparison) measure(ctx context.Context, l *layerDiff, a, b []byte) error {
	oldWanted, newWanted := map[int]bool{}, map[int]bool{}
	for _, p := range l.parts {
		if p.drawn {
			oldWanted[p.pairs[0].old], newWanted[p.pairs[0].new] = true, true
		}
	}
	if len(oldWanted) == 0 {
		return nil
	}
	before, err := imagesOf(l.old.name, a, c.old.panel.copies, oldWanted)
	if err != nil {
		return err
	}
	after, err := imagesOf(l.new.name, b, c.new.panel.copies, newWanted)
	if err != nil {
		return err
	}
	none := &artwork.Image{Sets: []artwork.Attributes{nil}}
	for _, p := range l.parts {
		if !p.drawn {
			continue
		}
		x, y := before[p.pairs[0].old], after[p.pairs[0].new]
		if x == nil {
			x = none
		}
		if y == nil {
			y = none
		}
		p.gone, p.added, p.err = between(ctx, x, y)
		if ctx.Err() != nil {
			return ctx.Err()
		}
	}
	return nil
}

// wordLayer says what changed on a layer.
func (c *comparison) wordLayer(l *layerDiff) {
	name := layerWords(l.key)
	if strings.HasPrefix(l.key, "mask") {
		name = "openings of the " + name
	}
	if len(l.parts) == 0 {
		if c.copiesStay() { // else the file differs as the copies do, and that is told
			l.changes = append(l.changes, Change{Group: ArtworkGroup, Kind: Changed, rank: 30, File: l.new.name,
				Text: name + ": " + plainText(l.new.name) + " has the same picture, object by object, and another header"})
		}
		return
	}
	type said struct{ board, says string }
	at := map[said]int{}
	for _, p := range l.parts {
		x := areas(Change{Group: ArtworkGroup, Kind: Changed, File: l.new.name}, p.gone, p.added)
		var says string
		switch {
		case !p.drawn:
			x.AreaMM2, x.GoneMM2, x.AddedMM2, x.rank = nil, nil, nil, 20
			says = "has the same picture and other attributes (nets, functions of pads)"
		case errors.Is(p.err, errTooMuch):
			x.AreaMM2, x.GoneMM2, x.AddedMM2 = nil, nil, nil
			says = "changed by so much that the area was not measured"
		case p.err != nil:
			x.AreaMM2, x.GoneMM2, x.AddedMM2 = nil, nil, nil
			says = "changed; its area could not be measured: " + plainText(p.err.Error())
		case len(p.gone)+len(p.added) == 0:
			x.rank = 25
			says = "has the same picture, drawn otherwise"
		default:
			says = "changed over " + square(*x.AreaMM2) + " (" + square(*x.AddedMM2) + " added, " + square(*x.GoneMM2) + " gone)"
		}
		if p.board == "" {
			x.rank += 5
		}
		x.At, x.Copies = c.spots(p)
		k := said{p.board, says}
		if i, ok := at[k]; ok { // alike, though cut otherwise at the neighbours
			l.changes[i].Copies = append(l.changes[i].Copies, x.Copies...)
			l.changes[i].At = append(l.changes[i].At, x.At...)
			continue
		}
		at[k] = len(l.changes)
		x.says, x.subject = says, p.board
		l.changes = append(l.changes, x)
	}
	for i := range l.changes {
		x := &l.changes[i]
		x.Text = name + " of " + plainText(x.subject) + " " + x.says + c.onCopies(x.subject, x.Copies)
		if x.subject == "" {
			x.Text = name + " beside the copies " + x.says
		}
		x.At = x.At[:min(len(x.At), mostSpots)]
	}
}

// onCopies says on which copies of a board.
func (c *comparison) onCopies(board string, copies []string) string {
	all := 0
	for _, x := range c.new.panel.copies {
		if x.board == board {
			all++
		}
	}
	switch {
	case len(copies) == 1 && all == 1:
		return ""
	case len(copies) == all:
		return fmt.Sprintf(", on each of its %d copies", all)
	}
	return fmt.Sprintf(", on %d of its %d copies (%s)", len(copies), all, plainText(listed(copies, 6)))
}

// copiesStay tells whether both panels have the same copies at the same places.
func (c *comparison) copiesStay() bool {
	return !slices.ContainsFunc(c.copies, func(p copyPair) bool {
		return p.old < 0 || p.new < 0 || c.old.panel.copies[p.old].place != c.new.panel.copies[p.new].place
	})
}

// spots gives the places of a part on both panels, and the copies that it holds for.
func (c *comparison) spots(p *partDiff) (at []Spot, copies []string) {
	boxes := func(r geom.Region) (out []geom.Box) {
		for _, o := range r {
			out = append(out, o.Box())
		}
		return places(out)
	}
	gone, added := boxes(p.gone), boxes(p.added)
	for _, pair := range p.pairs {
		var back, there geom.Transform
		if p.board != "" {
			back, there = c.old.panel.copies[pair.old].place, c.new.panel.copies[pair.new].place
			copies = append(copies, c.new.panel.copies[pair.new].id)
		}
		for _, b := range gone {
			at = append(at, spot("old", back.Box(b))...)
		}
		for _, b := range added {
			at = append(at, spot("new", there.Box(b))...)
		}
	}
	return at, copies
}

// lines compares a file that draws lines: the profile, score lines, the drawing of the array.
func (c *comparison) lines(l *layerDiff) error {
	a, b, err := c.bothTexts(l)
	if err != nil {
		return err
	}
	read := func(x *build, f *file, text []byte) (*artwork.Image, bool) {
		m, _, err := gerber.Read(f.name, text, gerber.Options{})
		if err != nil {
			l.changes = append(l.changes, c.unreadable(CutsGroup, x, f, err))
		}
		return m, err == nil
	}
	x, ok := read(c.old, l.old, a)
	if !ok {
		return nil
	}
	y, ok := read(c.new, l.new, b)
	if !ok {
		return nil
	}
	gone, added := unmatched(keysOf(x), keysOf(y))
	t := Change{Group: CutsGroup, Kind: Changed, rank: 60, File: l.new.name}
	switch {
	case len(gone)+len(added) > 0:
		t.Text = fmt.Sprintf("%s: %s drawn otherwise (%d gone, %d added)", plainText(l.new.name), count(max(len(gone), len(added)), "line", "lines"), len(gone), len(added))
		var boxes []geom.Box
		for _, i := range gone {
			boxes = append(boxes, x.Box(x.Objects[i]))
		}
		for _, b := range places(boxes) {
			t.At = append(t.At, spot("old", b)...)
		}
		boxes = nil
		for _, i := range added {
			boxes = append(boxes, y.Box(y.Objects[i]))
		}
		for _, b := range places(boxes) {
			t.At = append(t.At, spot("new", b)...)
		}
	default:
		t.rank = 70
		t.Text = plainText(l.new.name) + " has the same lines and another header"
	}
	l.changes = append(l.changes, t)
	return nil
}
