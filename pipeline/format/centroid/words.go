package centroid

import (
	"regexp"
	"strings"

	"panelwright/pipeline/format"
)

const unitForms = `(mm|millimet(?:re|er)s?|metric|mils?|thou|inch(?:es)?|in|imperial|[uµμ]m|microns?|micromet(?:re|er)s?)`

var (
	// Units = mm; Unit: mil; Units used = inch / deg; "Units","mm"; Measurement units (mm).
	unitRemark = format.Pattern(`(?i)\b(?:units?|uom)\b[\s"']*(?:used|of\s+measure(?:ment)?|system)?[\s"',;:=|(\[-]*(?:is|are)?[\s"',;:=|(\[-]*` + unitForms + `(?:[^\pL\d]|$)`)
	// Coordinates in mm; All dimensions are in inches.
	inRemark = format.Pattern(`(?i)\b(?:coordinates?|dimensions?|measurements?|lengths?|positions?|locations?|values|units?)\b\s*(?:is|are)?\s*(?:given|stated)?\s*in\s+` + unitForms + `(?:[^\pL\d]|$)`)
	// Side : top.
	sideRemark = format.Pattern(`(?i)^\W*(?:side|layer)\s*[:=]\s*(\S.*?)\W*$`)
	// A line of its own between blocks of parts: Bottom Side, --- TOP LAYER ---, Bottom components:.
	sideHeading = format.Pattern(`(?i)^\W*(?:(top|bottom|front|back)\s*(?:side|layer)?|(component|solder)\s*(?:side|layer))\s*(?:components?|parts?|placements?)?\W*$`)
	summary     = format.Pattern(`(?i)\b(?:total|count|parts?|components?|placements?|rows?|lines?|records?|items?|end|eof|sum)\b`)
)

// unitSaid takes the unit out of a remark, "" where it says none. "Units in mm" could match with the
// word in as inch, so that form is tried first.
func unitSaid(s string) string {
	for _, form := range []*regexp.Regexp{inRemark(), unitRemark()} {
		if m := form.FindStringSubmatch(s); m != nil {
			return unitWords[strings.ToLower(m[1])]
		}
	}
	return ""
}

// side gives the side a word means; ok is false for an unknown word.
func side(word string) (string, bool) {
	plain, _ := understand(word)
	switch plain {
	case "":
		return "", strings.TrimSpace(word) == ""
	case "top", "t", "front", "f", "fcu", "toplayer", "topside", "componentside", "component", "components", "comp", "compside", "cs", "primary", "primaryside",
		"frontside", "frontlayer", "toplyr", "topcu", "topcopper", "upper", "1", "layer1", "l1", "tops", "smttop", "topmount", "toplay":
		return "top", true
	case "bottom", "bot", "b", "back", "bcu", "bottomlayer", "bottomside", "solderside", "solder", "ss", "secondary", "secondaryside",
		"backside", "backlayer", "botlayer", "botside", "btm", "bott", "bottomcu", "bottomcopper", "lower", "rear", "2", "16", "layer2", "l2", "smtbottom", "bottommount", "reverse":
		return "bottom", true
	}
	return "", false
}

// yes reads a word of a column of yes and no; mark is the column's own name, which some write for yes.
func yes(word, mark string) (is, ok bool) {
	plain, _ := understand(word)
	m, _ := understand(mark)
	switch plain {
	case "":
		return false, strings.Trim(word, "-–. ") == ""
	case "y", "yes", "true", "t", "1", "x", "on", m:
		return true, true
	case "n", "no", "false", "f", "0", "off", "none", "not", "no" + m:
		return false, true
	}
	return false, false
}

// unplacedWord reads the words by which a part is told to be placed or not; ok is false for others,
// yes and no among them.
func unplacedWord(word string) (left, ok bool) {
	plain, _ := understand(word)
	switch plain {
	case "dnp", "dni", "dnf", "dns", "nopop", "nofit", "donotplace", "donotpopulate", "donotfit", "donotmount", "notfitted", "notplaced", "unplaced", "nostuff", "unpopulated", "excluded":
		return true, true
	case "fitted", "placed", "populated", "populate", "place", "fit", "mounted", "included":
		return false, true
	}
	return false, false
}

// mounting tells whether a word is a way of mounting, not a side.
func mounting(word string) bool {
	plain, _ := understand(word)
	switch plain {
	case "", "smd", "smt", "tht", "th", "pth", "thruhole", "throughhole", "thru", "through", "surface", "surfacemount", "mixed", "other", "none", "virtual", "axial", "radial", "pressfit", "manual", "hand":
		return true
	}
	return false
}

// noPlace tells whether a cell where a coordinate belongs says that there is none.
func noPlace(word string) bool {
	plain, _ := understand(word)
	switch plain {
	case "na", "none", "nan", "null", "unplaced", "notplaced", "tbd":
		return true
	}
	return strings.Trim(word, "-–—. ") == ""
}

// sideOfName takes the side from a file's name, where a name has only one of the words.
func sideOfName(name string) string {
	words := strings.FieldsFunc(strings.ToLower(name), func(r rune) bool { return r < 'a' || r > 'z' })
	found := ""
	for _, w := range words {
		s := map[string]string{"top": "top", "front": "top", "bottom": "bottom", "bot": "bottom", "back": "bottom"}[w]
		switch {
		case s == "" || s == found:
		case found != "":
			return ""
		default:
			found = s
		}
	}
	return found
}
