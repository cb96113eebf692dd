package boards

// electrode is a ring of copper without mask, drawn as two half-turn strokes.
func electrode(r, width float64, net string) []item {
	ap := aperture{kind: 'C', w: mm(width), fn: conductor}
	a, b := at(r, 0), at(-r, 0)
	return []item{
		{kind: stroke, ap: ap, a: a, b: b, arc: counter, net: net},
		{kind: stroke, ap: ap, a: b, b: a, arc: counter, net: net},
	}
}

func probe() *board {
	b := &board{name: "probe", title: "Reedwater Gauges, water probe", partNo: "RG-3010", rev: "A",
		guid: "f04a6c1e-77b2-4d0a-a5b3-3010a1c3e003", size: "30 mm round", layers: 2, dialect: dialect{digits5: true},
		outline: []edge{{a: at(15, 0), b: at(-15, 0), arc: counter}, {a: at(-15, 0), b: at(15, 0), arc: counter}},
		cutouts: [][]edge{{
			{a: at(-3, -5), b: at(3, -5)}, {a: at(3, -5), b: at(3, -3), c: at(3, -4), arc: counter},
			{a: at(3, -3), b: at(-3, -3)}, {a: at(-3, -3), b: at(-3, -5), c: at(-3, -4), arc: counter}}},
		edgeClear: mm(0.5), step: mm(0.1), viaPad: mm(0.6), viaDrill: mm(0.3), stitchPitch: mm(3),
		classes: []class{{mm(0.2), mm(0.2)}, {mm(0.3), mm(0.2)}}, classOf: map[string]int{"GND": 1, "VDD": 1},
		pourClear: mm(0.25), textHeight: mm(0.9), pen: mm(0.15)}
	b.pours = []pour{{side: top, net: "GND"}, {side: bottom, net: "GND"}}
	b.extra[bottom] = append(append(electrode(13.2, 1.6, "OUTER"), electrode(10.6, 1.2, "GUARD")...), electrode(8.2, 1.6, "INNER")...)
	b.bare = [2]bool{bottom: true}
	b.prepare()

	// A via ties each ring to the side with the parts; it stands in the ring on purpose.
	for _, p := range []struct {
		x, y float64
		net  string
	}{{-11.432, 6.6, "OUTER"}, {-10.6, 0, "GUARD"}, {0, 8.2, "INNER"}} {
		f := footprint{pkg: "LINK", unplaced: true, court: yard(0.9, 0.9), pads: []fpPad{{num: "1", ap: round(0.8, tht), drill: mm(0.4), noPaste: true}}}
		b.place(f, "W", "", p.x, p.y, 0, top, p.net).label = "-"
	}
	wire := footprint{pkg: "WIRE-1.0", unplaced: true, court: yard(2.3, 2.3), pads: []fpPad{{num: "1", ap: round(1.7, tht), drill: mm(1.0), noPaste: true}}}
	for _, w := range []struct {
		x   float64
		net string
	}{{-3.9, "VDD"}, {-1.3, "GND"}, {1.3, "DATA"}, {3.9, "CLK"}} {
		p := b.place(wire, "P", "", w.x, 4.6, 0, top, w.net)
		p.label = "-"
		b.notes = append(b.notes, note{w.net, at(w.x, 6.3), mm(0.6), 0, top})
	}
	b.place(dual("MSOP-8", 8, 0.65, 1.4, 0.38, 4.4, 3, 3), "U", "RW-W31", 0, 1.2, 0, top, "S1", "S2", "SG", "GND", "U_CLK", "U_DATA", "REF", "VDD")
	r, s := chip("0603"), chip("0805")
	b.place(r, "C", "100N", 5.0, 1.9, 1, top, "GND", "VDD")
	b.place(s, "C", "4U7", 7.2, 5.6, 1, top, "GND", "VDD")
	b.place(r, "R", "100R", 5.2, -0.8, 0, top, "U_DATA", "DATA")
	b.place(r, "R", "100R", 8.4, 1.6, 1, top, "U_CLK", "CLK")
	b.place(r, "R", "47K", -5.0, 2.6, 0, top, "S1", "INNER")
	b.place(r, "R", "47K", -5.0, 0.6, 0, top, "S2", "OUTER")
	b.place(r, "R", "47K", -5.0, -1.4, 0, top, "SG", "GUARD")
	b.place(r, "C", "1U", 9.0, -2.6, 1, top, "REF", "GND")
	b.place(sot(3), "D", "RW-T12", -9.2, 4.2, 1, top, "INNER", "OUTER", "GND")
	b.place(sot(3), "D", "RW-T12", -8.2, -4.6, 2, top, "GUARD", "DATA", "GND")
	b.place(r, "R", "10K", -3.6, -7.4, 0, top, "VDD", "DATA")
	b.place(r, "R", "10K", 0.2, -7.4, 0, top, "VDD", "CLK")
	b.place(chip("SOD-323"), "D", "RW-T05", 4.4, -7.4, 0, top, "VDD", "GND")
	b.place(s, "TH", "10K NTC", -0.6, -9.8, 0, top, "REF", "GND")
	b.place(fiducial(), "FID", "", -9.4, 9.2, 0, top).label = "-"
	b.place(fiducial(), "FID", "", 9.2, -9.4, 0, top).label = "-"
	b.notes = append(b.notes, []note{{"WATER SIDE", at(0, -1.6), mm(0.9), 0, bottom}, {"RG-3010 A", at(0, 11.6), mm(1.2), 0, top}, {"PROBE", at(0, 9.7), mm(1.0), 0, top}}...)
	return b
}
