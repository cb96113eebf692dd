package writeassembly

import (
	"cmp"
	"fmt"
	"slices"
	"strconv"
	"strings"

	"panelwright/pipeline/format/centroid"
	"panelwright/pipeline/panel"
)

// tally counts parts by side.
type tally struct{ top, bottom int }

func (t *tally) add(s panel.Side) {
	if s == panel.Bottom {
		t.bottom++
	} else {
		t.top++
	}
}

func (t tally) all() int { return t.top + t.bottom }

// placedBoards gives the boards that have copies, in the order of the copies, and how many copies each has. Boards
// whose placement cannot be used are left out: such tables hold more than parts, as often as not.
func placedBoards(p panel.Panel) (boards []*panel.Board, copies map[*panel.Board]int) {
	copies = map[*panel.Board]int{}
	for _, c := range p.Copies() {
		if c.Board.PartsElsewhere || len(c.Board.Parts) == 0 {
			continue
		}
		if copies[c.Board] == 0 {
			boards = append(boards, c.Board)
		}
		copies[c.Board]++
	}
	return boards, copies
}

// parts counts how many of each part a panel takes, on each side, and how many each board does. Parts are the same
// that have the same part number, value and package.
func (s *papers) parts() table {
	type key struct{ number, value, pack string }
	type line struct {
		key
		panel tally
		board map[*panel.Board]int
	}
	boards, copies := placedBoards(s.panel)
	at := map[key]*line{}
	var lines []*line
	for _, b := range boards {
		for _, x := range b.Parts {
			k := key{centroid.OneLine(x.PartNumber), centroid.OneLine(x.Value), centroid.OneLine(x.Package)}
			l := at[k]
			if l == nil {
				l = &line{key: k, board: map[*panel.Board]int{}}
				at[k] = l
				lines = append(lines, l)
			}
			l.board[b]++
			for range copies[b] {
				l.panel.add(x.Side)
			}
		}
	}
	slices.SortFunc(lines, func(a, b *line) int {
		return cmp.Or(cmp.Compare(a.number, b.number), cmp.Compare(a.value, b.value), cmp.Compare(a.pack, b.pack))
	})
	heading := []string{"part_number", "value", "package", "per_panel", "top_per_panel", "bottom_per_panel"}
	for _, b := range boards {
		heading = append(heading, "per_"+b.Name)
	}
	rows := [][]string{heading}
	for _, l := range lines {
		row := []string{l.number, l.value, l.pack, strconv.Itoa(l.panel.all()), strconv.Itoa(l.panel.top), strconv.Itoa(l.panel.bottom)}
		for _, b := range boards {
			row = append(row, strconv.Itoa(l.board[b]))
		}
		rows = append(rows, row)
	}
	return table{name: "parts", title: "parts", what: "how many of each part a panel takes",
		remarks: append([]string{"unit: pieces"}, s.sums()...), rows: rows}
}

// sums says how many parts there are in all: what the table's columns must add up to, and the placement's rows.
func (s *papers) sums() []string {
	boards, copies := placedBoards(s.panel)
	var whole tally
	var each []string
	for _, b := range boards {
		for _, x := range b.Parts {
			for range copies[b] {
				whole.add(x.Side)
			}
		}
		each = append(each, fmt.Sprintf("%d x %s of %d", copies[b], b.Name, len(b.Parts)))
	}
	if whole.all() == 0 {
		return nil
	}
	return []string{fmt.Sprintf("check sum: %d parts on a panel, as many as the placement has rows: %d on the top and %d on the bottom; %s",
		whole.all(), whole.top, whole.bottom, strings.Join(each, ", "))}
}
