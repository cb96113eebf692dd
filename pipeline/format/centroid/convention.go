package centroid

import (
	"fmt"
	"strconv"
	"strings"

	"panelwright/pipeline/geom"
)

// Convention says how a panel's placement is written. The zero value but for Unit is how a panel is planned:
// places from the lower left corner of the panel's outline, everything seen from the top, rotations
// counter-clockwise.
//
// Where something is seen from each part's own side, the panel is thought of as turned over about an upright
// line, as a page is: left and right change places, up stays up. Nothing of this is a standard's: how rotations
// are counted is agreed between those who place parts (common practice, no published source).
type Convention struct {
	Unit            string // "mm" or "inch"
	Origin          Origin
	PlacesOwnSide   bool       // places of the bottom as seen from the bottom: x counts the other way
	RotationOwnSide bool       // rotations of parts on the bottom as seen from the bottom
	Clockwise       bool       // rotations count clockwise
	BottomZero      geom.Angle // what a part on the bottom reads that the board's own placement file has at zero
}

// Origin is the point from which places count.
type Origin struct {
	Mark string     // the fiducial that it is; empty: the lower left corner of the panel's outline
	At   geom.Point // the fiducial's place on the panel
}

// corner is the origin without a fiducial, in words.
const corner = "lower left corner of the panel outline"

// The words of what a convention states. A file says one of each.
var (
	placesWords    = "x right, y up, seen from the top, on both sides"
	placesOwnWords = "x right, y up, each side seen from that side; the origin of the bottom is "
	placesFrom     = [2]string{"the panel's corner that lies lower left as seen from the bottom", "the same fiducial"}
	rotationWords  = [2][2]string{
		{"degrees counter-clockwise, seen from the top, on both sides", "degrees clockwise, seen from the top, on both sides"},
		{"degrees counter-clockwise, each side seen from that side", "degrees clockwise, each side seen from that side"},
	}
	zeroWords = "zero as the board's own placement file has it"
)

// Statements words the convention, one line for each of unit, origin, places and rotation.
func (c Convention) Statements() []string {
	origin := corner
	if o := c.Origin; o.Mark != "" {
		origin = fmt.Sprintf("%s, which lies %s %s right of and %s %s above the %s, seen from the top",
			o.Mark, Decimal(o.At.X, c.Unit), c.Unit, Decimal(o.At.Y, c.Unit), c.Unit, corner)
	}
	places := placesWords
	if c.PlacesOwnSide {
		places = placesOwnWords + placesFrom[bit(c.Origin.Mark != "")]
	}
	zero := zeroWords
	if z := c.BottomZero.Normal(); z != 0 {
		zero += "; a part on the bottom that is at zero there reads " + z.Decimal()
	}
	return []string{
		"unit: " + c.Unit,
		"origin: " + origin,
		"places: " + places,
		"rotation: " + rotationWords[bit(c.RotationOwnSide)][bit(c.Clockwise)] + "; " + zero,
	}
}

// ReadConvention takes a convention out of the lines that state it, among others. Every one of the four must be
// there once, in the words of Statements.
func ReadConvention(lines []string) (Convention, error) {
	var c Convention
	said := map[string]string{}
	for _, l := range lines {
		key, text, ok := strings.Cut(strings.TrimSpace(strings.TrimPrefix(l, "#")), ": ")
		switch key {
		case "unit", "origin", "places", "rotation":
		default:
			continue
		}
		if !ok {
			continue
		}
		if was, twice := said[key]; twice && was != text {
			return c, fmt.Errorf("%s is stated twice, as %q and as %q", key, was, text)
		}
		said[key] = text
	}
	for _, key := range []string{"unit", "origin", "places", "rotation"} {
		text, ok := said[key]
		if !ok {
			return c, fmt.Errorf("nothing states the %s", key)
		}
		if !c.take(key, text) {
			return c, fmt.Errorf("%q is not known as the %s", text, key)
		}
	}
	return c, nil
}

// take understands one statement; the unit is taken first, and the origin before the places.
func (c *Convention) take(key, text string) bool {
	switch key {
	case "unit":
		c.Unit = text
		return text == "mm" || text == "inch"
	case "origin":
		return c.takeOrigin(text)
	case "places":
		c.PlacesOwnSide = text == placesOwnWords+placesFrom[bit(c.Origin.Mark != "")]
		return c.PlacesOwnSide || text == placesWords
	}
	way, zero, ok := strings.Cut(text, "; ")
	if !ok {
		return false
	}
	rest, ok := strings.CutPrefix(zero, zeroWords)
	if !ok {
		return false
	}
	if rest != "" {
		_, angle, ok := strings.Cut(rest, " reads ")
		a, err := geom.ParseAngle(angle)
		if !ok || err != nil {
			return false
		}
		c.BottomZero = a
	}
	for side, both := range rotationWords {
		for turn, words := range both {
			if way == words {
				c.RotationOwnSide, c.Clockwise = side == 1, turn == 1
				return true
			}
		}
	}
	return false
}

func (c *Convention) takeOrigin(text string) bool {
	if text == corner {
		return true
	}
	mark, rest, ok := strings.Cut(text, ", which lies ")
	if !ok {
		return false
	}
	x, rest, ok := strings.Cut(rest, " "+c.Unit+" right of and ")
	if !ok {
		return false
	}
	y, rest, ok := strings.Cut(rest, " "+c.Unit+" above the ")
	if !ok || rest != corner+", seen from the top" {
		return false
	}
	c.Origin.Mark = mark
	var fits [2]bool
	c.Origin.At.X, fits[0] = ParseDecimal(x, c.Unit)
	c.Origin.At.Y, fits[1] = ParseDecimal(y, c.Unit)
	return fits[0] && fits[1]
}

func bit(b bool) int {
	if b {
		return 1
	}
	return 0
}

// inchDigits are the digits after the point of lengths in inches: one more than tell nanometres apart, so that
// every length is read back as it was.
const inchDigits = 8

// Decimal writes a length in mm, exactly, or in inches with so many digits that it is read back exactly.
func Decimal(l geom.Length, unit string) string {
	if unit != "inch" {
		return l.Decimal()
	}
	n := geom.MulDiv(int64(l), 500, 127) // 1e8 of an inch: 1e8 / 25.4e6
	sign := ""
	if n < 0 {
		sign, n = "-", -n
	}
	text := strconv.FormatInt(n, 10)
	if len(text) <= inchDigits {
		text = strings.Repeat("0", inchDigits+1-len(text)) + text
	}
	point := len(text) - inchDigits
	whole, part := text[:point], strings.TrimRight(text[point:], "0")
	if part == "" {
		if whole == "0" {
			return whole
		}
		return sign + whole
	}
	return sign + whole + "." + part
}

// ParseDecimal reads what Decimal writes; ok is false for anything else but a plain number of the unit, and for
// lengths beyond geom.Limit.
func ParseDecimal(s, unit string) (l geom.Length, ok bool) {
	if s == "" || strings.Trim(s, "-.0123456789") != "" || unit != "mm" && unit != "inch" {
		return 0, false
	}
	l, _, ok = parseLength(s, unit, marks{})
	return l, ok && l.Abs() <= 2*geom.Limit
}
