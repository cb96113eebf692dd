// Package compare tells what changed between two finished builds of a panel, from their two folders alone:
// in words by feature, by the area over which artwork changed, and as pictures laid over one another.
//
// # How features are matched
//
// By id first where both sides are the same, then by what they are and where they stand (a slot that was
// numbered anew is renamed, not gone and new), then by id, then by place. What a copy carries is held
// against the copy: a tab that moved as its copy did has moved along, and artwork is compared in the
// board's own frame, so that one change of a board is told once for all its copies.
//
// # What counts as the same
//
// Two builds are the same when both folders hold the same files with the same bytes. Two files are held by
// what they say instead: manifest.json, in which the program's version and the lines of the recipe that
// values come from may differ, and build.log. Such differences are notes. Everything else counts, also where nothing that
// has a name explains it: such files are told by themselves.
//
// # Areas
//
// The area over which a layer changed is that of the symmetric difference of what is dark before and
// after, by the kernel (pipeline/geom/overlay), from the layer files as written. Objects that both files draw in the
// same order cancel, so that only what lies round the others is worked out.
package compare
