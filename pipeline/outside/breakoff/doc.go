// Package breakoff tries the planning of break-off tabs as a whole, from outline to written files and
// their proof: on the table of what is expected of the open boards and of outlines made up for it, on
// random outlines, and against GEOS (Debian's python3-shapely), on the same polygons.
package breakoff
