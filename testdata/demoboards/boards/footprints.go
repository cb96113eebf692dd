package boards

import "fmt"

type fpPad struct {
	num     string
	ap      aperture
	p       pt
	drill   int64
	slot    pt
	windows int
	noPaste bool
	mask    int64
}

type footprint struct {
	pkg      string
	pads     []fpPad
	silk     []shape
	court    box
	npth     []hole
	over     bool
	unplaced bool
}

func rect(w, h float64, fn string) aperture { return aperture{kind: 'R', w: mm(w), h: mm(h), fn: fn} }
func soft(w, h float64, fn string) aperture {
	return aperture{kind: 'M', w: mm(w), h: mm(h), r: min(mm(w), mm(h)) / 4, fn: fn}
}
func oval(w, h float64, fn string) aperture { return aperture{kind: 'O', w: mm(w), h: mm(h), fn: fn} }
func round(d float64, fn string) aperture   { return aperture{kind: 'C', w: mm(d), fn: fn} }

const (
	smd = "SMDPad,CuDef"
	tht = "ComponentPad"
)

func line(x0, y0, x1, y1 float64) shape { return shape{pts: []pt{at(x0, y0), at(x1, y1)}} }

func frame(x0, y0, x1, y1 float64) []shape {
	return []shape{line(x0, y0, x1, y0), line(x1, y0, x1, y1), line(x1, y1, x0, y1), line(x0, y1, x0, y0)}
}

// ring is a circle drawn with chords, for the legend.
func ring(x, y, r float64) []shape {
	var out []shape
	ps := flatten([]edge{{a: at(x+r, y), b: at(x-r, y), c: at(x, y), arc: counter}, {a: at(x-r, y), b: at(x+r, y), c: at(x, y), arc: counter}})
	for i := 0; i < len(ps); i += 4 {
		out = append(out, shape{pts: []pt{ps[i], ps[(i+4)%len(ps)]}})
	}
	return out
}

func yard(w, h float64) box { return box{-mm(w / 2), -mm(h / 2), mm(w / 2), mm(h / 2)} }

// chip is a part with two end caps.
func chip(pkg string) footprint {
	f := footprint{pkg: pkg}
	two := func(w, h, x float64) {
		f.pads = []fpPad{{num: "1", ap: soft(w, h, smd), p: at(-x, 0)}, {num: "2", ap: soft(w, h, smd), p: at(x, 0)}}
	}
	switch pkg {
	case "0402":
		two(0.56, 0.62, 0.48)
		f.court = yard(1.86, 0.94)
	case "0603", "LED0603":
		two(0.8, 0.95, 0.8)
		f.court = yard(2.9, 1.5)
		f.silk = []shape{line(-0.2, 0.52, 0.2, 0.52), line(-0.2, -0.52, 0.2, -0.52)}
		if pkg == "LED0603" {
			f.silk = append(f.silk, line(-1.4, -0.6, -1.4, 0.6))
		}
	case "0805":
		two(1.0, 1.45, 0.95)
		f.court = yard(3.4, 2.0)
		f.silk = []shape{line(-0.25, 0.72, 0.25, 0.72), line(-0.25, -0.72, 0.25, -0.72)}
	case "1206":
		two(1.15, 1.8, 1.45)
		f.court = yard(4.6, 2.3)
		f.silk = []shape{line(-0.7, 0.9, 0.7, 0.9), line(-0.7, -0.9, 0.7, -0.9)}
	case "SOD-323":
		two(0.6, 0.5, 1.1)
		f.court = yard(3.2, 1.8)
		f.silk = []shape{line(-1.55, -0.75, -1.55, 0.75), line(-1.55, 0.75, 0.9, 0.75), line(-1.55, -0.75, 0.9, -0.75)}
	case "SMA":
		two(2.2, 1.8, 2.0)
		f.court = yard(6.8, 3.4)
		f.silk = []shape{line(-3.35, -1.55, -3.35, 1.55), line(-3.35, 1.55, 2, 1.55), line(-3.35, -1.55, 2, -1.55)}
	case "L4040":
		two(1.3, 3.6, 1.5)
		f.court = yard(4.7, 4.5)
		f.silk = []shape{line(-2, 2.15, 2, 2.15), line(-2, -2.15, 2, -2.15)}
	}
	return f
}

// dual has n leads in two rows: pitch, pad length and width, distance of the rows' pad centres, body.
func dual(pkg string, n int, pitch, padL, padW, rows, bodyW, bodyH float64) footprint {
	f := footprint{pkg: pkg, court: yard(rows+padL+0.3, max(bodyH, float64(n/2-1)*pitch+padW)+0.3)}
	for i := range n {
		x, row := -rows/2, i
		if i >= n/2 {
			x, row = rows/2, n-1-i
		}
		f.pads = append(f.pads, fpPad{num: fmt.Sprint(i + 1), ap: soft(padL, padW, smd), p: at(x, (float64(n/2-1)/2-float64(row))*pitch)})
	}
	h := bodyH/2 + 0.05
	f.silk = append(f.silk, line(-bodyW/2, h, bodyW/2, h), line(-bodyW/2, -h, bodyW/2, -h))
	f.silk = append(f.silk, line(-rows/2-padL/2, h, -bodyW/2, h))
	return f
}

// sot has three, five or six leads.
func sot(n int) footprint {
	f := footprint{pkg: map[int]string{3: "SOT-23", 5: "SOT-23-5", 6: "SOT-23-6"}[n], court: yard(3.6, 3.2)}
	if n == 3 {
		f.court = yard(3.4, 3)
	}
	if n == 3 {
		for i, p := range []pt{at(-1.05, 0.95), at(-1.05, -0.95), at(1.05, 0)} {
			f.pads = append(f.pads, fpPad{num: fmt.Sprint(i + 1), ap: soft(1.1, 0.7, smd), p: p})
		}
		f.silk = []shape{line(-0.4, 1.52, 0.7, 1.52), line(0.7, 1.52, 0.7, 0.65), line(-0.4, -1.52, 0.7, -1.52), line(0.7, -1.52, 0.7, -0.65)}
		return f
	}
	ps := []pt{at(-1.15, 0.95), at(-1.15, 0), at(-1.15, -0.95), at(1.15, -0.95), at(1.15, 0.95)}
	if n == 6 {
		ps = []pt{at(-1.15, 0.95), at(-1.15, 0), at(-1.15, -0.95), at(1.15, -0.95), at(1.15, 0), at(1.15, 0.95)}
	}
	for i, p := range ps {
		f.pads = append(f.pads, fpPad{num: fmt.Sprint(i + 1), ap: soft(1.1, 0.6, smd), p: p})
	}
	f.silk = []shape{line(-1.6, 1.55, 0.8, 1.55), line(-0.8, -1.55, 0.8, -1.55)}
	return f
}

// quad has leads on four sides, counted counter-clockwise from the upper left, and a pad below when ep > 0.
func quad(pkg string, n int, pitch, padL, padW, rows, body, ep float64) footprint {
	f := footprint{pkg: pkg, court: yard(max(body, rows+padL)+0.4, max(body, rows+padL)+0.4)}
	side := n / 4
	for i := range n {
		t := (float64(side-1)/2 - float64(i%side)) * pitch
		p := at(-rows/2, t).quarter(i / side)
		f.pads = append(f.pads, fpPad{num: fmt.Sprint(i + 1), ap: soft(padL, padW, smd).turned(i / side), p: p})
	}
	if ep > 0 {
		f.pads = append(f.pads, fpPad{num: fmt.Sprint(n + 1), ap: soft(ep, ep, smd), windows: 3})
		f.pads[n].ap.r = mm(0.2)
	}
	c, e := body/2+0.05, float64(side-1)*pitch/2+padW/2+0.25
	for i := range 4 {
		for _, l := range []shape{line(-c, e, -c, c), line(-c, c, -e, c)} {
			f.silk = append(f.silk, shape{pts: []pt{l.pts[0].quarter(i), l.pts[1].quarter(i)}})
		}
	}
	f.silk = append(f.silk, line(-c, e, -rows/2-padL/2, e))
	return f
}

// header has rows of drilled pins; pin 1 is square-cornered, at the upper left.
func header(pkg string, n, rows int, pitch, pinD, hole float64) footprint {
	per := n / rows
	w, h := float64(rows)*pitch, float64(per)*pitch
	f := footprint{pkg: pkg, court: yard(w+0.2, h+0.2)}
	for i := range n {
		x, y := float64(i%rows)-float64(rows-1)/2, float64(per-1)/2-float64(i/rows)
		ap := oval(pinD*1.15, pinD, tht)
		if rows > 1 {
			ap = round(pinD, tht)
		}
		if i == 0 {
			ap = rect(pinD, pinD, tht)
		}
		f.pads = append(f.pads, fpPad{num: fmt.Sprint(i + 1), ap: ap, p: at(x*pitch, y*pitch), drill: mm(hole), noPaste: true})
	}
	f.silk = frame(-w/2, -h/2, w/2, h/2)
	return f
}

// strip has surface pads in two rows, as a board-to-board or debug connector has.
func strip(pkg string, n int, pitch, padL, padW, rows float64) footprint {
	f := footprint{pkg: pkg}
	per := n / 2
	for i := range n {
		x := -rows / 2
		if i%2 == 1 {
			x = rows / 2
		}
		f.pads = append(f.pads, fpPad{num: fmt.Sprint(i + 1), ap: rect(padL, padW, smd+""), p: at(x, (float64(per-1)/2-float64(i/2))*pitch)})
	}
	w, h := rows+padL+0.5, float64(per)*pitch+0.6
	f.court = yard(w, h)
	f.silk = []shape{line(-w/2+0.1, h/2, w/2-0.1, h/2), line(-w/2+0.1, -h/2, w/2-0.1, -h/2), line(-w/2, h/2-0.2, -w/2, h/2-0.9)}
	return f
}

func crystal() footprint {
	f := footprint{pkg: "XTAL-3225", court: yard(3.9, 3.1)}
	for i, p := range []pt{at(-1.1, -0.8), at(1.1, -0.8), at(1.1, 0.8), at(-1.1, 0.8)} {
		f.pads = append(f.pads, fpPad{num: fmt.Sprint(i + 1), ap: soft(1.3, 1.05, smd), p: p})
	}
	f.silk = []shape{line(-1.95, -1.5, 1.95, -1.5), line(-1.95, -1.5, -1.95, 1.5)}
	return f
}

func fiducial() footprint {
	return footprint{pkg: "FID-1.0", unplaced: true, court: yard(2.1, 2.1),
		pads: []fpPad{{num: "1", ap: round(1, "FiducialPad,Local"), noPaste: true, mask: mm(0.5)}}}
}

func testPoint() footprint {
	return footprint{pkg: "TP-1.0", unplaced: true, court: yard(1.3, 1.3),
		pads: []fpPad{{num: "1", ap: round(1, "TestPad"), noPaste: true}}}
}

func mountHole(d, keep float64) footprint {
	return footprint{pkg: fmt.Sprintf("HOLE-%.1f", d), unplaced: true, court: yard(d+2*keep, d+2*keep),
		npth: []hole{{d: mm(d), keep: mm(keep)}}, silk: ring(0, 0, d/2+keep-0.1)}
}
