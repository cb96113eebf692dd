package compare

import (
	"context"
	"fmt"
	"math"
	"slices"
	"strconv"
	"strings"

	"panelwright/pipeline/format/svg"
	"panelwright/pipeline/geom"
	"panelwright/pipeline/geom/overlay"
	"panelwright/pipeline/panel/artwork"
)

// picture is both panels over one another.
type picture struct {
	svg    string
	layers []shownLayer
	left   []string     // sentences about what is left out
	marked map[int]bool // numbers of changes that the picture shows

	c     *svg.Canvas
	found *comparison
	// shifted tells that a copy still overlaps the place where it was.
	shifted bool
	room    int // bytes that artwork may still take
}

// shownLayer is one layer that can be switched.
type shownLayer struct {
	ID, Name    string
	On, Changed bool
}

// artBytes bounds what the artwork of both panels takes on the page: enough for the layers of several dense boards,
// and a page that opens at once.
const artBytes = 2_000_000

// picture draws the panels over one another, from the folders.
func (r *Result) picture(ctx context.Context) (*picture, error) {
	p := &picture{marked: map[int]bool{}, c: svg.New(), found: r.found, room: artBytes}
	p.c.Compact = true
	for _, b := range []*build{r.found.old, r.found.new} {
		if err := b.reopen(); err != nil {
			return nil, err
		}
		defer b.close()
	}
	o, n := r.found.old.panel, r.found.new.panel
	all := o.outline.Box().Union(n.outline.Box())
	if all.Empty() {
		return p, nil
	}
	margin := max(all.Width(), all.Height()) / 40
	all = all.Grow(margin)
	view := [4]float64{all.Min.X.MM(), -all.Max.Y.MM(), all.Width().MM(), all.Height().MM()}
	p.hatches(view[2])
	p.overs(view[2])
	p.c.Add(`<g transform="scale(1,-1)">`)
	if err := p.cuts(ctx, o, n); err != nil {
		return nil, err
	}
	if err := p.artwork(ctx, o, n); err != nil {
		return nil, err
	}
	p.holes(o, n)
	p.copies(o, n)
	p.c.Add(`</g>`)
	if p.shifted {
		p.left = append(p.left, "Where copies moved less than their own size, the artwork of both is laid over one another, and shows both colours as one where it still coincides.")
	}
	p.names(n, view[2])
	p.marks(r.Changes, view[2])
	text := string(p.c.Bytes(view, "Both panels over one another"))
	// The page says how large the picture is.
	text = strings.Replace(text, fmt.Sprintf(` width="%smm" height="%smm"`, svg.Num(view[2]), svg.Num(view[3])), "", 1)
	// It holds links, so that it is no single image to those who cannot see it.
	text = strings.Replace(text, ` role="img"`, ` role="group" aria-label="Both panels over one another"`, 1)
	p.svg = strings.Replace(text, "<title>Both panels over one another</title>\n", "", 1)
	return p, nil
}

// hatches are lines for what is in the old panel only, dots for what is in the new one only.
func (p *picture) hatches(width float64) {
	s := width / 120
	p.c.Define(`<pattern id="hatch-old" width="%[1]s" height="%[1]s" patternUnits="userSpaceOnUse"><rect width="%[1]s" height="%[1]s" class="ground-old"/><path d="M0 0L%[1]s %[1]sM-%[2]s %[3]sL%[2]s %[4]sM%[3]s -%[2]sL%[4]s %[2]s" class="old-tint" stroke-width="%[5]s"/></pattern>`,
		svg.Num(s), svg.Num(s/4), svg.Num(s*3/4), svg.Num(s*5/4), svg.Num(s/4))
	p.c.Define(`<pattern id="hatch-new" width="%[1]s" height="%[1]s" patternUnits="userSpaceOnUse"><rect width="%[1]s" height="%[1]s" class="ground-new"/><circle cx="%[2]s" cy="%[2]s" r="%[3]s" class="new-tint"/></pattern>`,
		svg.Num(s), svg.Num(s/2), svg.Num(s*0.3))
}

// overs are the same hatchings to be laid over artwork that is in one panel only, in the colour of the paper.
func (p *picture) overs(width float64) {
	s := width / 150
	p.c.Define(`<pattern id="over-old" width="%[1]s" height="%[1]s" patternUnits="userSpaceOnUse"><path d="M0 0L%[1]s %[1]sM-%[2]s %[3]sL%[2]s %[4]sM%[3]s -%[2]sL%[4]s %[2]s" class="paper" stroke-width="%[5]s"/></pattern>`,
		svg.Num(s), svg.Num(s/4), svg.Num(s*3/4), svg.Num(s*5/4), svg.Num(s/6))
	p.c.Define(`<pattern id="over-new" width="%[1]s" height="%[1]s" patternUnits="userSpaceOnUse"><circle cx="%[2]s" cy="%[2]s" r="%[3]s" class="paper"/></pattern>`,
		svg.Num(s), svg.Num(s/2), svg.Num(s*0.18))
}

func (p *picture) layer(id, name string, on, changed bool) {
	p.layers = append(p.layers, shownLayer{id, name, on, changed})
}

// region draws an area.
func (p *picture) region(r geom.Region, class string) {
	if len(r) == 0 {
		return
	}
	var d strings.Builder
	for _, path := range r.Paths() {
		d.WriteString(svg.PathData(path))
	}
	p.c.Add(`<path d="%s" class="%s thin" fill-rule="evenodd"/>`, d.String(), class)
}

// material is what of a panel the cuts leave.
func material(ctx context.Context, d *data) (geom.Region, error) {
	var less []overlay.Operand
	for _, s := range d.lists["slots"] {
		if len(s.shape.Outer) > 0 {
			less = append(less, overlay.Of(s.shape))
		}
	}
	return overlay.Difference(ctx, single, overlay.Of(d.outline), less...)
}

// cuts draws the material of both panels, and score lines.
func (p *picture) cuts(ctx context.Context, o, n *data) error {
	a, err := material(ctx, o)
	if err != nil {
		return err
	}
	b, err := material(ctx, n)
	if err != nil {
		return err
	}
	both, err := overlay.Intersection(ctx, single, overlay.Of(a...), overlay.Of(b...))
	if err != nil {
		return err
	}
	gone, added, err := differ(ctx, overlay.Of(a...), overlay.Of(b...))
	if err != nil {
		return err
	}
	p.c.Add(`<g class="layer-cuts">`)
	p.region(both, "laminate")
	p.region(gone, "only-old")
	p.region(added, "only-new")
	scores := match(o.lists["scores"], n.lists["scores"], false)
	for _, s := range scores {
		for _, x := range sides(s) {
			f, t := x.f.at, x.f.far()
			p.c.Add(`<path d="M%s %sL%s %s" class="score-%s thin"/>`, svg.L(f.X), svg.L(f.Y), svg.L(t.X), svg.L(t.Y), x.class)
		}
	}
	p.c.Add(`</g>`)
	changed := len(gone)+len(added) > 0 || slices.ContainsFunc(scores, func(s pair) bool { return s.old == nil || s.new == nil || s.old.text != s.new.text })
	p.layer("cuts", "outline and cuts", true, changed)
	return nil
}

// sided is a feature with the panel that it is on.
type sided struct {
	f     *feature
	class string
}

// sides gives a pair as what is drawn: once where it is the same, else once for each panel.
func sides(x pair) []sided {
	switch {
	case x.old != nil && x.new != nil && x.old.text == x.new.text:
		return []sided{{x.new, "both"}}
	case x.old == nil:
		return []sided{{x.new, "new"}}
	case x.new == nil:
		return []sided{{x.old, "old"}}
	}
	return []sided{{x.old, "old"}, {x.new, "new"}}
}

// holes draws perforations and marks.
func (p *picture) holes(o, n *data) {
	changed := false
	p.c.Add(`<g class="layer-holes">`)
	for _, key := range []string{"perforations", "marks"} {
		for _, x := range match(o.lists[key], n.lists[key], true) {
			all := sides(x)
			if len(all) == 2 && x.old.at == x.new.at && x.old.fields["diameter_mm"] == x.new.fields["diameter_mm"] {
				all = []sided{{x.new, "both"}}
			}
			for _, s := range all {
				changed = changed || s.class != "both"
				p.c.Add(`<circle cx="%s" cy="%s" r="%s" class="hole-%s thin"/>`, svg.L(s.f.at.X), svg.L(s.f.at.Y), svg.L(max(s.f.length("diameter_mm"), 1000)/2), s.class)
			}
		}
	}
	for _, x := range p.found.changes {
		if x.Group != HolesGroup {
			continue
		}
		for _, s := range x.At {
			changed = true
			c := s.box.Center()
			p.c.Add(`<circle cx="%s" cy="%s" r="%s" class="hole-%s thin"/>`, svg.L(c.X), svg.L(c.Y), svg.L(s.box.Width()/2), s.On)
		}
	}
	p.c.Add(`</g>`)
	p.layer("holes", "holes and marks", true, changed)
}

// copies draws the boxes of the copies.
func (p *picture) copies(o, n *data) {
	p.c.Add(`<g class="layer-copies">`)
	overlap := func(x copyPair) bool {
		return x.old >= 0 && x.new >= 0 && alikeness(o.copies[x.old].box, n.copies[x.new].box) > 0.3
	}
	draw := func(b geom.Box, class string) {
		p.c.Add(`<rect x="%s" y="%s" width="%s" height="%s" class="box-%s thin"/>`, svg.L(b.Min.X), svg.L(b.Min.Y), svg.L(b.Width()), svg.L(b.Height()), class)
	}
	changed := false
	for _, x := range p.found.copies {
		switch {
		case x.old >= 0 && x.new >= 0 && o.copies[x.old].box == n.copies[x.new].box:
			draw(n.copies[x.new].box, "both")
			continue
		case overlap(x): // the artwork's own colours show it; hatchings over one another would not
			draw(o.copies[x.old].box, "old plain")
			draw(n.copies[x.new].box, "new plain")
			p.shifted, changed = true, true
			continue
		case x.old >= 0:
			draw(o.copies[x.old].box, "old")
		}
		if x.new >= 0 {
			draw(n.copies[x.new].box, "new")
		}
		changed = true
	}
	p.c.Add(`</g>`)
	p.layer("copies", "copies", true, changed)
}

// names writes the copies' names, outside of the flipped group.
func (p *picture) names(n *data, width float64) {
	p.c.Add(`<g class="layer-copies name">`)
	for _, x := range n.copies {
		c := x.box.Center()
		size := min(x.box.Width().MM()/3, x.box.Height().MM()/3, width/45)
		p.c.Add(`<text x="%s" y="%s" font-size="%s">%s</text>`, svg.L(c.X), svg.Num(float64(size*0.35)-c.Y.MM()), svg.Num(size), svg.Escape(plainText(x.id)))
	}
	p.c.Add(`</g>`)
}

// artwork draws the layers that a page switches: the outer copper, mask and legend of both sides, and whatever else changed.
func (p *picture) artwork(ctx context.Context, o, n *data) error {
	var keys []string
	diffs := map[string]*layerDiff{}
	for _, l := range p.found.layers {
		if hasAreas(l.key) && len(l.parts) > 0 {
			diffs[l.key] = l
		}
	}
	files := map[string][2]*file{}
	for i := range p.found.new.files {
		f := &p.found.new.files[i]
		if key, ok := layerKey(f); ok && hasAreas(key) {
			files[key] = [2]*file{p.found.old.byPlain[f.plain], f}
			if diffs[key] != nil || strings.HasSuffix(key, "-top") || strings.HasSuffix(key, "-bottom") {
				keys = append(keys, key)
			}
		}
	}
	slices.SortStableFunc(keys, func(a, b string) int { return layerRank(a) - layerRank(b) })
	on := slices.IndexFunc(keys, func(k string) bool { return diffs[k] != nil && diffs[k].looks() })
	// Those that changed come first to the room that there is.
	order := slices.Clone(keys)
	slices.SortStableFunc(order, func(a, b string) int { return int(one(diffs[b] != nil)) - int(one(diffs[a] != nil)) })
	drawn := map[string]string{}
	var left []string
	for _, k := range order {
		text, whole, err := p.oneLayer(ctx, k, files[k], diffs[k], o, n)
		if err != nil {
			return err
		}
		drawn[k] = text
		if !whole {
			left = append(left, layerWords(k))
		}
	}
	for i, k := range keys {
		p.c.Add(`<g class="layer-%s">%s</g>`, svg.Escape(layerID(k)), drawn[k])
		p.layer(layerID(k), layerWords(k), i == on, diffs[k] != nil && diffs[k].looks())
	}
	if len(left) > 0 {
		p.left = append(p.left, "Left out for its size, but for what changed: the artwork of "+listed(left, 12)+".")
	}
	return nil
}

// looks tells whether the layer's picture changed.
func (l *layerDiff) looks() bool {
	return slices.ContainsFunc(l.parts, func(x *partDiff) bool { return x.drawn })
}

// layerID makes an identifier of a layer's key.
func layerID(key string) string {
	return strings.Map(func(r rune) rune {
		if r >= 'a' && r <= 'z' || r >= '0' && r <= '9' || r == '-' {
			return r
		}
		return '-'
	}, strings.ToLower(key))
}

func layerRank(key string) int {
	for i, k := range []string{"copper", "mask", "paste", "legend"} {
		if strings.HasPrefix(key, k) {
			n := 50
			if w := strings.Split(key, "-"); len(w) > 1 {
				if v, err := strconv.Atoi(w[1]); err == nil {
					n = min(v, 99)
				} else if w[1] == "top" {
					n = 0
				}
			}
			return i*100 + n
		}
	}
	return 1000
}

// oneLayer draws a layer: what both panels have in grey, what only one has in its hatching. whole tells whether there was
// room for the artwork itself.
func (p *picture) oneLayer(ctx context.Context, key string, files [2]*file, diff *layerDiff, o, n *data) (text string, whole bool, err error) {
	var b strings.Builder
	whole = true
	now, err := p.images(p.found.new, files[1], n)
	if err != nil {
		return "", false, err
	}
	var before map[string]*artwork.Image
	if diff != nil && files[0] != nil {
		if before, err = p.images(p.found.old, files[0], o); err != nil {
			return "", false, err
		}
	}
	id := func(side, board string, m *artwork.Image) string {
		if m == nil || len(m.Objects) == 0 {
			return ""
		}
		name := fmt.Sprintf("%s-%s-%d", side, layerID(key), slices.IndexFunc(append(slices.Clone(n.lists["boards"]), o.lists["boards"]...), func(f *feature) bool { return f.id == board }))
		trial := svg.New()
		trial.Compact = true
		trial.Layer(name, m)
		size := len(trial.Bytes([4]float64{}, ""))
		if size > p.room {
			whole = false
			return ""
		}
		p.room -= size
		p.c.Layer(name, m)
		return name
	}
	newID, oldID := map[string]string{}, map[string]string{}
	for _, x := range append(boardNames(n), "") {
		newID[x] = id("new", x, now[x])
	}
	use := func(id string, place geom.Transform, class string) {
		if id != "" {
			fmt.Fprintf(&b, `<use href="#%s" class="%s" transform="%s"/>`, id, class, placed(place))
		}
	}
	use(newID[""], geom.Transform{}, "art")
	for _, x := range p.found.copies {
		if x.old >= 0 && x.new >= 0 && o.copies[x.old].place == n.copies[x.new].place && o.copies[x.old].board == n.copies[x.new].board {
			use(newID[n.copies[x.new].board], n.copies[x.new].place, "art")
			continue
		}
		if x.old >= 0 {
			board := o.copies[x.old].board
			if _, ok := oldID[board]; !ok {
				if oldID[board] = newID[board]; before[board] != nil {
					oldID[board] = id("old", board, before[board])
				}
			}
			use(oldID[board], o.copies[x.old].place, "art-old")
		}
		if x.new >= 0 {
			use(newID[n.copies[x.new].board], n.copies[x.new].place, "art-new")
		}
	}
	if diff != nil {
		for i, x := range diff.parts {
			p.part(&b, fmt.Sprintf("%s-%d", layerID(key), i), x, o, n)
		}
	}
	return b.String(), whole, nil
}

// part draws what is only in one panel's artwork, at every copy that it holds for.
func (p *picture) part(b *strings.Builder, id string, x *partDiff, o, n *data) {
	for _, s := range []struct {
		name string
		r    geom.Region
	}{{"old", x.gone}, {"new", x.added}} {
		if len(s.r) == 0 {
			continue
		}
		var d strings.Builder
		for _, path := range s.r.Paths() {
			d.WriteString(svg.PathData(path))
		}
		if d.Len() > p.room {
			// Where it is too much to draw, its box is hatched.
			d.Reset()
			d.WriteString(svg.PathData(geom.Rectangle(s.r.Box())))
		}
		p.room -= d.Len()
		name := fmt.Sprintf("only-%s-%s", s.name, id)
		p.c.Define(`<path id="%s" d="%s" fill-rule="evenodd"/>`, name, d.String())
		for _, pair := range x.pairs {
			var place geom.Transform
			switch {
			case x.board == "":
			case s.name == "old":
				place = o.copies[pair.old].place
			default:
				place = n.copies[pair.new].place
			}
			fmt.Fprintf(b, `<use href="#%s" class="only-%s thin" transform="%s"/>`, name, s.name, placed(place))
		}
	}
}

func placed(t geom.Transform) string {
	return fmt.Sprintf("translate(%s %s) rotate(%s)", svg.L(t.Shift.X), svg.L(t.Shift.Y), t.Turn.Decimal())
}

func boardNames(d *data) []string {
	var out []string
	for _, c := range d.copies {
		if !slices.Contains(out, c.board) {
			out = append(out, c.board)
		}
	}
	return out
}

// images gives a layer's artwork by board, as the board's first copy has it, and under no name what is beside the copies. A file
// that cannot be read has none: what is wrong with it is told elsewhere.
func (p *picture) images(b *build, f *file, d *data) (map[string]*artwork.Image, error) {
	text, err := b.read(f.name, mostBytes)
	if err != nil {
		return nil, err
	}
	wanted := map[int]bool{len(d.copies): true}
	names := map[int]string{len(d.copies): ""}
	seen := map[string]bool{}
	for i, c := range d.copies {
		if !seen[c.board] {
			seen[c.board], wanted[i], names[i] = true, true, c.board
		}
	}
	out := map[string]*artwork.Image{}
	all, err := imagesOf(f.name, text, d.copies, wanted)
	if err != nil {
		return out, nil
	}
	for i, m := range all {
		out[names[i]] = m
	}
	return out, nil
}

// mostMarks is how many changes the picture numbers.
const mostMarks = 300

// marks numbers the changes in the picture, outside of the flipped group.
func (p *picture) marks(changes []Change, width float64) {
	p.c.Add(`<g class="marks layer-marks">`)
	size := width / 70
	var tags []tag
	for i, x := range changes {
		if len(x.At) == 0 || len(p.marked) == mostMarks {
			continue
		}
		n := i + 1
		p.marked[n] = true
		b := x.At[len(x.At)-1].box // in the new panel, where it is
		all := geom.EmptyBox()
		for _, s := range x.At {
			all = all.Union(s.box)
		}
		at := b.Center()
		digits := strconv.Itoa(n)
		half := size * (0.55 + float64(0.28*float64(len(digits))))
		px, py := room(&tags, at.X.MM(), -at.Y.MM(), half, size*0.75)
		p.c.Add(`<a id="mark-%d" href="#change-%d" data-box="%s %s %s %s"><title>%s</title>`, n, n, svg.L(b.Min.X), svg.L(-b.Max.Y), svg.L(b.Width()), svg.L(b.Height()), svg.Escape(fmt.Sprintf("%d: %s", n, x.Text)))
		for _, s := range x.At[max(0, len(x.At)-40):] {
			pad := geom.FromMM(width / 300)
			r := s.box.Grow(pad)
			p.c.Add(`<rect x="%s" y="%s" width="%s" height="%s" class="round thin"/>`, svg.L(r.Min.X), svg.L(-r.Max.Y), svg.L(r.Width()), svg.L(r.Height()))
		}
		p.c.Add(`<g class="pin" data-x="%s" data-y="%s" transform="translate(%s %s)"><rect x="%s" y="%s" width="%s" height="%s" rx="%s" class="tag"/><text y="%s" style="font-size:%spx">%s</text></g></a>`,
			svg.Num(px), svg.Num(py), svg.Num(px), svg.Num(py), svg.Num(-half), svg.Num(-size*0.75), svg.Num(2*half), svg.Num(size*1.5), svg.Num(size*0.4), svg.Num(size*0.36), svg.Num(size), digits)
	}
	p.c.Add(`</g>`)
	p.layer("marks", "numbers", true, false)
}

// tag is the place of a number in the picture.
type tag struct{ x, y, half, high float64 }

// room finds the nearest place for a number, right of where it belongs or on a line above or below, at which it lies on no other.
func room(tags *[]tag, x, y, half, high float64) (float64, float64) {
	free := func(x, y float64) bool {
		return !slices.ContainsFunc(*tags, func(t tag) bool {
			return math.Abs(t.x-x) < t.half+half && math.Abs(t.y-y) < t.high+high
		})
	}
	bx, by := x, y
search:
	for ring := range 12 {
		for _, d := range [][2]float64{{1, 0}, {-1, 0}, {0, 1}, {0, -1}, {1, 1}, {-1, -1}, {1, -1}, {-1, 1}} {
			bx, by = x+float64(d[0]*float64(ring)*half*1.1), y+float64(d[1]*float64(ring)*high*1.1)
			if free(bx, by) {
				break search
			}
		}
		bx, by = x, y // crowded: over the others
	}
	*tags = append(*tags, tag{bx, by, half, high})
	return bx, by
}
