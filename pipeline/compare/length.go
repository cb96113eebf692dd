package compare

import (
	"fmt"
	"strings"

	"panelwright/pipeline/geom"
)

// length is a decimal number of millimetres, exact to the nanometre.
type length geom.Length

func (v *length) UnmarshalJSON(text []byte) error {
	n, err := decimal(string(text))
	*v = length(n)
	return err
}

// decimal reads a plain decimal number as millionths, within what the model carries.
func decimal(text string) (int64, error) {
	digits, negative := strings.CutPrefix(text, "-")
	whole, part, _ := strings.Cut(digits, ".")
	if whole == "" || len(whole) > 9 || len(part) > 6 {
		return 0, fmt.Errorf("%.40s is not a decimal number with at most six digits after the point", text)
	}
	var n int64
	for _, c := range []byte(whole + part + "000000"[len(part):]) {
		if c < '0' || c > '9' {
			return 0, fmt.Errorf("%.40s is not a plain decimal number", text)
		}
		n = n*10 + int64(c-'0')
	}
	if n > int64(geom.Limit) {
		return 0, fmt.Errorf("%.40s is beyond what a panel can hold", text)
	}
	if negative {
		n = -n
	}
	return n, nil
}

// place is a point as panel.json has it.
type place geom.Point

func (v *place) UnmarshalJSON(text []byte) error {
	var all []length
	if err := unmarshal(text, &all); err != nil {
		return err
	}
	if len(all) != 2 {
		return fmt.Errorf("a point is two numbers, x and y, and %.60s is not", text)
	}
	*v = place(geom.Pt(geom.Length(all[0]), geom.Length(all[1])))
	return nil
}

// box is two corners as panel.json has them.
type box geom.Box

func (v *box) UnmarshalJSON(text []byte) error {
	var all []place
	if err := unmarshal(text, &all); err != nil {
		return err
	}
	if len(all) != 2 {
		return fmt.Errorf("a box is two points, and %.60s is not", text)
	}
	*v = box{Min: geom.Point(all[0]), Max: geom.Point(all[1])}
	return nil
}

func (v length) nm() geom.Length { return geom.Length(v) }

func (v place) point() geom.Point { return geom.Point(v) }
