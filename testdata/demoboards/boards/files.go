package boards

import (
	"bytes"
	"fmt"
	"slices"
	"strings"
)

// finish routes, pours, letters.
func (b *board) finish() {
	r := b.layTracks()
	r.stitch()
	inset := newField(b)
	for _, p := range b.pours {
		b.fill(p, inset)
	}
	b.letter()
}

const (
	conductor = "Conductor"
	viaFn     = "ViaPad"
)

func (b *board) copperItems(layer int) []item {
	var out []item
	side := -1
	switch layer {
	case 1:
		side = top
	case b.layers:
		side = bottom
	}
	var pads []item
	for _, p := range b.pads() {
		if p.side != both && p.side != side {
			continue
		}
		pads = append(pads, item{kind: flash, ap: p.ap, a: p.p, net: p.net, ref: p.part.ref, pin: p.num})
	}
	var vias []item
	for _, v := range b.vias {
		vias = append(vias, item{kind: flash, ap: aperture{kind: 'C', w: b.viaPad, fn: viaFn}, a: v.p, net: v.net})
	}
	tr := func(ts []track, fn string) {
		for _, t := range ts {
			if t.side == side {
				out = append(out, item{kind: stroke, ap: aperture{kind: 'C', w: t.w, fn: fn}, a: t.a, b: t.b, net: t.net})
			}
		}
	}
	if side >= 0 {
		out = append(out, b.regions[side]...)
		tr(b.spokes, conductor)
		out = append(out, b.extra[side]...)
		tr(b.tracks, conductor)
		return append(append(out, vias...), pads...)
	}
	return append(append(b.planeItems(layer), vias...), pads...)
}

// planeItems draws an inner layer's planes, then clears them round all that is not theirs, then the spokes.
func (b *board) planeItems(layer int) []item {
	var out []item
	for _, p := range b.planes {
		if p.layer == layer {
			out = append(out, item{kind: region, net: p.net, paths: [][]edge{p.path}})
		}
	}
	light := func(a aperture, p, q pt) {
		it := item{kind: flash, light: true, ap: a, a: p}
		if p != q {
			it = item{kind: stroke, light: true, ap: a, a: p, b: q}
		}
		it.ap.fn = ""
		out = append(out, it)
	}
	owner := func(p pt) string {
		for _, pl := range b.planes {
			if pl.layer == layer && inPolygon(p, pl.poly) {
				return pl.net
			}
		}
		return ""
	}
	for _, v := range b.vias {
		if owner(v.p) != v.net {
			light(aperture{kind: 'C', w: b.viaPad + 2*mm(0.2)}, v.p, v.p)
		}
	}
	for _, h := range b.npth {
		light(aperture{kind: 'C', w: h.d + 2*max(h.keep, mm(0.3))}, h.p, h.to)
	}
	var spokes []item
	for _, p := range b.pads() {
		if p.drill == 0 {
			continue
		}
		light(p.ap.grown(mm(0.3)), p.p, p.p)
		if owner(p.p) != p.net {
			continue
		}
		for i, d := range []pt{{1, 0}, {0, 1}, {-1, 0}, {0, -1}} {
			l := p.ap.w/2 + mm(0.45)
			if i&1 == 1 && p.ap.kind != 'C' {
				l = p.ap.h/2 + mm(0.45)
			}
			e := pt{p.p.x + d.x*l, p.p.y + d.y*l}
			// A spoke that would reach a neighbour's clearance is left out.
			if b.spokeFree(layer, p, e) {
				spokes = append(spokes, item{kind: stroke, ap: aperture{kind: 'C', w: mm(0.4), fn: conductor}, a: p.p, b: e, net: p.net})
			}
		}
	}
	return append(out, spokes...)
}

func (b *board) spokeFree(layer int, p *pad, e pt) bool {
	s := shape{[]pt{p.p, e}, 0}
	need := float64(mm(0.2 + 0.2))
	for _, v := range b.vias {
		if v.net != p.net && s.dist(v.p) < need+float64(b.viaPad/2) {
			return false
		}
	}
	for _, q := range b.pads() {
		if q.drill > 0 && q != p {
			if q.net != p.net && (q.shape().dist(e) < need || s.dist(q.p) < need+float64(q.ap.narrow()/2)) {
				return false
			}
		}
	}
	for _, pl := range b.planes {
		if pl.layer == layer && pl.net == p.net && inPolygon(e, pl.poly) {
			return polyDist(e, pl.poly) > float64(mm(0.2))
		}
	}
	return false
}

func (b *board) maskItems(side int) []item {
	var out []item
	for _, p := range b.pads() {
		if p.side == both || p.side == side {
			a := p.ap.grown(p.mask)
			a.fn = ""
			out = append(out, item{kind: flash, ap: a, a: p.p})
		}
	}
	if b.bare[side] {
		for _, it := range b.extra[side] {
			it.ap, it.net = aperture{kind: 'C', w: it.ap.w + 2*mm(0.05)}, ""
			out = append(out, it)
		}
	}
	for _, h := range b.npth {
		ap := aperture{kind: 'C', w: h.d + 2*mm(0.1)}
		if h.p == h.to {
			out = append(out, item{kind: flash, ap: ap, a: h.p})
		} else {
			out = append(out, item{kind: stroke, ap: ap, a: h.p, b: h.to})
		}
	}
	return out
}

func (b *board) pasteItems(side int) []item {
	var out []item
	for _, p := range b.pads() {
		if p.side != side || p.noPaste {
			continue
		}
		a := p.ap
		a.fn = ""
		if p.windows == 0 {
			out = append(out, item{kind: flash, ap: a, a: p.p})
			continue
		}
		n := int64(p.windows)
		w := aperture{kind: 'M', w: snap(a.w*75/100/n, 10_000), h: snap(a.h*75/100/n, 10_000), r: mm(0.1)}
		for j := range n {
			for i := range n {
				q := pt{p.p.x + (2*i-n+1)*a.w/(2*n), p.p.y + (2*j-n+1)*a.h/(2*n)}
				out = append(out, item{kind: flash, ap: w, a: q})
			}
		}
	}
	return out
}

func (b *board) legendItems(side int) []item {
	var out []item
	for _, s := range b.legend[side] {
		out = append(out, item{kind: stroke, ap: aperture{kind: 'C', w: b.pen}, a: s.pts[0], b: s.pts[1]})
	}
	return out
}

func (b *board) profileItems() []item {
	var out []item
	for _, c := range append([][]edge{b.outline}, b.cutouts...) {
		for _, e := range c {
			out = append(out, item{kind: stroke, ap: aperture{kind: 'C', w: mm(0.1), fn: "Profile"}, a: e.a, b: e.b, c: e.c, arc: e.arc})
		}
	}
	return out
}

// files writes the whole folder.
func (b *board) files() []File {
	var out []File
	add := func(name string, data []byte) { out = append(out, File{b.name + "_" + name, data}) }
	for l := 1; l <= b.layers; l++ {
		where, name := "Inr", fmt.Sprintf("copper_%d_inner.gbr", l)
		if l == 1 {
			where, name = "Top", "copper_1_top.gbr"
		} else if l == b.layers {
			where, name = "Bot", fmt.Sprintf("copper_%d_bottom.gbr", l)
		}
		add(name, b.image(fmt.Sprintf("Copper,L%d,%s", l, where), false, b.copperItems(l)))
	}
	for side, s := range []struct{ word, name string }{{"Top", "top"}, {"Bot", "bottom"}} {
		add("mask_"+s.name+".gbr", b.image("Soldermask,"+s.word, true, b.maskItems(side)))
		add("legend_"+s.name+".gbr", b.image("Legend,"+s.word, false, b.legendItems(side)))
		if items := b.pasteItems(side); len(items) > 0 {
			add("paste_"+s.name+".gbr", b.image("Paste,"+s.word, false, items))
		}
	}
	add("profile.gbr", b.image("Profile,NP", false, b.profileItems()))
	pth, npth := b.drills()
	add("drill_plated.xnc", b.drillFile("Plated", "PTH", pth))
	if len(npth) > 0 {
		add("drill_nonplated.xnc", b.drillFile("NonPlated", "NPTH", npth))
	}
	if !b.unplaced {
		add("placement.csv", b.placement())
	}
	if b.netlisted {
		add("netlist.ipc", b.netlist())
	}
	slices.SortFunc(out, func(a, z File) int { return strings.Compare(a.Name, z.Name) })
	return out
}

type drill struct {
	d    int64
	fn   string
	p, q pt
}

func (b *board) drills() (pth, npth []drill) {
	for _, v := range b.vias {
		pth = append(pth, drill{b.viaDrill, "Plated,PTH,ViaDrill", v.p, v.p})
	}
	for _, p := range b.pads() {
		if p.drill > 0 {
			pth = append(pth, drill{p.drill, "Plated,PTH,ComponentDrill", pt{p.p.x - p.slot.x, p.p.y - p.slot.y}, p.p.add(p.slot)})
		}
	}
	for _, h := range b.npth {
		fn := "NonPlated,NPTH,ComponentDrill"
		if h.p == h.to {
			fn = "NonPlated,NPTH,MechanicalDrill"
		}
		npth = append(npth, drill{h.d, fn, h.p, h.to})
	}
	return pth, npth
}

// drillFile writes XNC: tools by size, holes before slots.
func (b *board) drillFile(kind, short string, ds []drill) []byte {
	var w bytes.Buffer
	d := b.dialect
	num := func(v, o int64) string {
		v += o
		if d.inches {
			return decimal(snap(v, 254)/254, 5)
		}
		if d.digits5 {
			return decimal(snap(v, 10)/10, 5)
		}
		return decimal(v, 6)
	}
	xy := func(p pt) string { return "X" + num(p.x, b.origin.x) + "Y" + num(p.y, b.origin.y) }
	fmt.Fprintf(&w, "M48\n; #@! TF.GenerationSoftware,%s\n; #@! TF.ProjectId,%s,%s,%s\n; #@! TF.Part,Single\n; #@! TF.SameCoordinates,%s\n; #@! TF.FileFunction,%s,1,%d,%s\n",
		maker, b.partNo, b.guid, b.rev, b.name, kind, b.layers, short)
	w.WriteString(map[bool]string{false: "METRIC\n", true: "INCH\n"}[d.inches])
	type tool struct {
		d  int64
		fn string
	}
	var tools []tool
	for _, x := range ds {
		if t := (tool{x.d, x.fn}); !slices.Contains(tools, t) {
			tools = append(tools, t)
		}
	}
	slices.SortStableFunc(tools, func(a, z tool) int { return int(a.d - z.d) })
	was := ""
	for i, t := range tools {
		if t.fn != was {
			if was != "" {
				w.WriteString("; #@! TD\n")
			}
			was = t.fn
			fmt.Fprintf(&w, "; #@! TA.AperFunction,%s\n", t.fn)
		}
		fmt.Fprintf(&w, "T%02dC%s\n", i+1, d.size(t.d))
	}
	w.WriteString("%\nG05\n")
	for i, t := range tools {
		fmt.Fprintf(&w, "T%02d\n", i+1)
		for _, x := range ds {
			if x.d == t.d && x.fn == t.fn && x.p == x.q {
				w.WriteString(xy(x.p) + "\n")
			}
		}
		for _, x := range ds {
			if x.d != t.d || x.fn != t.fn || x.p == x.q {
				continue
			}
			if d.g85 {
				w.WriteString(xy(x.p) + "G85" + xy(x.q) + "\n")
			} else {
				fmt.Fprintf(&w, "G00%s\nM15\nG01%s\nM16\nG05\n", xy(x.p), xy(x.q))
			}
		}
	}
	w.WriteString("M30\n")
	return w.Bytes()
}

func (b *board) placement() []byte {
	var w bytes.Buffer
	w.WriteString("# Unit = mm\nRef,Val,Package,PosX,PosY,Rot,Side\n")
	ps := slices.Clone(b.parts)
	for _, side := range []bool{false, true} {
		for _, p := range ps {
			if p.bottom != side || p.unplaced && !strings.HasPrefix(p.ref, "FID") {
				continue
			}
			name := "top"
			if side {
				name = "bottom"
			}
			fmt.Fprintf(&w, "%s,%q,%q,%s,%s,%d,%s\n", p.ref, p.val, p.pkg, decimal(p.p.x+b.origin.x, 6), decimal(p.p.y+b.origin.y, 6), p.turns*90, name)
		}
	}
	return w.Bytes()
}

// netlist writes IPC-D-356, in micrometres. Columns as in the published standard, from memory.
func (b *board) netlist() []byte {
	var w bytes.Buffer
	fmt.Fprintf(&w, "C  %s %s revision %s\nC  netlist by %s\nP  JOB   %s\nP  CODE  00\nP  UNITS CUST 1\nP  DIM   N\n", b.title, b.partNo, b.rev, maker, b.partNo)
	um := func(v int64) int64 { return snap(v, 1000) / 1000 }
	name := map[string]string{}
	short := func(net string) string {
		if strings.HasPrefix(net, "NC_") {
			return "N/C"
		}
		if len(net) <= 14 {
			return net
		}
		if name[net] == "" {
			name[net] = fmt.Sprintf("NNAME%d", len(name)+1)
			fmt.Fprintf(&w, "P  %-9s %s\n", name[net], net)
		}
		return name[net]
	}
	for _, p := range b.pads() {
		short(p.net)
	}
	for _, v := range b.vias {
		short(v.net)
	}
	for _, p := range b.pads() {
		kind, hole, access := "327", "     ", map[int]string{top: "A01", bottom: fmt.Sprintf("A%02d", b.layers)}[p.side]
		if p.drill > 0 {
			kind, hole, access = "317", fmt.Sprintf("D%04dP", um(p.drill))[:6], "A00"
		} else {
			hole = "      "
		}
		h := p.ap.h
		if p.ap.kind == 'C' {
			h = 0
		}
		fmt.Fprintf(&w, "%s%-14s   %-6s-%-4s %s%sX%+07dY%+07dX%04dY%04dR000 S0\n", kind, short(p.net), p.part.ref, p.num, hole, access,
			um(p.p.x+b.origin.x), um(p.p.y+b.origin.y), um(p.ap.w), um(h))
	}
	for _, v := range b.vias {
		fmt.Fprintf(&w, "317%-14s   %-6s-%-4s %sA00X%+07dY%+07dX%04dY%04dR000 S3\n", short(v.net), "VIA", "", fmt.Sprintf("D%04dP", um(b.viaDrill)),
			um(v.p.x+b.origin.x), um(v.p.y+b.origin.y), um(b.viaPad), 0)
	}
	w.WriteString("999\n")
	return w.Bytes()
}

func (b *board) summary() string {
	n, nets := 0, map[string]bool{}
	for _, p := range b.parts {
		if !p.unplaced {
			n++
		}
	}
	for _, p := range b.pads() {
		if !strings.HasPrefix(p.net, "NC_") {
			nets[p.net] = true
		}
	}
	return fmt.Sprintf("%-6s %s rev %s, %d layers, %s, %d parts, %d pads, %d nets, %d vias, %d tracks", b.name, b.partNo, b.rev, b.layers, b.size,
		n, len(b.pads()), len(nets), len(b.vias), len(b.tracks))
}
