// Package outside holds the checks of written panels against programs that are no part of this
// project: a layer viewer, which draws every source layer and every copy of it on the panel, a
// second reader of drill and rout files, and readers of two-dimensional codes.
//
// It has tests only. A check whose outside program is absent is skipped with a message, or fails
// when PANELWRIGHT_REQUIRE_OUTSIDE=1. A check that has really run says so through shared.Ran.
package outside
