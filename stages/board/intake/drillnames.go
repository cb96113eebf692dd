package intake

import (
	"fmt"
	"path"
	"strings"

	"panelwright/pipeline"
	"panelwright/pipeline/format"
	"panelwright/pipeline/panel/artwork"
)

// platingByName reads the plating from a drill file's name, by common convention.
func platingByName(name string) artwork.Plating {
	w := words(name)
	for i, x := range w {
		switch x {
		case "npth", "nonplated", "unplated", "nplated":
			return artwork.NonPlated
		case "non", "un", "not":
			if i+1 < len(w) && (w[i+1] == "plated" || w[i+1] == "pth") {
				return artwork.NonPlated
			}
		}
	}
	for _, x := range w {
		if x == "pth" || x == "plated" {
			return artwork.Plated
		}
	}
	return artwork.PlatingUnknown
}

var (
	spanWords = format.Pattern(`(?i)(?:^|[-_. ])(front|top|back|bottom|bot|in(?:ner)?[1-9]\d?|l[1-9]\d?)[-_. ](?:to[-_. ])?(front|top|back|bottom|bot|in(?:ner)?[1-9]\d?|l[1-9]\d?)(?:$|[-_. ])`)
	// Numbers count only at the end and right behind a drill word: a name may hold a date or a version.
	spanNumbers = format.Pattern(`(?i)(?:^|drills?|drl|npth|pth|plated|holes?|vias?|blind|buried)[-_. ]?([1-9]\d?)[-_]([1-9]\d?)$`)
	// blind and buried behind the numbers: gauge-1-2-blind.
	spanBefore = format.Pattern(`(?i)(?:^|[-_. ])L?([1-9]\d?)[-_]L?([1-9]\d?)[-_. ]?(?:blind|buried|micro-?vias?|uvias?)(?:$|[-_. ])`)
	anyNumbers = format.Pattern(`^(.*[^0-9])([1-9]\d?)-([1-9]\d?)$`)
)

// spanByName reads the layers that a drill file's name says it goes through: front-in1, in1-in2,
// L2-L3, drill_1_16. copper is the number of copper layers. Older systems count the bottom as 16
// whatever lies between.
func spanByName(name string, copper int) (from, to int, ok bool) {
	base := path.Base(name)
	base = strings.TrimSuffix(base, path.Ext(base))
	if m := spanWords().FindStringSubmatch(base); m != nil {
		return ordered(layerByWord(m[1], copper), layerByWord(m[2], copper))
	}
	if m := spanBefore().FindStringSubmatch(base); m != nil {
		return ordered(atoi(m[1]), atoi(m[2]))
	}
	if m := spanNumbers().FindStringSubmatch(base); m != nil {
		from, to := atoi(m[1]), atoi(m[2])
		if from == 1 && to == 16 && copper < 16 {
			to = copper
		}
		return ordered(from, to)
	}
	return 0, 0, false
}

// spanBeside reads two numbers at the end of a name that could be anything, where a file beside it
// has the same name with the numbers of all layers: gauge-1-2 beside gauge-1-4. unsure tells that
// there is none, and that the numbers could mean a part of the layers all the same.
func (r *Result) spanBeside(f *File, copper int) (from, to int, ok, unsure bool) {
	m := numbersOf(f.Name)
	if m == nil {
		return 0, 0, false, false
	}
	from, to, ok = ordered(atoi(m[2]), atoi(m[3]))
	if !ok || to > copper {
		return 0, 0, false, false
	}
	for _, g := range r.of(DrillFile) {
		if o := numbersOf(g.Name); o != nil && o[1] == m[1] && atoi(o[2]) == 1 && atoi(o[3]) == copper {
			return from, to, true, false
		}
	}
	return from, to, from == 1 && to == copper, from > 1 || to < copper
}

// through reports that such a file is taken for holes through the board.
func (r *Result) through(f *File, from, to int) {
	r.find("span-assumed", pipeline.Warning, fmt.Sprintf("%s is taken for holes through the board; its name could also mean layers %d to %d; a block drill %q in the recipe can say it, with from = %d, to = %d",
		f.Name, from, to, f.Name, from, to))
}

func numbersOf(name string) []string {
	base := path.Base(name)
	return anyNumbers().FindStringSubmatch(strings.TrimSuffix(base, path.Ext(base)))
}

func ordered(from, to int) (int, int, bool) {
	return min(from, to), max(from, to), from != to
}

func layerByWord(w string, copper int) int {
	w = strings.ToLower(w)
	switch w {
	case "front", "top":
		return 1
	case "back", "bottom", "bot":
		return copper
	}
	n := atoi(strings.TrimLeft(w, "abcdefghijklmnopqrstuvwxyz"))
	if strings.HasPrefix(w, "in") {
		n++ // the first inner layer is the second of the board
	}
	return n
}
