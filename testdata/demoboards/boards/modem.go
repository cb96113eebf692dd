package boards

import "fmt"

// can is the frame of a screening can: short lands along a rectangle.
func can(w, h float64) footprint {
	f := footprint{pkg: "CAN-18X18", court: yard(w+1.2, h+1.2)}
	put := func(x, y float64, turns int) {
		f.pads = append(f.pads, fpPad{num: fmt.Sprint(len(f.pads) + 1), ap: soft(2.2, 0.9, smd).turned(turns), p: at(x, y)})
	}
	for _, s := range []float64{-1, 1} {
		for i := range 5 {
			put((float64(i)-2)*w/5.2, s*h/2, 0)
			put(s*w/2, (float64(i)-2)*h/5.2, 1)
		}
	}
	return f
}

func modem() *board {
	b := &board{name: "modem", title: "Reedwater Gauges, radio modem", partNo: "RG-2077", rev: "B",
		guid: "3b7de9a0-0c1f-4e6e-8f42-2077b5d0e002", size: "34 x 26 mm", layers: 4, origin: at(-80, -45), square: true,
		dialect: dialect{inches: true},
		outline: polygon(at(0, 0), at(34, 0), at(34, 26), at(0, 26)), edgeClear: mm(0.6), step: mm(0.1), stitchPitch: mm(1.8),
		viaPad: mm(0.5), viaDrill: mm(0.25), classes: []class{{mm(0.15), mm(0.15)}, {mm(0.2), mm(0.15)}, {mm(0.35), mm(0.25)}},
		classOf:   map[string]int{"GND": 1, "V18": 1, "V38": 1, "VBAT": 1, "ANT": 2, "RF1": 2, "RF2": 1},
		pourClear: mm(0.2), textHeight: mm(0.8), pen: mm(0.12)}
	b.planes = []plane{
		{layer: 2, net: "GND", path: polygon(at(0.6, 0.6), at(33.4, 0.6), at(33.4, 25.4), at(0.6, 25.4))},
		{layer: 3, net: "V18", path: polygon(at(0.6, 0.6), at(22.8, 0.6), at(22.8, 9), at(25.3, 11.5), at(25.3, 25.4), at(0.6, 25.4))},
		{layer: 3, net: "V38", path: polygon(at(23.2, 0.6), at(33.4, 0.6), at(33.4, 25.4), at(25.7, 25.4), at(25.7, 11.3), at(23.2, 8.8))},
	}
	b.pours = []pour{{side: top, net: "GND"}, {side: bottom, net: "GND"}}
	b.prepare()

	b.place(fiducial(), "FID", "", 1.9, 24.1, 0, top).label = "-"
	b.place(fiducial(), "FID", "", 32.1, 1.9, 0, top).label = "-"
	// The can stands round the radio part.
	sh := b.place(can(18, 18), "SH", "RW-SC18", 14.0, 13.4, 0, top, slicesOf("GND", 20)...)
	sh.label, sh.hollow = "-", true
	u := slicesOf("", 41)
	for i, n := range map[int]string{40: "GND", 0: "RFI_P", 1: "RFI_N", 3: "RFO", 5: "GND", 9: "V18", 10: "XTA", 11: "XTB", 13: "V18", 15: "D1", 16: "D2", 17: "D3",
		20: "V18", 21: "UTX", 22: "URX", 23: "RTS", 24: "CTS", 25: "RST", 26: "WAKE", 27: "STAT", 29: "V18", 30: "SIM_D", 31: "SIM_C", 32: "SIM_R", 34: "V18",
		36: "PAEN", 37: "SW1", 38: "SW2"} {
		u[i] = n
	}
	b.place(quad("QFN-40-6X6", 40, 0.5, 0.8, 0.28, 5.9, 6, 4.2), "U", "RW-R900", 15.4, 13.4, 0, top, u...)
	b.place(quad("QFN-16-3X3", 16, 0.5, 0.7, 0.28, 2.9, 3, 1.6), "U", "RW-PA27", 8.6, 17.6, 0, top, "RF2", "GND", "SW1", "SW2", "GND", "RFR", "GND", "RFX",
		"RFT", "GND", "PAEN", "V18", "GND", "V18", "GND", "RF2", "GND")
	b.place(crystal(), "Y", "RW-26M", 17.0, 7.2, 0, top, "XTA", "GND", "XTB", "GND")
	r := chip("0402")
	for _, p := range []struct {
		kind, val string
		x, y      float64
		turns     int
		a, z      string
	}{
		{"C", "56P", 2.4, 17.4, 1, "RF1", "ANT"}, {"L", "3N3", 7.3, 20.4, 0, "RF2", "GND"}, {"C", "1P8", 9.8, 20.4, 0, "RF2", "GND"},
		{"L", "6N8", 8.0, 14.2, 0, "RFR", "RFI_P"}, {"C", "2P2", 8.0, 13.0, 0, "RFI_P", "GND"}, {"L", "6N8", 8.0, 11.8, 0, "RFI_N", "RFX"},
		{"C", "2P2", 8.0, 10.6, 0, "RFI_N", "GND"}, {"L", "10N", 8.0, 9.4, 0, "RFO", "V18"}, {"C", "33P", 8.0, 8.2, 0, "RFO", "RFT"},
		{"C", "1P0", 8.0, 7.0, 0, "RFT", "GND"}, {"C", "12P", 13.4, 7.8, 1, "XTA", "GND"}, {"C", "12P", 20.5, 7.2, 1, "XTB", "GND"},
		{"C", "100N", 12.4, 18.6, 1, "V18", "GND"}, {"C", "100N", 14.0, 18.6, 1, "V18", "GND"}, {"C", "1N0", 15.6, 18.6, 1, "V18", "GND"},
		{"C", "100N", 20.6, 16.4, 1, "V18", "GND"}, {"C", "10N", 20.6, 13.8, 1, "V18", "GND"}, {"C", "100N", 20.6, 11.2, 1, "V18", "GND"},
		{"R", "10K", 17.2, 18.6, 1, "PAEN", "GND"}, {"R", "1K0", 18.8, 18.6, 1, "SW1", "V18"}, {"R", "1K0", 20.4, 19.6, 1, "SW2", "V18"},
		{"C", "4P7", 11.4, 7.8, 1, "V18", "GND"},
	} {
		b.place(r, p.kind, p.val, p.x, p.y, p.turns, top, p.a, p.z)
	}
	// The aerial's connector and its matching.
	j := footprint{pkg: "COAX-2.6", court: yard(3.4, 3.4), pads: []fpPad{
		{num: "1", ap: soft(1.0, 1.0, smd), p: at(0, 1.3)}, {num: "2", ap: soft(0.9, 2.0, smd), p: at(-1.25, -0.1)}, {num: "3", ap: soft(0.9, 2.0, smd), p: at(1.25, -0.1)}},
		silk: append(ring(0, 0, 0.6), line(-1.7, -1.6, 1.7, -1.6))}
	b.place(j, "J", "RW-CX1", 2.4, 13.4, 0, top, "ANT", "GND", "GND")
	b.place(r, "L", "NF", 2.4, 19.6, 1, top, "RF1", "GND")
	// Right of the can: supply and level shifters; below: the connector to the gauge.
	b.place(sot(5), "U", "RW-R18", 29.8, 22.6, 0, top, "V38", "GND", "LDOEN", "", "V18")
	b.place(chip("0603"), "C", "4U7", 26.6, 23.2, 1, top, "V38", "GND")
	b.place(chip("0603"), "C", "4U7", 32.4, 19.3, 1, top, "V18", "GND")
	b.place(chip("0805"), "C", "47U", 29.2, 19.4, 0, top, "V38", "GND")
	b.place(chip("1206"), "C", "100U", 28.4, 2.2, 0, top, "V38", "GND")
	b.place(chip("SOD-323"), "D", "RW-T06", 26.4, 4.4, 0, top, "V38", "GND")
	b.place(r, "R", "100K", 25.6, 20.2, 1, top, "LDOEN", "V38")
	b.place(strip("BTB-2X10", 20, 0.8, 1.6, 0.42, 4.6), "J", "RW-3820", 28.7, 12.0, 0, top,
		"V38", "V38", "V38", "V38", "GND", "GND", "L_UTX", "L_RTS", "L_URX", "L_CTS", "GND", "GND", "L_RST", "L_WAKE", "L_STAT", "SIM_D", "SIM_C", "SIM_R", "GND", "GND")
	for i, n := range []string{"UTX", "URX", "RTS", "CTS", "RST", "WAKE", "STAT"} {
		b.place(r, "R", "100R", 24.4, 8.0+1.3*float64(i), 0, bottom, "L_"+n, n)
	}
	for i, n := range []string{"SIM_D", "SIM_C", "SIM_R"} {
		b.place(r, "C", "22P", 21.6, 4.4+1.3*float64(i), 0, bottom, n, "GND")
	}
	for i, n := range []string{"D1", "D2", "D3", "V18", "V38", "GND"} {
		b.place(testPoint(), "TP", n, 6.4+2.4*float64(i), 4.0, 0, bottom, n)
	}
	for i := range 6 {
		b.place(r, "C", "100N", 11.2+2.4*float64(i%4), 18.6-9.6*float64(i/4), 1, bottom, "V18", "GND")
	}
	for i, n := range []string{"D1", "STAT"} {
		y := 1.6
		b.place(chip("LED0603"), "D", "AMBER", 7.0+8.2*float64(i), y, 0, top, "LK"+fmt.Sprint(i), "V18")
		b.place(r, "R", "470R", 10.2+8.2*float64(i), y, 0, top, "LK"+fmt.Sprint(i), n)
	}
	b.notes = []note{
		{"RG-2077 B", at(9.4, 24.4), mm(1.1), 0, top}, {"REEDWATER GAUGES", at(14, 23.4), mm(1.2), 0, bottom}, {"RADIO MODEM", at(14, 21.3), mm(1.0), 0, bottom},
	}
	return b
}

func slicesOf(s string, n int) []string {
	out := make([]string, n)
	for i := range out {
		out[i] = s
	}
	return out
}
