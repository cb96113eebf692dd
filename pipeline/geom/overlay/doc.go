// Package overlay computes with areas: union, intersection, difference, symmetric difference of
// shapes bounded by lines and arcs, many in one call.
package overlay
