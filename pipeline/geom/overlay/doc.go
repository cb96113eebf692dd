// Package overlay computes with areas: union, intersection, difference and symmetric difference of any
// number of shapes in one call, bounded by lines and arcs.
//
// # Use
//
// An Operand is a shape: closed paths, and a Rule that says which winding numbers count as inside. Union
// and its like take operands and give a geom.Region: outlines in canonical order, each with its
// cut-outs, outer paths counter-clockwise, cut-outs clockwise, none touching itself. Arrange cuts the
// plane once and answers any question about which operands cover what.
//
// # What it promises
//
// All coordinates are whole nanometres within ±1 m; what leaves them is an error. Crossings are rounded to
// the grid, so the result's border strays from the true one by a nanometre or so, less than the rounding
// of one corner for each crossing that it passes. What is not touched comes back to the nanometre, and an
// overlay of a result with itself gives it back byte for byte. Operands may be given in any order, and
// their paths may begin anywhere: the result is the same, byte for byte, on any processor.
//
// Never is an area quietly wrong. Every decision about which side a place lies on is made in whole
// numbers, exactly; and before a result is given, a sweep has proved that its edges meet in common
// corners only and that winding numbers add up at every corner. Should that fail, a Fault says so, with a
// small case that shows it.
//
// # How it works
//
// Where no path crosses or touches itself or another, one sweep proves it and the paths are the result as
// they are (untouched). Everything else goes this way:
//
//  1. load checks the paths and cuts them into straight segments; arcs into chords (flatten).
//  2. find looks for segments that come near each other, in a grid of cells that adapts to their density,
//     and node bends them through every pixel that holds an end or a crossing: snap rounding (J. D. Hobby,
//     "Practical segment intersection with finite precision output", Computational Geometry 13, 1999),
//     again and again until nothing moves (D. Halperin and E. Packer, "Iterated snap rounding",
//     Computational Geometry 23, 2002). Crossings are computed in 128 bits.
//     Where many edges run within a few nanometres of each other, most pieces coincide: a merger keeps
//     them as one until all is done.
//  3. chains strings together the segments that nothing else meets, connect makes a graph of the chains.
//  4. sweep passes over the graph, proves that it is plane (M. I. Shamos and D. Hoey, "Geometric
//     intersection problems", FOCS 1976) and finds how often each operand runs round every face.
//  5. trace follows the border of what is wanted, splits it into simple rings and nests them.
//  6. restore gives chains of chords back as arcs, and bent edges straight.
//
// # Arcs
//
// Chords stray from their arc by no more than Options.ChordError, a micrometre unless said otherwise, on
// the side that Options.Chords says. A run of chords comes back as an arc about the same centre. Where an
// arc is cut, the end is moved to the true crossing. Closer than the chord error, arcs may be taken to
// touch or not to: where that matters, choose the error and the side. An overlay of a result whose arcs
// come that close may differ from it by as much. Where arcs given back would cross what their chords do
// not, the chords stay.
//
// # Size
//
// Time grows as n log n with the number of segments and crossings. A call takes about 400 bytes for each
// segment at once, and 100 more for each crossing; a million segments are nothing out of the ordinary.
//
// Bundles grow faster: n edges that run within a few nanometres of one another all the way are cut into
// some n³/40 pieces, 628 of them into 6.7 million, which takes seconds and 700 MB. More than 67 million
// pieces that coincide, or 134 million pixels to bend edges through in one pass, end in an error.
package overlay
