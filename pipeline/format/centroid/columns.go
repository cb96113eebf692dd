package centroid

import (
	"fmt"
	"slices"
	"strings"

	"panelwright/pipeline/format"
)

// field is what a column holds.
type field int

const (
	fNone field = iota
	fRefdes
	fPackage
	fPartNumber
	fValue
	fX
	fY
	fRotation
	fSide
	fMirrored
	fUnplaced
	fPlaced // the other way round: yes for parts that are placed
	fieldCount
)

// names are the words for each column in plain letters, best first: where several columns fit, the
// best one counts, and a column counts once.
var names = [fieldCount][]string{
	fRefdes: {"refdes", "referencedesignator", "refdesignator", "referencedesignators", "designator", "designators", "reference", "references", "ref",
		"refid", "partref", "partreference", "partdesignator", "componentdesignator", "componentreference", "componentname", "component", "comp", "partname", "part", "name"},
	fPackage: {"package", "footprint", "pattern", "packagename", "footprintname", "patternname", "pkg", "packagetype", "case", "casesize", "casecode", "landpattern",
		"decal", "cell", "geometry", "jedectype", "symbolname", "packageid"},
	fPartNumber: {"partnumber", "manufacturerpartnumber", "mfrpartnumber", "mfgpartnumber", "mpn", "partno", "pn", "partnum", "mfrpn", "mfgpn", "stockcode", "itemnumber"},
	fValue:      {"value", "val", "comment", "comments", "partvalue", "componentvalue", "partcomment", "parttype", "componenttype", "device", "devicetype", "compdevice", "part", "description"},
	fRotation:   {"rotation", "rot", "angle", "orientation", "theta", "rotationangle", "rotationdegrees", "rotdeg", "orient", "ang", "r", "turn"},
	fSide: {"side", "layer", "tb", "topbottom", "topbot", "boardside", "mountside", "mountingside", "mountlayer", "placementside", "placementlayer", "placelayer",
		"componentside", "componentlayer", "sidelayer", "layername", "boardlayer", "placeside"},
	fMirrored: {"m", "mirror", "mirrored", "mir", "flip", "flipped", "mirroring", "onbottom"},
	fUnplaced: {"dnp", "dni", "dnf", "dns", "nopop", "nofit", "donotplace", "donotpopulate", "donotfit", "donotmount", "donotinstall", "notfitted", "notplaced", "unplaced", "nostuff", "exclude", "skip"},
	fPlaced:   {"fitted", "populate", "populated", "placed", "mounted", "stuff", "fit", "assemble", "place", "population"},
}

// families are the names of pairs of coordinates, best first: a part's centre before the point that
// its footprint is drawn about, and that before its first pad. %s is x or y.
var families = []struct {
	about string
	forms []string
}{
	{"centre", []string{"mid%s", "center%s", "centre%s", "centroid%s", "%smid", "%scenter", "%scentre", "%scentroid", "cent%s", "cen%s", "bodycenter%s", "bodycentre%s", "partcenter%s"}},
	{"place", []string{"pos%s", "position%s", "%spos", "%sposition", "location%s", "loc%s", "%sloc", "%slocation", "%scoord", "coord%s", "%scoordinate", "coordinate%s", "%scoordinates", "place%s",
		"placement%s", "board%s", "comp%s", "component%s", "part%s", "sym%s", "symbol%s", "%s", "%saxis", "axis%s"}},
	{"reference point", []string{"ref%s", "reference%s", "origin%s", "%sref", "%sorigin", "org%s"}},
	{"first pad", []string{"pad%s", "pin%s", "pinone%s", "pin1%s", "pad1%s", "%spad", "%spin"}},
}

// coordinate is a name of x or y: which family, which form.
type coordinate struct{ family, form, axis int }

var coordinates = func() map[string]coordinate {
	m := map[string]coordinate{}
	for i := len(families) - 1; i >= 0; i-- {
		for j := len(families[i].forms) - 1; j >= 0; j-- {
			for axis, letter := range []string{"x", "y"} {
				m[strings.Replace(families[i].forms[j], "%s", letter, 1)] = coordinate{i, j, axis}
			}
		}
	}
	return m
}()

var unitWords = map[string]string{
	"mm": "mm", "millimetre": "mm", "millimetres": "mm", "millimeter": "mm", "millimeters": "mm", "metric": "mm",
	"mil": "mil", "mils": "mil", "thou": "mil",
	"inch": "inch", "inches": "inch", "in": "inch", "imperial": "inch",
	"um": "um", "µm": "um", "μm": "um", "micron": "um", "microns": "um", "micrometre": "um", "micrometres": "um", "micrometer": "um", "micrometers": "um",
}

var trailingUnit = format.Pattern(`^(.*[^\pL])(mm|millimet(?:re|er)s?|mils?|inch(?:es)?|in|thou|[uµμ]m|microns?|deg|degrees|°)[^\pL]*$`)

// understand gives what a column is called in plain letters, and its unit where the name has one:
// "Center-X(mm)" is centerx in mm.
func understand(name string) (plain, unit string) {
	s := strings.ToLower(strings.TrimSpace(name))
	if m := trailingUnit().FindStringSubmatch(s); m != nil {
		s, unit = m[1], unitWords[m[2]]
	} else if t := strings.TrimSuffix(s, `"`); t != s { // X"
		s, unit = t, "inch"
	}
	return strings.Map(func(r rune) rune {
		if r >= 'a' && r <= 'z' || r >= '0' && r <= '9' {
			return r
		}
		return -1
	}, s), unit
}

// header is what a header line says.
type header struct {
	columns []string
	at      [fieldCount]int // column of each field, −1 when there is none
	unit    [fieldCount]string
	mount   int    // a column called Mount, which may be a side or a way of mounting; −1 when there is none
	note    string // which pair of coordinates was taken
	doubt   string // why it is not clear what the columns are
}

func noHeader() header {
	h := header{mount: -1}
	for f := range h.at {
		h.at[f] = -1
	}
	return h
}

// readHeader tells whether the names are those of a placement table: a reference designator, x and y
// at least.
func readHeader(columns []string) (header, bool) {
	h := noHeader()
	h.columns = columns
	plain, unit := make([]string, len(columns)), make([]string, len(columns))
	for c, name := range columns {
		plain[c], unit[c] = understand(name)
	}
	used := make([]bool, len(columns))
	h.coordinates(plain, unit, used)
	if h.at[fX] < 0 {
		return h, false
	}
	for f := range h.at {
		best := len(names[f])
		for c := range columns {
			if used[c] {
				continue
			}
			rank := slices.Index(names[f], plain[c])
			switch {
			case rank < 0 || rank > best:
			case rank == best && field(f) != fNone:
				if h.doubt == "" {
					h.doubt = fmt.Sprintf("two columns are called %q", columns[c])
				}
			default:
				h.at[f], h.unit[f], best = c, unit[c], rank
			}
		}
		if h.at[f] >= 0 {
			used[h.at[f]] = true
		}
	}
	for c := range columns {
		if !used[c] && (plain[c] == "mount" || plain[c] == "mounting") {
			h.mount = c
		}
	}
	return h, h.at[fRefdes] >= 0
}

// coordinates finds the pair of columns that says where the parts are.
func (h *header) coordinates(plain, unit []string, used []bool) {
	type form struct{ family, form int }
	there := map[form]*[2][]int{}
	for i, n := range plain {
		if c, ok := coordinates[n]; ok {
			k := form{c.family, c.form}
			if there[k] == nil {
				there[k] = &[2][]int{}
			}
			there[k][c.axis] = append(there[k][c.axis], i)
		}
	}
	if len(there) == 0 {
		return
	}
	pairs := 0
	for i, fam := range families {
		found := false
		for j := range fam.forms {
			xy := there[form{i, j}]
			if xy == nil || len(xy[0]) == 0 || len(xy[1]) == 0 {
				continue
			}
			x, y := xy[0], xy[1]
			pairs++
			for _, c := range append(slices.Clone(x), y...) {
				used[c] = true
			}
			if h.at[fX] >= 0 {
				continue
			}
			k, l := 0, 0
			if len(x) > 1 || len(y) > 1 { // the same in several units: the metric one
				k = slices.IndexFunc(x, func(c int) bool { return unit[c] == "mm" })
				l = slices.IndexFunc(y, func(c int) bool { return unit[c] == "mm" })
				if k < 0 || l < 0 {
					h.doubt = fmt.Sprintf("several columns are called %q", h.columns[x[0]])
					k, l = 0, 0
				}
			}
			h.at[fX], h.at[fY], h.unit[fX], h.unit[fY] = x[k], y[l], unit[x[k]], unit[y[l]]
			found = true
		}
		if found {
			what := fmt.Sprintf("%s and %s", h.columns[h.at[fX]], h.columns[h.at[fY]])
			switch fam.about {
			case "centre":
				h.note = what + " are taken, the parts' centres"
			case "place":
				h.note = what + " are taken"
			default:
				h.note = fmt.Sprintf("there are no coordinates of the parts' centres: %s are taken, each part's %s", what, fam.about)
				h.doubt = ""
			}
		}
	}
	if pairs < 2 && !strings.HasPrefix(h.note, "there are no") {
		h.note = ""
	}
	if pairs > 1 {
		h.note = fmt.Sprintf("of %d pairs of coordinates %s", pairs, h.note)
	}
}

// pointOnly tells that the coordinates are not those of the parts' centres.
func (h header) pointOnly() bool { return strings.Contains(h.note, "there are no") }

// givenColumns makes a header of the words that a recipe says.
func givenColumns(words []string) (header, error) {
	h := noHeader()
	for i, w := range words {
		f := fNone
		switch w {
		case "-":
			continue
		case "refdes":
			f = fRefdes
		case "value":
			f = fValue
		case "package":
			f = fPackage
		case "part_number":
			f = fPartNumber
		case "x":
			f = fX
		case "y":
			f = fY
		case "rotation":
			f = fRotation
		case "side":
			f = fSide
		case "mirrored":
			f = fMirrored
		case "unplaced":
			f = fUnplaced
		default:
			return h, fmt.Errorf("there is no column %q; the words are %s", w, strings.Join(ColumnWords, ", "))
		}
		if h.at[f] >= 0 {
			return h, fmt.Errorf("the column %q is there twice", w)
		}
		h.at[f] = i
	}
	if h.at[fRefdes] < 0 || h.at[fX] < 0 || h.at[fY] < 0 {
		return h, fmt.Errorf("refdes, x and y must be among the columns")
	}
	return h, nil
}

// CheckColumns tells what is wrong with words for Options.Columns, nil when nothing is.
func CheckColumns(words []string) error {
	if len(words) == 0 {
		return nil
	}
	_, err := givenColumns(words)
	return err
}
