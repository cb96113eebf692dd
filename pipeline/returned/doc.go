// Package returned holds the working files that a fabricator sends back for approval against the build that they were
// made from: whether the panel that will be made is the one that was ordered.
//
// # What may differ
//
// Such files are written by other programs: names, order, units and number formats differ, the panel lies elsewhere, perhaps
// turned, flashes are regions and strokes outlines. None of that is told of. Holes may be larger by their plating, copper and mask
// wider by what etching takes: that is told as a note, once, with the amount. Marks, coupons and texts beside the boards are notes. Legends
// may be clipped at openings of the mask, and inner copper may have lost pads that connect nothing. All else is a finding.
//
// # How it is held
//
//   - where the panel lies: by loops of the profile that are as large as the panel, then by holes (find.go);
//   - what is cut: both profiles are areas, and the kernel gives what lies in one only; what is thinner than Tolerance does not count
//     (cuts.go);
//   - holes and slots: one by one, by place (holes.go); score lines: by place and length (scores.go);
//   - which file is which layer: by what it says, and by its picture on a coarse grid, so that layers that were exchanged, mirrored or
//     shifted are told as such (layers.go);
//   - layers of material: both are drawn on a grid of samples 10 µm apart, band by band; where four by four of them
//     in a square differ, something does (pictures.go). Pieces are put together, named by copy, and told once for all copies that are
//     alike (pieces.go).
package returned
