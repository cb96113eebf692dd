package boards

import "fmt"

func relay() *board {
	b := &board{name: "relay", title: "Reedwater Gauges, pump and siren relays", partNo: "RG-4005", rev: "D",
		guid: "5d2e81b7-914c-4b1d-b0c4-4005d4a7e004", size: "60 x 45 mm L", layers: 2, dialect: dialect{comments: true, g85: true},
		outline: []edge{{a: at(0, 0), b: at(60, 0)}, {a: at(60, 0), b: at(60, 25)}, {a: at(60, 25), b: at(31, 25)},
			{a: at(31, 25), b: at(30, 26), c: at(31, 26), arc: clockwise}, {a: at(30, 26), b: at(30, 45)}, {a: at(30, 45), b: at(0, 45)}, {a: at(0, 45), b: at(0, 0)}},
		edgeClear: mm(0.5), step: mm(0.2), viaPad: mm(0.8), viaDrill: mm(0.4), stitchPitch: mm(5),
		classes: []class{{mm(0.3), mm(0.25)}, {mm(0.6), mm(0.25)}, {mm(2), mm(2.0)}}, classOf: map[string]int{"GND": 1, "V12": 1},
		pourClear: mm(0.4), textHeight: mm(1.1), pen: mm(0.18)}
	// Control copper stays in the upper left; the lower bar belongs to the contacts.
	control := []pt{at(0, 27.2), at(30, 27.2), at(30, 45), at(0, 45)}
	b.pours = []pour{{side: top, net: "GND", area: control}, {side: bottom, net: "GND", area: control}}
	for i := range 3 {
		for _, n := range []string{"COM", "NO", "NC"} {
			b.classOf[fmt.Sprintf("%s%d", n, i+1)] = 2
		}
	}
	b.prepare()

	for _, p := range [][2]float64{{4, 4}, {56, 4}, {4, 41}, {26, 41}, {56.2, 21.2}} {
		b.place(mountHole(3.2, 1.4), "H", "M3", p[0], p[1], 0, top).label = "-"
	}
	cut := func(w, h float64) aperture { return aperture{kind: 'X', w: mm(w), h: mm(h), r: mm(0.5), fn: tht} }
	rl := footprint{pkg: "RELAY-15X10", court: yard(15.6, 10.6), silk: frame(-7.7, -5.2, 7.7, 5.2)}
	for i, p := range []pt{at(6, 3.8), at(6, -3.8), at(-6.2, -1.4), at(-2.2, 3.8), at(-2.2, -3.8)} {
		ap := oval(2.8, 2.2, tht)
		if i == 0 {
			ap = cut(2.2, 2.2)
		}
		rl.pads = append(rl.pads, fpPad{num: fmt.Sprint(i + 1), ap: ap, p: p, drill: mm(1.2), noPaste: true})
	}
	// A milled slot below the relay parts the coil from the contacts.
	rl.npth = []hole{{p: at(2, -3.4), to: at(2, 3.4), d: mm(1.2), keep: mm(0.4)}}
	term := footprint{pkg: "TERM-2-5.08", court: yard(10.6, 8.4), silk: append(frame(-5.2, -4.1, 5.2, 4.1), line(-5.2, -2.6, 5.2, -2.6))}
	for i := range 2 {
		term.pads = append(term.pads, fpPad{num: fmt.Sprint(i + 1), ap: cut(2.8, 3.8), p: at(-2.54+5.08*float64(i), 0.6), drill: mm(1.1), slot: at(0, 0.55), noPaste: true})
	}
	for i := range 3 {
		n := fmt.Sprint(i + 1)
		x := 15.5 + 14*float64(i)
		k := b.place(rl, "K", "RW-K5 12V", x, 16.9, 1, top, "V12", "DRV"+n, "COM"+n, "NO"+n)
		j := b.place(term, "J", "RW-T2", x, 4.9, 0, top, "NO"+n, "COM"+n)
		// Contacts: as short and wide as they can be, on both sides.
		for side := range 2 {
			b.tracks = append(b.tracks, track{k.pads[2].p, j.pads[1].p, mm(2), side, "COM" + n}, track{k.pads[3].p, j.pads[0].p, mm(2), side, "NO" + n})
		}
		b.notes = append(b.notes, note{"NO", at(x-2.0, 10.05), mm(0.9), 0, top}, note{"COM", at(x+3.9, 10.05), mm(0.8), 0, top})
		// The driver of the coil, in the upper left.
		u := 5.6 + 8.6*float64(i)
		b.place(chip("SMA"), "D", "RW-S40", u+1.2, 28.9, 0, top, "V12", "DRV"+n)
		b.place(sot(3), "Q", "RW-N30", u-0.8, 32.7, 0, top, "G"+n, "GND", "DRV"+n)
		r := chip("0603")
		b.place(r, "R", "100R", u+3.4, 33.8, 0, top, "G"+n, "IN"+n)
		b.place(r, "R", "100K", u+3.4, 31.8, 0, top, "G"+n, "GND")
		b.place(chip("LED0603"), "D", "RED", u-0.8, 36.2, 0, top, "DRV"+n, "LK"+n)
		b.place(r, "R", "2K2", u+3.4, 36.2, 0, top, "LK"+n, "V12")
		b.place(chip("0805"), "C", "10N", u+1.2, 29.4, 0, bottom, "V12", "DRV"+n)
		b.place(chip("0805"), "C", "100N", u+2.0, 34.2, 0, bottom, "IN"+n, "GND")
	}
	for _, x := range []float64{22.5, 36.5} {
		b.npth = append(b.npth, hole{at(x, 3.5), at(x, 15), mm(1.5), mm(0.5)})
	}
	b.place(header("PIN-1X6", 6, 1, 2.54, 1.7, 1.0), "J", "RW-2506", 15, 42.4, 1, top, "V12", "V12", "GND", "IN1", "IN2", "IN3")
	b.place(chip("1206"), "C", "47U", 11.4, 39.2, 0, top, "V12", "GND")
	b.place(chip("SMA"), "D", "RW-T15", 19.2, 39.2, 0, top, "V12", "GND")
	b.place(fiducial(), "FID", "", 2.2, 29.6, 0, top).label = "-"
	b.place(fiducial(), "FID", "", 54.0, 14.0, 0, top).label = "-"
	b.notes = append(b.notes, note{"RG-4005 D", at(57.4, 12.5), mm(1.1), 1, top}, note{"REEDWATER GAUGES", at(15, 37.2), mm(1.3), 0, bottom},
		note{"PUMPS AND SIRENS", at(28, 1.6), mm(1), 0, bottom})
	return b
}
