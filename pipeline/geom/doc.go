// Package geom is plane geometry in whole nanometres: points, lines and arcs, closed outlines with
// cut-outs, transforms, distances and a spatial index. It knows nothing of boards or files.
//
// Coordinates lie within ±1 m (Limit). Floating point lives only inside a calculation; what comes
// out is rounded to the nanometre, the same on every processor.
package geom
