// Package offset moves outlines inwards and outwards, gives strokes their outline, and tells what a
// disc can reach.
package offset
