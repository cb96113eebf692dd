package compare

import (
	"fmt"

	"panelwright/pipeline/geom"
)

// length is a decimal number of millimetres, exact to the nanometre.
type length geom.Length

func (v *length) UnmarshalJSON(text []byte) error {
	n, err := geom.ParseDecimal(string(text))
	*v = length(n)
	return err
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
