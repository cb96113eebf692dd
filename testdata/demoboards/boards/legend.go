package boards

// letter draws the legend: the parts' outlines, cut back from all bare metal, then each reference where it is free.
func (b *board) letter() {
	for side := range 2 {
		var bare []shape // what no ink may touch
		var taken []box
		for _, p := range b.pads() {
			if p.side == side || p.side == both {
				bare = append(bare, p.ap.grown(p.mask).shape(p.p))
			}
		}
		for _, h := range b.npth {
			bare = append(bare, shape{[]pt{h.p, h.to}, h.d/2 + mm(0.1)})
		}
		free := func(s shape, d int64) bool {
			n := int64(hypot(float64(s.pts[1].x-s.pts[0].x), float64(s.pts[1].y-s.pts[0].y)))/mm(0.05) + 1
			for _, m := range bare {
				if !m.box().meets(s.box().grow(d + mm(0.05))) {
					continue
				}
				for i := range n + 1 {
					q := pt{s.pts[0].x + (s.pts[1].x-s.pts[0].x)*i/n, s.pts[0].y + (s.pts[1].y-s.pts[0].y)*i/n}
					if m.dist(q) < float64(d) {
						return false
					}
				}
			}
			return true
		}
		gap := b.pen/2 + mm(0.1)
		ink := func(s shape) {
			s.r = b.pen / 2
			b.legend[side] = append(b.legend[side], s)
		}
		for _, p := range b.parts {
			if (p.bottom != (side == bottom)) && !p.unplaced || p.unplaced && p.bottom != (side == bottom) {
				continue
			}
			for _, s := range p.silk {
				b.cutInk(s, gap, free, ink, p.over)
			}
		}
		inked := append([]shape(nil), b.legend[side]...)
		for _, n := range b.notes {
			if n.side != side {
				continue
			}
			for _, s := range text(n.s, n.p, n.h, n.turns, side == bottom) {
				ink(s)
			}
			taken = append(taken, textBox(len(n.s), n.p, n.h, b.pen, n.turns).grow(mm(0.1)))
		}
		ok := func(t box) bool {
			g := t.grow(mm(0.08))
			for _, q := range []pt{{t.x0, t.y0}, {t.x1, t.y0}, {t.x1, t.y1}, {t.x0, t.y1}} {
				if b.inset(q) < float64(mm(0.3)) {
					return false
				}
			}
			for _, o := range taken {
				if g.grow(mm(0.15)).meets(o) {
					return false
				}
			}
			area := shape{pts: []pt{{g.x0, g.y0}, {g.x1, g.y0}, {g.x1, g.y1}, {g.x0, g.y1}}}
			for _, m := range bare {
				if g.meets(m.box()) && touches(area, m) {
					return false
				}
			}
			for _, m := range inked {
				if g.meets(m.box()) && touches(area, m) {
					return false
				}
			}
			return true
		}
		for _, p := range b.parts {
			if p.bottom != (side == bottom) || p.label == "-" {
				continue
			}
			name := p.ref
			if p.label != "" {
				name = p.label
			}
			b.refer(p, name, side, ok, func(c pt, turns int) {
				for _, s := range text(name, c, b.textHeight, turns, side == bottom) {
					ink(s)
				}
				taken = append(taken, textBox(len(name), c, b.textHeight, b.pen, turns))
			})
		}
	}
}

// touches says whether two shapes meet; it walks the edges of s, which is good enough for the size of a letter.
func touches(s, m shape) bool {
	for i, a := range s.pts {
		z := s.pts[(i+1)%len(s.pts)]
		n := int64(hypot(float64(z.x-a.x), float64(z.y-a.y)))/mm(0.05) + 1
		for j := range n {
			if m.dist(pt{a.x + (z.x-a.x)*j/n, a.y + (z.y-a.y)*j/n}) == 0 {
				return true
			}
		}
	}
	return s.dist(m.pts[0]) == 0
}

// cutInk draws what of a line keeps off bare metal and, unless the part may overhang, off the board's edge.
func (b *board) cutInk(s shape, gap int64, free func(shape, int64) bool, ink func(shape), over bool) {
	n := max(1, int64(hypot(float64(s.pts[1].x-s.pts[0].x), float64(s.pts[1].y-s.pts[0].y)))/mm(0.05))
	at := func(i int64) pt {
		return pt{s.pts[0].x + (s.pts[1].x-s.pts[0].x)*i/n, s.pts[0].y + (s.pts[1].y-s.pts[0].y)*i/n}
	}
	start := int64(-1)
	for i := range n + 1 {
		good := i < n && free(shape{pts: []pt{at(i), at(i + 1)}}, gap) && (over || b.inset(at(i)) > float64(mm(0.25)) && b.inset(at(i+1)) > float64(mm(0.25)))
		switch {
		case good && start < 0:
			start = i
		case !good && start >= 0:
			if i-start >= 3 || i-start == n {
				ink(shape{pts: []pt{at(start), at(i)}})
			}
			start = -1
		}
	}
}

// refer tries places for a part's reference, nearest first.
func (b *board) refer(p *part, name string, side int, ok func(box) bool, put func(pt, int)) {
	h, pen := b.textHeight, b.pen
	c := pt{(p.court.x0 + p.court.x1) / 2, (p.court.y0 + p.court.y1) / 2}
	w := (int64(len(name))*6 - 2) * h / 6
	turned := 1
	if side == bottom {
		turned = 3
	}
	type spot struct {
		c     pt
		turns int
	}
	hw, hh := (p.court.x1-p.court.x0)/2, (p.court.y1-p.court.y0)/2
	tall := hh > hw
	for _, off := range []int64{0, mm(0.15), mm(0.3), mm(0.5), mm(0.8)} {
		d := h/2 + pen/2 + off
		l := w/2 + pen/2 + off
		flat := []spot{{pt{c.x, c.y + hh + d}, 0}, {pt{c.x, c.y - hh - d}, 0}}
		up := []spot{{pt{c.x + hw + d, c.y}, turned}, {pt{c.x - hw - d, c.y}, turned}}
		beside := []spot{{pt{c.x + hw + l, c.y}, 0}, {pt{c.x - hw - l, c.y}, 0}}
		all := append(append(flat, beside...), up...)
		if tall {
			all = append(append(up, flat...), beside...)
		}
		for _, slide := range []int64{0, mm(0.4), -mm(0.4), mm(0.8), -mm(0.8)} {
			for _, s := range all {
				q := s.c
				if q.x == c.x {
					q.x += slide
				} else {
					q.y += slide
				}
				if ok(textBox(len(name), q, h, pen, s.turns)) {
					put(q, s.turns)
					return
				}
			}
		}
	}
	if ok(textBox(len(name), c, h, pen, 0)) {
		put(c, 0)
	}
}
