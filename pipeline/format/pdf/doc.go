// Package pdf writes drawings as PDF: one page a sheet, of the sheet's own size, all of it lines, areas and
// letters, none of it pixels. The file carries what it uses of its two fonts, and the drawing's layers as
// groups that a viewer can switch.
//
// Coordinates are whole micrometres of paper. Equal sheets give equal bytes: the file has no date but the one it is
// given.
package pdf
