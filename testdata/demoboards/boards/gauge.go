package boards

import (
	"cmp"
	"fmt"
	"math"
	"slices"
)

// edgeConnector is the cable connector of the gauge: 12 surface contacts, four shell tabs in plated slots, and a body
// that stands 1.2 mm over the edge at x = 0 when it is placed there.
func edgeConnector() footprint {
	f := footprint{pkg: "CN-12-SIDE", over: true, court: box{-mm(1.2), -mm(6.2), mm(7.4), mm(6.2)}}
	for i := range 12 {
		f.pads = append(f.pads, fpPad{num: fmt.Sprint(i + 1), ap: soft(1.5, 0.45, smd), p: at(6.4, 4.4-0.8*float64(i))})
	}
	for i, p := range []pt{at(1.9, 5.2), at(1.9, -5.2), at(4.6, 5.2), at(4.6, -5.2)} {
		w := 1.1
		if i > 1 {
			w = 0.7
		}
		f.pads = append(f.pads, fpPad{num: fmt.Sprintf("S%d", i+1), ap: oval(w+1.2, 1.2, tht), p: p, drill: mm(0.6), slot: at(w/2, 0), noPaste: true})
	}
	f.silk = []shape{line(-1.2, -5.9, -1.2, 5.9), line(-1.2, 5.9, 5.5, 5.9), line(-1.2, -5.9, 5.5, -5.9), line(5.5, 5.9, 5.5, 5.2),
		line(5.5, -5.9, 5.5, -5.2), line(-0.4, -5.9, -0.4, 5.9), line(7.5, 4.4, 7.9, 4.4)}
	return f
}

func gauge() *board {
	b := &board{name: "gauge", title: "Reedwater Gauges, river gauge logger", partNo: "RG-1042", rev: "C",
		guid: "8c1f0e52-5d0b-4a51-9a35-10425ca1e001", size: "62 x 41 mm", layers: 4, origin: at(100, 50), netlisted: true,
		outline: roundRect(0, 0, 62, 41, 3), edgeClear: mm(0.5), step: mm(0.1), stitchPitch: mm(3), viaPad: mm(0.55), viaDrill: mm(0.25),
		classes: []class{{mm(0.15), mm(0.15)}, {mm(0.2), mm(0.15)}}, pourClear: mm(0.2), textHeight: mm(0.8), pen: mm(0.12),
		classOf: map[string]int{"GND": 1, "VANA": 1, "V3V3": 1, "VIN": 1, "VRAW": 1, "SW": 1, "VREF": 1}}
	split := 33.4
	b.planes = []plane{
		{layer: 2, net: "GND", path: roundRect(0.5, 0.5, 61.5, 40.5, 2.5)},
		{layer: 3, net: "V3V3", path: []edge{
			{a: at(3, 0.5), b: at(split-0.2, 0.5)}, {a: at(split-0.2, 0.5), b: at(split-0.2, 40.5)}, {a: at(split-0.2, 40.5), b: at(3, 40.5)},
			{a: at(3, 40.5), b: at(0.5, 38), c: at(3, 38), arc: counter}, {a: at(0.5, 38), b: at(0.5, 3)},
			{a: at(0.5, 3), b: at(3, 0.5), c: at(3, 3), arc: counter}}},
		{layer: 3, net: "VANA", path: []edge{
			{a: at(split+0.2, 0.5), b: at(59, 0.5)}, {a: at(59, 0.5), b: at(61.5, 3), c: at(59, 3), arc: counter}, {a: at(61.5, 3), b: at(61.5, 38)},
			{a: at(61.5, 38), b: at(59, 40.5), c: at(59, 38), arc: counter}, {a: at(59, 40.5), b: at(split+0.2, 40.5)},
			{a: at(split+0.2, 40.5), b: at(split+0.2, 0.5)}}},
	}
	b.pours = []pour{{side: top, net: "GND"}, {side: bottom, net: "GND"}}
	b.prepare()

	for _, p := range []pt{at(4, 4), at(58, 4), at(4, 37), at(58, 37)} {
		b.place(mountHole(3.2, 1.4), "H", "M3", float64(p.x)/1e6, float64(p.y)/1e6, 0, top).label = "-"
	}
	for _, p := range [][2]float64{{9.5, 2.2}, {52.5, 38.8}, {9.5, 39.2}} {
		b.place(fiducial(), "FID", "", p[0], p[1], 0, top).label = "-"
		b.place(fiducial(), "FID", "", p[0], p[1], 0, bottom).label = "-"
	}
	b.place(edgeConnector(), "J", "RW-7712", 0, 20.5, 0, top, "VIN", "VIN", "GND", "LINE_A", "LINE_B", "GND", "AUX1", "AUX2", "AUX3", "AUX4", "GND", "GND",
		"GND", "GND", "GND", "GND")
	b.place(header("PIN-1X10", 10, 1, 2.54, 1.6, 0.95), "J", "RW-2510", 59.2, 20.5, 0, top,
		"IN1", "IN2", "IN3", "IN4", "GND", "VANA", "IN5", "IN6", "IN7", "IN8")
	b.place(strip("DBG-2X5", 10, 1.27, 2.2, 0.7, 3.9), "J", "RW-1210", 29.4, 37.35, 1, top, "V3V3", "SWDIO", "GND", "SWCLK", "GND", "SWO", "", "", "GND", "NRST")

	// The microcontroller's signals take the free pin that looks their way.
	type signal struct {
		net  string
		x, y float64
	}
	signals := []signal{{"SCK", 30, 12}, {"MISO", 31, 12}, {"MOSI", 32, 12}, {"CS1", 31.5, 30}, {"CS2", 31.5, 11}, {"DRDY1", 32, 31}, {"DRDY2", 32, 10},
		{"FSCK", 17, 7}, {"FMISO", 16, 7}, {"FMOSI", 15, 7}, {"FCS", 14, 7}, {"UTX", 14, 31}, {"URX", 13, 31}, {"UDE", 14, 33},
		{"SDA", 16, 13}, {"SCL", 15, 12}, {"CKINT", 14, 25}, {"GP1", 10, 21}, {"GP2", 10, 20}, {"GP3", 10, 19}, {"GP4", 10, 18}, {"LED1", 20, 3}, {"LED2", 22, 3}, {"LED3", 24, 3}, {"LED4", 26, 3},
		{"SWDIO", 27, 36}, {"SWCLK", 28.5, 36}, {"SWO", 29, 36}, {"NRST", 30, 36}, {"XI", 16, 14}, {"XO", 16, 15}, {"PGOOD", 17, 34}, {"ANAEN", 22, 33},
		{"TP_A", 22, 10}, {"TP_B", 24, 10}, {"TP_C", 19, 24}, {"TP_D", 19, 26}, {"BOOT", 20, 30}, {"VSENSE", 18, 32}}
	ux, uy := 24.6, 20.5
	nets := make([]string, 64)
	for i, n := range map[int]string{0: "V3V3", 15: "GND", 16: "V3V3", 31: "GND", 32: "V3V3", 47: "GND", 48: "V3V3", 63: "GND", 11: "V3V3", 27: "GND"} {
		nets[i] = n
	}
	fp := quad("QFP-64-10X10", 64, 0.5, 1.4, 0.28, 11.4, 10, 0)
	angle := func(x, y float64) float64 { return math.Atan2(y-uy, x-ux) }
	slices.SortStableFunc(signals, func(a, z signal) int { return cmp.Compare(angle(a.x, a.y), angle(z.x, z.y)) })
	for _, s := range signals {
		best, pin := math.Inf(1), -1
		for i, p := range fp.pads {
			if d := hypot(float64(p.p.x)/1e6+ux-s.x, float64(p.p.y)/1e6+uy-s.y); nets[i] == "" && d < best {
				best, pin = d, i
			}
		}
		nets[pin] = s.net
	}
	b.place(fp, "U", "RW-M640", ux, uy, 0, top, nets...)

	// Two converters, four channels each.
	adc := dual("TSSOP-20", 20, 0.65, 1.35, 0.38, 5.9, 4.4, 6.5)
	for k, y := range []float64{30.6, 10.4} {
		a, n := k*4, fmt.Sprint(k+1)
		b.place(adc, "U", "RW-A2404", 30.4, y, 2, top,
			fmt.Sprintf("AIN%d", a+1), "GND", fmt.Sprintf("AIN%d", a+2), "GND", "VREF", "VANA", fmt.Sprintf("AIN%d", a+3), "GND", fmt.Sprintf("AIN%d", a+4), "GND",
			"SCK", "MISO", "MOSI", "CS"+n, "DRDY"+n, "V3V3", "GND", "NRST", "", "GND")
		b.place(chip("0402"), "C", "100N", 30.4, y+1.2, 0, bottom, "VANA", "GND")
		b.place(chip("0402"), "C", "100N", 30.4, y-1.2, 0, bottom, "V3V3", "GND")
		b.place(chip("0603"), "C", "1U", 30.4, y+3.2, 0, bottom, "VREF", "GND")
	}
	// Eight sensor channels: clamp, filter, two amplifier stages, filter.
	amp := dual("MSOP-8", 8, 0.65, 1.25, 0.38, 4.3, 3, 3)
	for k := range 8 {
		x, y := 34.8+10.2*float64(k/4), 4.6+8.0*float64(k%4)
		ch := k%4 + 4*(k/4) + 1
		// Channels of the upper half go to the upper converter and connector end.
		if k%4 > 1 {
			ch = []int{1, 2, 3, 4}[(k%4-2)*2+k/4]
		} else {
			ch = []int{5, 6, 7, 8}[(k%4)*2+k/4]
		}
		n := func(s string) string { return fmt.Sprintf("%s%d", s, ch) }
		put := func(f footprint, kind, val string, px, py float64, turns, side int, nets ...string) {
			b.place(f, kind, val, x+px, y+py, turns, side, nets...)
		}
		put(amp, "U", "RW-P092", 5.1, 4.0, 0, top, n("P"), n("K"), n("H"), "GND", n("F"), n("G"), n("O"), "VANA")
		put(sot(3), "D", "RW-D2", 8.15, 7.2, 0, top, "GND", "VANA", n("A"))
		put(chip("0603"), "R", "1K0", 8.2, 1.5, 2, top, n("IN"), n("A"))
		put(chip("0402"), "R", "4K7", 8.5, 3.3, 1, top, n("A"), n("F"))
		put(chip("0402"), "C", "10N", 9.5, 3.3, 1, top, n("F"), "GND")
		put(chip("0402"), "C", "100N", 5.1, 6.7, 0, top, "GND", "VANA")
		put(chip("0402"), "R", "10K", 5.2, 1.2, 0, top, "VREF", n("G"))
		put(chip("0402"), "R", "22K", 3.2, 1.2, 2, top, n("O"), n("H"))
		put(chip("0402"), "C", "47N", 1.2, 1.2, 2, top, n("H"), "GND")
		put(chip("0402"), "R", "22K", 3.1, 6.7, 2, top, n("P"), n("K"))
		put(chip("0402"), "R", "10K", 1.1, 6.7, 2, top, n("K"), "VREF")
		put(chip("0402"), "R", "100R", 1.3, 4.0, 1, top, n("P"), n("AIN"))
		put(chip("0402"), "C", "1N0", 0.35, 4.0, 1, top, "GND", n("AIN"))
		put(chip("0402"), "R", "33K", 7.0, 4.6, 0, bottom, n("G"), n("O"))
		put(chip("0402"), "C", "470P", 7.0, 3.2, 0, bottom, n("G"), n("O"))
		put(chip("0402"), "C", "22N", 3.4, 3.2, 0, bottom, n("P"), n("H"))
	}
	// Decoupling below the microcontroller, where its supply pins stand.
	for i, p := range [][3]float64{{20.4, 24, 1}, {20.4, 18.6, 1}, {22.4, 16.4, 0}, {27, 16.4, 0}, {28.8, 18.4, 1}, {28.8, 22.6, 1}, {26.6, 24.8, 0}, {22.6, 24.8, 0}} {
		b.place(chip("0402"), "C", "100N", p[0], p[1], int(p[2]), bottom, "V3V3", "GND")
		if i%4 == 0 {
			b.place(chip("0603"), "C", "4U7", p[0]+3, p[1]-2.4+float64(i)/2, 0, bottom, "V3V3", "GND")
		}
	}
	b.place(crystal(), "Y", "16MHZ", 15.4, 14.7, 1, top, "XI", "GND", "XO", "GND")
	b.place(chip("0402"), "C", "12P", 12.7, 13.6, 1, top, "GND", "XI")
	b.place(chip("0402"), "C", "12P", 12.7, 15.8, 1, top, "XO", "GND")
	b.place(chip("0402"), "R", "10K", 24.6, 33.0, 1, top, "NRST", "V3V3")
	b.place(chip("0402"), "C", "100N", 25.7, 33.0, 1, top, "NRST", "GND")
	b.place(chip("0402"), "R", "10K", 21.0, 29.4, 1, top, "BOOT", "GND")
	// Line driver and its protection.
	b.place(dual("SOIC-8", 8, 1.27, 1.55, 0.6, 5.4, 3.9, 4.9), "U", "RW-L485", 14.3, 28.4, 0, top, "URX", "UDE", "UDE", "UTX", "GND", "LA", "LB", "V3V3")
	b.place(chip("0603"), "R", "10R", 10.6, 23.6, 0, top, "LINE_A", "LA")
	b.place(chip("0603"), "R", "10R", 10.6, 21.7, 0, top, "LINE_B", "LB")
	b.place(sot(3), "D", "RW-T12", 8.9, 27.4, 3, top, "LINE_A", "LINE_B", "GND")
	b.place(chip("0603"), "R", "120R", 14.2, 22.8, 1, top, "LA", "LB")
	b.place(chip("0402"), "C", "100N", 18.4, 30.4, 1, top, "V3V3", "GND")
	for i := range 4 {
		n := fmt.Sprint(i + 1)
		b.place(chip("0402"), "R", "220R", 10.6, 20.0-1.4*float64(i), 0, top, "AUX"+n, "GP"+n)
		b.place(chip("0402"), "C", "47P", 13.0, 20.0-1.1*float64(i), 0, bottom, "GP"+n, "GND")
	}
	// Supply: input protection, step-down converter, analogue regulator, reference.
	b.place(chip("SMA"), "D", "RW-S40", 12.6, 36.3, 2, top, "VRAW", "VIN")
	b.place(chip("0805"), "C", "10U", 17.9, 38.3, 0, top, "VRAW", "GND")
	b.place(sot(6), "U", "RW-B33", 18.2, 34.6, 0, top, "GND", "SW", "VRAW", "FB", "PGOOD", "VRAW")
	b.place(chip("L4040"), "L", "4U7", 22.9, 37.6, 0, top, "SW", "V3V3")
	b.place(chip("0402"), "R", "100K", 21.5, 33.4, 1, top, "FB", "V3V3")
	b.place(chip("0402"), "R", "31K6", 22.6, 33.4, 1, top, "FB", "GND")
	b.place(chip("0805"), "C", "22U", 22.8, 38.2, 1, bottom, "V3V3", "GND")
	b.place(chip("0805"), "C", "22U", 25.6, 38.2, 1, bottom, "V3V3", "GND")
	b.place(chip("0402"), "R", "100K", 19.6, 31.2, 0, bottom, "VSENSE", "VRAW")
	b.place(chip("0402"), "R", "10K", 17.4, 31.2, 0, bottom, "VSENSE", "GND")
	b.place(sot(5), "U", "RW-R30", 36.4, 38.6, 0, bottom, "V3V3", "GND", "ANAEN", "", "VANA")
	b.place(chip("0603"), "C", "1U", 40.2, 38.6, 1, bottom, "VANA", "GND")
	b.place(chip("0603"), "C", "1U", 32.5, 38.6, 1, bottom, "V3V3", "GND")
	b.place(sot(3), "U", "RW-V25", 34.6, 20.6, 1, bottom, "VANA", "VREF", "GND")
	b.place(chip("0603"), "C", "10U", 31.4, 20.6, 1, bottom, "VREF", "GND")
	// Memory.
	b.place(dual("SOIC-8", 8, 1.27, 1.55, 0.6, 5.4, 3.9, 4.9), "U", "RW-F032", 16.0, 8.2, 1, top, "FCS", "FMISO", "V3V3", "GND", "FMOSI", "FSCK", "V3V3", "V3V3")
	b.place(chip("0402"), "C", "100N", 20.0, 9.4, 1, top, "V3V3", "GND")
	b.place(chip("0402"), "R", "10K", 12.0, 9.4, 1, top, "V3V3", "FCS")
	// Lamps.
	for i := range 4 {
		n := fmt.Sprint(i + 1)
		x := 15.0 + 3.6*float64(i)
		b.place(chip("LED0603"), "D", "GREEN", x, 1.9, 2, top, "LA"+n+"X", "GND")
		b.place(chip("0402"), "R", "680R", x, 3.4, 0, top, "LED"+n, "LA"+n+"X")
	}
	// Clock, settings memory, and a port expander for the spare lines, below.
	so8 := dual("SOIC-8", 8, 1.27, 1.55, 0.6, 5.4, 3.9, 4.9)
	b.place(so8, "U", "RW-C11", 10.6, 32.6, 1, bottom, "CKX1", "CKX2", "VBAK", "GND", "SDA", "SCL", "CKINT", "V3V3")
	b.place(chip("0805"), "Y", "32K768", 16.2, 34.4, 1, bottom, "CKX1", "CKX2")
	b.place(chip("SOD-323"), "D", "RW-S03", 10.4, 26.6, 0, bottom, "VBAK", "V3V3")
	b.place(chip("1206"), "C", "47U", 17.0, 27.6, 0, bottom, "VBAK", "GND")
	b.place(chip("0402"), "C", "100N", 15.6, 25.2, 0, bottom, "V3V3", "GND")
	b.place(so8, "U", "RW-E64", 12.0, 11.2, 0, bottom, "GND", "GND", "GND", "GND", "SDA", "SCL", "GND", "V3V3")
	b.place(chip("0402"), "C", "100N", 16.8, 14.0, 1, bottom, "V3V3", "GND")
	b.place(dual("TSSOP-16", 16, 0.65, 1.35, 0.38, 5.9, 4.4, 5.1), "U", "RW-X08", 22.4, 10.0, 1, bottom,
		"SDA", "SCL", "CKINT", "GND", "XP1", "XP2", "XP3", "GND", "GND", "XP4", "XP5", "XP6", "XP7", "XP8", "GND", "V3V3")
	for i := range 8 {
		b.place(chip("0402"), "R", "47K", 18.2+1.2*float64(i), 15.0, 1, bottom, fmt.Sprintf("XP%d", i+1), "V3V3").label = "-"
	}
	b.place(chip("0402"), "R", "4K7", 14.6, 17.6, 1, bottom, "SDA", "V3V3")
	b.place(chip("0402"), "R", "4K7", 16.0, 17.6, 1, bottom, "SCL", "V3V3")
	b.place(chip("0402"), "R", "10K", 17.4, 17.6, 1, bottom, "CKINT", "V3V3")
	for i := range 4 {
		n := fmt.Sprint(i + 1)
		b.place(chip("SOD-323"), "D", "RW-T05", 9.2, 22.6-1.9*float64(i), 2, bottom, "AUX"+n, "GND")
	}
	for k := range 8 {
		x, y := 34.8+10.2*float64(k/4), 4.6+8.0*float64(k%4)
		b.place(chip("0603"), "C", "1U", x+4.4, y+5.6, 0, bottom, "VANA", "GND")
	}
	for i, n := range []string{"TP_A", "TP_B", "TP_C", "TP_D", "V3V3", "GND", "VANA", "VREF", "VRAW", "BOOT"} {
		b.place(testPoint(), "TP", n, 13.4+1.9*float64(i), 5.4, 0, bottom, n)
	}
	b.notes = []note{
		{"RG-1042 C", at(45.2, 2.6), mm(1.4), 0, top},
		{"REEDWATER GAUGES", at(45.4, 2.4), mm(1.4), 0, bottom},
		{"RIVER GAUGE", at(43.4, 39.0), mm(1.2), 0, top},
		{"IN1", at(56.5, 31.9), mm(0.8), 0, top},
		{"IN8", at(56.5, 9.1), mm(0.8), 0, top},
	}
	return b
}
