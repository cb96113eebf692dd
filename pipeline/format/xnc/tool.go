package xnc

import (
	"panelwright/pipeline/geom"
	"panelwright/pipeline/panel/artwork"
)

// thickest is more than any drill or cutter; what exceeds it was read wrongly.
const thickest = 100 * geom.MM

// tool obeys T and what belongs to it: a definition in the header, a choice in the body, or both.
func (r *reader) tool(ws []word) (int, error) {
	w := ws[0]
	if w.num.point || w.num.neg {
		return 0, r.fault(w.off, doExport, "a tool number is a whole number")
	}
	number, n := w.num.int(), 1
	var diameter *word
	for n < len(ws) {
		switch p := &ws[n]; p.letter {
		case 'C':
			diameter = p
		case 'F', 'S', 'B', 'H', 'Z': // feed, speed, retract, hits, depth offset: the fabricator's matter
		default:
			goto done
		}
		if !ws[n].num.ok {
			return 0, r.fault(ws[n].off, "the line may have been cut off; "+doExport, "%c needs a number of 1 to %d digits behind it", ws[n].letter, maxDigits)
		}
		n++
	}
done:
	if diameter != nil {
		if err := r.define(number, w, *diameter); err != nil {
			return 0, err
		}
	}
	if r.inHeader {
		return n, nil
	}
	if r.down && r.look.lowers {
		r.rep.warn("tool %d is chosen without the cutter having been raised; it is taken as raised", number)
	}
	if err := r.raise(); err != nil {
		return 0, err
	}
	r.lastHole = false
	if number == 0 {
		r.current = -1
		return n, nil
	}
	i, ok := r.tools[number]
	if !ok && w.num.digits >= 4 { // T0102: tool 1, compensation 2
		i, ok = r.tools[number/100]
	}
	if !ok {
		var t artwork.Tool
		if t, ok = r.listedDefinition(number); ok {
			i = int32(len(r.out.Tools))
			if int(i) >= r.opt.maxTools() {
				return 0, r.tooManyTools(w.off)
			}
			r.tools[number] = i
			r.out.Tools = append(r.out.Tools, t)
		}
	}
	if !ok {
		if r.look.listed[number].twice {
			return 0, r.fault(w.off, "add a line such as T"+itoa(number)+"C0.5 to the header, or export the file with its tool table",
				"the comments list tool %d with two diameters", number)
		}
		return 0, r.fault(w.off, "add a line such as T"+itoa(number)+"C0.5 to the header, or export the file with its tool table",
			"tool %d has no diameter", number)
	}
	r.current = i
	return n, nil
}

func (r *reader) define(number int, w, c word) error {
	if number == 0 {
		return r.fault(w.off, "tool 0 means an empty spindle; "+doExport, "tool 0 cannot have a diameter")
	}
	if r.layout.unit == "" {
		return r.fault(c.off, "say the unit in the recipe", "the file does not say its unit")
	}
	decimals := int(c.num.decimals)
	if !c.num.point && c.num.leading0 { // 0394 is no number that a person writes: the point is implied
		decimals = int(c.num.digits) - 1
		r.rep.warn("the diameter of tool %d has no decimal point; it is taken behind the first digit", number)
	}
	d, ok := c.num.scaled(r.layout.unit.Length(), decimals)
	if !ok || d < 0 || d > thickest {
		return r.fault(c.off, "check the unit; diameters go up to "+thickest.String(), "this is no diameter of a tool")
	}
	t := artwork.Tool{Number: number, Diameter: d, Set: r.aperSet, Plating: r.typed}
	if p := platingOf(r.aper.Get(".AperFunction")); p != artwork.PlatingUnknown {
		t.Plating = p
	}
	if i, ok := r.tools[number]; ok {
		old := r.out.Tools[i]
		if old == t {
			return nil
		}
		if r.inHeader {
			return r.fault(w.off, doExport, "tool %d is defined twice", number)
		}
		r.rep.warn("tool %d changes within the file", number)
	}
	if len(r.out.Tools) >= r.opt.maxTools() {
		return r.tooManyTools(w.off)
	}
	r.tools[number] = int32(len(r.out.Tools))
	r.out.Tools = append(r.out.Tools, t)
	return nil
}

func (r *reader) tooManyTools(off int) error {
	return r.fault(off, doExport, "the file has more than %d tools", r.opt.maxTools())
}
