// Demoboards writes the fabrication data of four invented boards of Reedwater Gauges, a small maker of river and tide
// gauges. The recipes of the demo and many tests read these boards; they are made again on each machine and never kept
// in the repository:
//
//		go run ./testdata/demoboards -o testdata/boards
//
//	  - gauge, RG-1042 revision C: the logger of a river gauge. 4 layers, 62 x 41 mm, corners rounded with 3 mm. A
//	    64-lead microcontroller, eight sensor channels, two converters; ground plane and a split power plane inside; a
//	    connector that overhangs the left edge by 1.2 mm and has plated slots. Millimetres, 4.6 digits, origin moved to
//	    (100, 50) mm; the slots are routed; with an IPC-D-356 netlist.
//	  - modem, RG-2077 revision B: sends the readings home. 4 layers, 34 x 26 mm, rectangular, made to be scored: all
//	    copper stays 0.6 mm from the edge. A screening can over the radio part. Inches, 2.5 digits, negative coordinates.
//	  - probe, RG-3010 revision A: the head that hangs in the water. 2 layers, round, 30 mm, with a slot of 8 x 2 mm in
//	    the profile and ring electrodes below. Millimetres, 4.5 digits, trailing zeros omitted, origin in the centre.
//	  - relay, RG-4005 revision D: switches pumps and sirens. 2 layers, L-shaped, 60 x 45 mm with a notch of 30 x 20 mm
//	    whose inner corner has a radius of 1 mm. Aperture macros, attributes in comments, slots by G85.
//
// The program stands on the standard library only and shares no code with the readers and writers of this project, so
// that what it writes is a test of them and not an echo. It uses no clock and no randomness but a generator with a
// fixed seed; equal sources give equal bytes.
//
// Placement files count rotation counter-clockwise as seen from the top, for both sides; a footprint on the bottom is
// mirrored left to right first and then rotated. None of these circuits was ever built or simulated: the nets are
// there so that the boards have something true to hold copper for.
package main
