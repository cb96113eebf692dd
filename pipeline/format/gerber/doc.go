// Package gerber reads and writes layers in the Gerber layer format: RS-274X with its old codes,
// X2 and X3.
//
// Read turns the bytes of one layer into an artwork.Image. Blocks, step-and-repeat, mirroring,
// rotation, scaling and macro expressions are resolved on the way; strokes, flashes, regions and
// their attributes are kept as they were drawn. Write turns images under transforms into one X2
// file in millimetres with six decimals, so that every nanometre survives.
package gerber
