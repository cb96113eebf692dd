package rule

import (
	"slices"

	"panelwright/pipeline/panel"
)

// placedBoard is a board with the copies of it that the panel carries.
type placedBoard struct {
	*panel.Board
	copies []panel.Copy
}

// placedBoards gives the boards that are on the panel, in the order in which they were placed.
func placedBoards(p panel.Panel) []placedBoard {
	var out []placedBoard
	for _, c := range p.Copies() {
		i := slices.IndexFunc(out, func(b placedBoard) bool { return b.Board == c.Board })
		if i < 0 {
			i = len(out)
			out = append(out, placedBoard{Board: c.Board})
		}
		out[i].copies = append(out[i].copies, c)
	}
	return out
}

// ids names the board's copies.
func (b placedBoard) ids() []string {
	var out []string
	for _, c := range b.copies {
		out = append(out, c.ID)
	}
	return out
}

// feature is what findings about a board's data are about.
func (b placedBoard) feature() string { return "boards." + b.Name }
