// Package offset moves the borders of regions outwards and inwards (By), gives strokes of a pen their
// outline (Stroke), and tells what a disc can reach (Opening, Closing) and where the middle of a
// channel runs (CentreLines).
//
// Lengths are whole nanometres. Edges are lines and true arcs, and so are those of results: a
// rounded rectangle moved outwards is a rounded rectangle.
//
// # How borders are moved
//
// A region moved outwards by d is the region itself and, laid beside it, a rectangle along each
// straight edge, a piece of a ring along each arc, and at each corner that opens a piece that fills the
// gap between the two: a pie with round joins. Each piece has a border that runs round it
// counter-clockwise. Added up, sides that two pieces share cancel, for they are run along both ways.
// What remains is one closed raw path for each path of the region:
//
//   - every edge moved by d,
//   - where a corner opens, the join from one moved edge to the next,
//   - where a corner closes, the way from the end of one moved edge to the corner itself and on to the
//     beginning of the next.
//
// Raw paths cross themselves and each other. But by how they are made, their winding number at a place
// is the number of pieces that lie over it: the result is where that is positive, and one overlay with
// that rule gives it. Moved inwards, pieces run the other way round and are taken from the region: the
// winding number is positive where the region is and no piece lies.
//
// Winding numbers are what X. Chen and S. McMains clean raw offset curves with in "Polygon offsetting
// by computing winding numbers" (ASME IDETC 2005). The result with round joins is the Minkowski sum of
// the region and a disc, or inwards the erosion by it.
package offset
