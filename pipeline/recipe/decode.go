package recipe

import (
	"fmt"
	"math/big"
	"reflect"
	"slices"
	"strconv"

	"github.com/hashicorp/hcl/v2"

	"panelwright/pipeline"
	"panelwright/pipeline/geom"
)

var (
	lengthType = reflect.TypeFor[geom.Length]()
	angleType  = reflect.TypeFor[geom.Angle]()
	pathType   = reflect.TypeFor[pipeline.InPath]()
	quantity   = reflect.TypeFor[pipeline.Quantity]()
	freeType   = reflect.TypeFor[pipeline.Free]()
)

// decoder turns a value into an option's field.
type decoder struct {
	src    *source
	ledger *ledger
	who    string // "stage array: option gap"
	option pipeline.Option
	at     hcl.Range
	files  bool // whether input files must be there
	looks  func(text, dir string)
	wrong  bool
}

func (d *decoder) say(v value, what, do string) {
	at := d.at
	// A value's own place is nearer, where it stands in this very expression.
	if v.at.Filename == at.Filename && v.at.Start.Byte >= at.Start.Byte && v.at.End.Byte <= at.End.Byte && v.at.End.Byte > 0 {
		at = v.at
	}
	d.wrong = true
	d.ledger.add(d.src.mistake(at, what, do))
}

func (d *decoder) bad(v value, what, do string) { d.say(v, d.who+" "+what, do) }

// decode fills field, of the option's type; it tells whether the value is known and whether it fits.
func (d *decoder) decode(v value, field reflect.Value) (known, ok bool) {
	t := field.Type()
	if t.Kind() == reflect.Pointer {
		inner := reflect.New(t.Elem())
		known, ok = d.one(v, inner.Elem())
		if known && ok {
			field.Set(inner)
		}
		return known, ok
	}
	if t.Kind() != reflect.Slice {
		return d.one(v, field)
	}
	if v.kind == anyKind || v.unknown && v.kind == listKind {
		return false, true
	}
	if v.kind == objectKind {
		d.bad(v, "must be a "+d.option.Type+", and this is "+v.describe(), "write it in [ ]")
		return true, false
	}
	items := v.items
	if v.kind != listKind {
		items = []value{v} // one member may be written without brackets
	}
	if n := d.option.Count; n != 0 && len(items) != n {
		d.bad(v, fmt.Sprintf("takes %s, and here %s", members(n), areMembers(len(items))), fmt.Sprintf("write %d in [ ], joined by commas", n))
		return true, false
	}
	out := reflect.MakeSlice(t, len(items), len(items))
	known, ok = true, true
	for i, x := range items {
		k, fits := d.one(x, out.Index(i))
		known, ok = known && k, ok && fits
	}
	if known && ok {
		field.Set(out)
	}
	return known, ok
}

func members(n int) string {
	if n == 1 {
		return "a list of 1 member"
	}
	return fmt.Sprintf("a list of %d members", n)
}

func areMembers(n int) string {
	if n == 1 {
		return "is 1"
	}
	return fmt.Sprintf("are %d", n)
}

func (d *decoder) one(v value, field reflect.Value) (known, ok bool) {
	d.wrong = false
	switch field.Type() {
	case lengthType:
		known = d.measured(v, field, length, lengthUnits, int64(geom.Limit))
	case angleType:
		known = d.measured(v, field, angle, angleUnits, int64(3600*geom.Degree))
	case pathType:
		known = d.path(v, field)
	case quantity:
		known = d.quantity(v, field)
	case freeType:
		known = d.free(v, field)
	default:
		switch field.Kind() {
		case reflect.String:
			known = d.text(v, field)
		case reflect.Bool:
			if known = d.kind(v, yesNoKind, "true or false", "write true or false"); known {
				field.SetBool(v.yes)
			}
		default:
			known = d.number(v, field)
		}
	}
	return known, !d.wrong
}

// kind notes a value of another kind; it tells whether the value is known and of the kind.
func (d *decoder) kind(v value, want kind, wanted, do string) bool {
	if v.kind != want && v.kind != anyKind {
		d.bad(v, fmt.Sprintf("must be %s, and this is %s", wanted, v.describe()), do)
		return false
	}
	return !v.unknown
}

func (d *decoder) measured(v value, field reflect.Value, m measure, units []unit, most int64) bool {
	do := `write a number of millimetres, or a text with its unit, such as "2 mm", "2000 um", "80 mil" or "0.08 in"`
	if m == angle {
		do = `write a number of degrees, or a text with its unit, such as "45 deg"`
	}
	r := v.num
	if v.kind == textKind && !v.unknown {
		n, found, isNumber := readMeasure(v.text, units)
		switch {
		case n == nil && isNumber && found != "":
			d.bad(v, fmt.Sprintf("has the wrong unit %q", found), unitsOf(m, units))
			return false
		case n == nil && isNumber:
			d.bad(v, "has a text without a unit", do)
			return false
		case n == nil:
			d.bad(v, fmt.Sprintf("must be %s, and this is %s", m, v.describe()), do)
			return false
		}
		r = n
	} else {
		if !d.kind(v, numberKind, m.String(), do) && (d.wrong || v.measure == plain) {
			return false
		}
		if v.measure != plain && v.measure != m {
			d.bad(v, fmt.Sprintf("must be %s, and this is %s", m, v.describe()), do)
			return false
		}
		if v.unknown {
			return false
		}
	}
	n, fits := millionths(r)
	if !fits || n > most || n < -most {
		d.bad(v, fmt.Sprintf("is %s %s, which is beyond %s", decimal(r), d.option.Unit, strconv.FormatInt(most/1_000_000, 10)+" "+d.option.Unit), do)
		return false
	}
	if !d.inRange(v, big.NewRat(n, 1_000_000)) {
		return false
	}
	field.SetInt(n)
	return true
}

// quantity takes a number, a length, an angle, or a text with any unit: what it is for decides later
// whether the unit fits.
func (d *decoder) quantity(v value, field reflect.Value) bool {
	const do = `write a number in the unit of what it is for, or a text with its unit, such as "0.25 mm"`
	if v.kind == textKind && !v.unknown {
		if r, _, _ := readMeasure(v.text, lengthUnits); r != nil { // exact, where the other reader rounds twice
			f, _ := r.Float64()
			field.Set(reflect.ValueOf(pipeline.Quantity{Value: f, Unit: "mm"}))
			return true
		}
		q, err := pipeline.ParseQuantity(v.text)
		if err != nil {
			d.bad(v, "must be a number with a unit, and this is "+v.describe(), do)
			return false
		}
		field.Set(reflect.ValueOf(q))
		return true
	}
	if !d.kind(v, numberKind, "a number with or without a unit", do) {
		return false
	}
	if v.measure == other {
		d.bad(v, "must be a number, a length or an angle, and this is "+v.describe(), do)
		return false
	}
	f, _ := v.num.Float64()
	field.Set(reflect.ValueOf(pipeline.Quantity{Value: f, Unit: map[measure]string{length: "mm", angle: "deg"}[v.measure]}))
	return true
}

// unitsOf names the units that a measure may have.
func unitsOf(m measure, units []unit) string {
	if m == angle {
		return "the unit of an angle is " + unitNames(units)
	}
	return "the units of a length are " + unitNames(units)
}

func (d *decoder) number(v value, field reflect.Value) bool {
	whole := field.Kind() == reflect.Int
	wanted, do := "a number", fmt.Sprintf("write it as %s = 0.5", d.option.Name)
	if whole {
		wanted, do = "a whole number", fmt.Sprintf("write it as %s = 4", d.option.Name)
	}
	if v.kind == numberKind && v.measure != plain || !d.kind(v, numberKind, wanted, do) {
		if v.kind == numberKind && v.measure != plain {
			d.bad(v, fmt.Sprintf("must be %s, and this is %s", wanted, v.describe()), do)
		}
		return false
	}
	if whole && !v.num.IsInt() {
		d.bad(v, "must be a whole number, and this is "+v.describe(), do)
		return false
	}
	if !d.inRange(v, v.num) {
		return false
	}
	if whole {
		field.SetInt(v.num.Num().Int64()) // below 10^12: fits
		return true
	}
	f, _ := v.num.Float64()
	field.SetFloat(f)
	return true
}

func (d *decoder) inRange(v value, r *big.Rat) bool {
	low, high := fraction(d.option.Low), fraction(d.option.High)
	if (low == nil || r.Cmp(low) >= 0) && (high == nil || r.Cmp(high) <= 0) {
		return true
	}
	unit := ""
	if d.option.Unit != "" {
		unit = " " + d.option.Unit
	}
	var must string
	switch {
	case low != nil && high != nil:
		must = fmt.Sprintf("must lie between %s and %s%s", decimal(low), decimal(high), unit)
	case low != nil:
		must = fmt.Sprintf("must be at least %s%s", decimal(low), unit)
	default:
		must = fmt.Sprintf("must be at most %s%s", decimal(high), unit)
	}
	d.bad(v, fmt.Sprintf("is %s%s; it %s", decimal(r), unit, must), "write a value within its range")
	return false
}

// fraction reads an end of a range as the decimal that the tag says.
func fraction(f *float64) *big.Rat {
	if f == nil {
		return nil
	}
	r, _ := new(big.Rat).SetString(strconv.FormatFloat(*f, 'f', -1, 64))
	return r
}

func (d *decoder) text(v value, field reflect.Value) bool {
	do := fmt.Sprintf(`write it in double quotes: %s = "…"`, d.option.Name)
	if d.option.Choices != nil {
		do = "choose among " + list(quoted(d.option.Choices))
	}
	if !d.kind(v, textKind, "a text", do) {
		return false
	}
	if d.option.Choices != nil && !slices.Contains(d.option.Choices, v.text) {
		d.bad(v, fmt.Sprintf("knows no %s%s", pipeline.Quote(short(v.text)), nearest(v.text, d.option.Choices)), do)
		return false
	}
	field.SetString(v.text)
	return true
}

func quoted(names []string) []string {
	out := make([]string, len(names))
	for i, n := range names {
		out[i] = pipeline.Quote(n)
	}
	return out
}

func (d *decoder) path(v value, field reflect.Value) bool {
	if !d.kind(v, textKind, "a path", `write it as "boards/gauge", relative to this file's folder`) {
		return false
	}
	if what, do := badPath(v.text); what != "" {
		d.bad(v, what, do)
		return false
	}
	if d.files {
		d.looks(v.text, d.src.dir)
	}
	if d.files && !exists(d.src.dir, v.text) {
		what := d.who + ": no such file or folder: " + short(v.text)
		if near := pipeline.NearestPath(d.src.dir, v.text); near != "" {
			what += "; nearest: " + near
		}
		d.say(v, what, "paths are relative to the folder of the file that says them")
		return false
	}
	field.Set(reflect.ValueOf(pipeline.InPath{Text: v.text, Dir: d.src.dir}))
	return true
}
