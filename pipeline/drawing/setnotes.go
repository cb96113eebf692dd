package drawing

import (
	"strconv"
	"strings"

	"panelwright/pipeline/geom"
)

// Flow gives the notes to be set.
func (n NoteList) Flow() Flow { return &notesFlow{n: n} }

// notesFlow is what is left of a list of notes.
type notesFlow struct {
	n    NoteList
	from int    // notes set so far
	rest string // of the note at from, when it was parted
	part int
}

// Title names the list.
func (f *notesFlow) Title() string { return f.n.Name }

// notesWidth is how wide notes are at most: some 75 letters a line read well (common practice, no published source).
func notesWidth(s Style) geom.Length { return 56 * s.Letter }

// Set gives the title and as many notes as there is room for. A note is parted between two lines where it would not fit
// into the room by itself either, or where the room would stay empty.
func (f *notesFlow) Set(s Style, room geom.Point) (Sheet, Flow, bool) {
	indent := Width(strconv.Itoa(len(f.n.Lines))+".", s.Letter, false) + s.Letter
	width := min(room.X, notesWidth(s))
	if width < indent+10*s.Letter || width < Width(continued(f.n.Name, 1), s.titleHeight(), true)*2/3 {
		return Sheet{}, nil, false
	}
	o := &setter{layer: Notes}
	o.title(s, continued(f.n.Name, f.part), width)
	height := s.titleRoom()
	put := func(lines []string, number int) {
		for i, l := range lines {
			base := geom.Pt(indent, -height-s.Letter-geom.Length(i)*Pitch(s.Letter))
			if i == 0 && number > 0 {
				o.text(strconv.Itoa(number)+".", geom.Pt(0, base.Y), s.Letter, Start, false)
			}
			o.text(l, base, s.Letter, Start, false)
		}
		height += noteHeight(s, len(lines))
	}
	next := &notesFlow{n: f.n, from: f.from, part: f.part + 1}
	words, number := f.rest, 0
	for ; next.from < len(f.n.Lines); next.from, words = next.from+1, "" {
		if words == "" {
			words, number = f.n.Lines[next.from], next.from+1
		} else {
			number = 0 // goes on from the part before
		}
		lines := Wrap(words, width-indent, s.Letter, false)
		if height+noteHeight(s, len(lines))-noteGap(s) <= room.Y {
			put(lines, number)
			continue
		}
		if next.from > f.from {
			break // this one goes on as a whole elsewhere
		}
		fits := 0
		for fits < len(lines) && height+noteHeight(s, fits+1)-noteGap(s) <= room.Y {
			fits++
		}
		if fits < 2 && fits < len(lines) {
			return Sheet{}, nil, false
		}
		put(lines[:fits], number)
		next.rest = after(words, lines[:fits])
		break
	}
	piece := o.done(f.n.Name, width, max(height-noteGap(s), s.titleRoom()))
	if next.from >= len(f.n.Lines) {
		return piece, nil, true
	}
	return piece, next, true
}

// after gives what of the words stands in none of the lines that were made of their beginning.
func after(words string, lines []string) string {
	set := strings.Join(strings.Fields(strings.Join(lines, "")), "")
	for len(set) > 0 && len(words) > 0 {
		if words[0] == set[0] {
			set = set[1:]
		} // else a space at which a line ended
		words = words[1:]
	}
	return strings.TrimLeft(words, " \n\t")
}

func noteGap(s Style) geom.Length { return s.Letter * 4 / 5 }

func noteHeight(s Style, lines int) geom.Length {
	return Stack(lines, s.Letter) + noteGap(s)
}
