package dxf

import (
	"fmt"
	"strconv"

	"panelwright/pipeline/geom"

	"panelwright/pipeline/format"
)

// header is what the header section says of units.
type header struct {
	unit        int // $INSUNITS
	unitAt      int32
	unitSaid    bool
	measure     int // $MEASUREMENT: 0 for inches, 1 for millimetres
	measureSaid bool
	measureAt   int32
}

const doUnit = "say the unit that it is drawn in: mm, inch, mil, um, cm or m"

// readHeader reads the header's variables: each is a name (9) with one value or more.
func (r *reader) readHeader() error {
	name := ""
	for {
		p, ok, err := r.next()
		if err != nil {
			return err
		}
		if !ok {
			return r.fault(p.at, doAgain, "the drawing ends within its header")
		}
		if p.code == 9 {
			name = r.value(p)
			continue
		}
		if p.code == 0 {
			if r.value(p) == "ENDSEC" {
				return nil
			}
			return r.fault(p.at, doAgain, "the header has something that is no variable")
		}
		switch name {
		case "$ACADVER":
			r.rep.Version = short(r.word(p))
		case "$INSUNITS":
			if r.header.unit, err = r.whole(p); err != nil {
				return err
			}
			r.header.unitAt, r.header.unitSaid = p.from, true
		case "$MEASUREMENT":
			if r.header.measure, err = r.whole(p); err != nil {
				return err
			}
			r.header.measureAt, r.header.measureSaid = p.from, true
		}
		name = ""
	}
}

// settleUnit finds the unit of the file's numbers.
func (r *reader) settleUnit() error {
	h := r.header
	if h.measureSaid {
		r.rep.Measure = map[int]string{0: "inch", 1: "mm"}[h.measure]
	}
	said := Unit(h.unit)
	if h.unitSaid && said != Unitless {
		if r.opt.UnitWins && r.opt.Unit != Unitless {
			if said != r.opt.Unit {
				r.note(h.unitAt, fmt.Sprintf("the header says that it is drawn in %s; it is read in %s, as was asked for", unitWord(said), r.opt.Unit))
			}
			r.rep.Unit = r.opt.Unit
		} else {
			if said.nm() == 0 {
				return r.fault(h.unitAt, "set the drawing's unit and export it again, or say which unit its numbers are in", "the drawing says that it is in %s ($INSUNITS), which is no unit for boards", unitWord(said))
			}
			r.rep.Unit, r.rep.UnitSaid = said, true
		}
	} else {
		if r.opt.Unit == Unitless {
			at, hint := int32(0), ""
			if h.unitSaid {
				at = h.unitAt
			}
			if r.rep.Measure != "" {
				hint = fmt.Sprintf("; its $MEASUREMENT hints at %s, which is not enough to go by", r.rep.Measure)
			}
			f := r.fault(at, "set the drawing's unit and export it again", "the drawing does not say the unit of its numbers ($INSUNITS)%s%s", r.span(), hint)
			f.Lacks = format.LacksUnit
			return f
		}
		r.rep.Unit = r.opt.Unit
	}
	// The hint is weak: many programs leave it as it is in their template. It is told where it disagrees.
	metric := map[Unit]string{Inch: "inch", Mil: "inch", 2: "inch", 8: "inch", 10: "inch", MM: "mm", CM: "mm", Metre: "mm", Micron: "mm", 11: "mm", 12: "mm", 14: "mm"}
	if is := metric[r.rep.Unit]; r.rep.Measure != "" && is != "" && is != r.rep.Measure {
		r.note(h.measureAt, fmt.Sprintf("it is read in %s, but its $MEASUREMENT hints at %s: compare the size", r.rep.Unit, r.rep.Measure))
	}
	r.scale = r.rep.Unit.nm()
	return nil
}

// span says how large the drawing is in its own numbers, which tells a person the unit; nothing where that
// cannot be found out.
func (r *reader) span() string {
	opt := r.opt
	opt.Unit, opt.UnitWins, opt.SetAside = Micron, true, true
	d, _, err := Read(r.name, r.data, opt)
	if err != nil || d.Box().Empty() {
		return ""
	}
	b := d.Box()
	um := func(l geom.Length) float64 { return float64(l) / float64(geom.UM) }
	return fmt.Sprintf("; what it draws is %.5g by %.5g units large", um(b.Width()), um(b.Height()))
}

func unitWord(u Unit) string {
	if !u.known() {
		return "unit " + strconv.Itoa(int(u))
	}
	return u.String()
}
