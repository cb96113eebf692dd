// Package layout sets the drawing's pieces on sheets of paper, with border and title block.
package layout
