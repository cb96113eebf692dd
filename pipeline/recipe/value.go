package recipe

import (
	"math/big"
	"slices"
	"strconv"
	"strings"

	"github.com/hashicorp/hcl/v2"
	"github.com/zclconf/go-cty/cty"

	"panelwright/pipeline"
)

// kind is what a value in an expression is.
type kind int

const (
	anyKind kind = iota // only where not even the type is known yet
	numberKind
	textKind
	yesNoKind
	listKind
	objectKind
)

func (k kind) String() string {
	return [...]string{"a value", "a number", "a text", "true or false", "a list", "an object"}[k]
}

// measure is what a number measures. A plain number goes with either: it is one of millimetres
// where a length is wanted, of degrees where an angle is.
type measure int

const (
	plain measure = iota
	length
	angle
	other // an area, a length by an angle …: no option takes one
)

func (m measure) String() string {
	return [...]string{"a plain number", "a length", "an angle", "neither a length nor an angle"}[m]
}

// value is a value in an expression. Numbers are exact fractions; every value carries its size, so
// that lists of lists of lists cannot outgrow memory unseen.
type value struct {
	kind    kind
	unknown bool // its kind may be known all the same
	num     *big.Rat
	measure measure
	text    string
	yes     bool
	items   []value          // of a list
	fields  map[string]value // of an object
	size    int
	at      hcl.Range // where it is written
}

func numberValue(r *big.Rat, m measure) value {
	return value{kind: numberKind, num: r, measure: m, size: 1}
}
func textValue(s string) value { return value{kind: textKind, text: s, size: 1 + len(s)/16} }
func yesNoValue(b bool) value  { return value{kind: yesNoKind, yes: b, size: 1} }
func unknownValue(k kind) value {
	return value{kind: k, unknown: true, size: 1}
}

func listValue(items []value) value {
	v := value{kind: listKind, items: items, size: 1}
	for _, x := range items {
		v.size += x.size
	}
	return v
}

func objectValue(fields map[string]value) value {
	v := value{kind: objectKind, fields: fields, size: 1}
	for _, x := range fields {
		v.size += x.size
	}
	return v
}

// names lists an object's fields.
func (v value) names() []string {
	var n []string
	for k := range v.fields {
		n = append(n, k)
	}
	slices.Sort(n)
	return n
}

// mostSize and mostMagnitude bound what an expression may come to; precision is what numbers that
// have outgrown any use are rounded to.
const (
	mostSize   = 100_000
	mostBits   = 400
	mostDigit  = 12 // numbers stay below 10^12
	precisions = 30 // decimals
)

var magnitude = new(big.Rat).SetInt(new(big.Int).Exp(big.NewInt(10), big.NewInt(mostDigit), nil))

// tame keeps a number's fraction from growing without end.
func tame(r *big.Rat) *big.Rat {
	if r.Num().BitLen() <= mostBits && r.Denom().BitLen() <= mostBits {
		return r
	}
	out, _ := new(big.Rat).SetString(r.FloatString(precisions))
	return out
}

func tooLarge(r *big.Rat) bool { return new(big.Rat).Abs(r).Cmp(magnitude) > 0 }

// decimal writes a number without trailing zeros, to nine decimals at most.
func decimal(r *big.Rat) string {
	if r.IsInt() {
		return r.Num().String()
	}
	s := strings.TrimRight(strings.TrimRight(r.FloatString(9), "0"), ".")
	if s == "-0" {
		return "0"
	}
	return s
}

// fromBig takes a number that a library has read. ok is false for one beyond any use.
func fromBig(f *big.Float) (r *big.Rat, ok bool) {
	if f.Sign() == 0 {
		return new(big.Rat), true
	}
	// The exponent is looked at first: writing out 1e999999999 would take a gigabyte.
	if e := f.MantExp(nil); f.IsInf() || e > 64 || e < -200 {
		return nil, false
	}
	return new(big.Rat).SetString(f.Text('f', 60))
}

// fromCty takes a value that a stage has settled, or told the type of.
func fromCty(v cty.Value) value {
	v, _ = v.UnmarkDeep()
	t := v.Type()
	switch {
	case t.IsObjectType():
		f := map[string]value{}
		for name, at := range t.AttributeTypes() {
			if !v.IsKnown() || v.IsNull() {
				f[name] = fromCty(cty.UnknownVal(at))
			} else {
				f[name] = fromCty(v.GetAttr(name))
			}
		}
		return objectValue(f)
	case t == cty.DynamicPseudoType:
		return unknownValue(anyKind)
	case t == cty.Number:
		if v.IsKnown() && !v.IsNull() {
			if r, ok := fromBig(v.AsBigFloat()); ok && !tooLarge(r) {
				return numberValue(r, plain)
			}
		}
		return unknownValue(numberKind)
	case t == cty.String:
		if v.IsKnown() && !v.IsNull() {
			return textValue(v.AsString())
		}
		return unknownValue(textKind)
	case t == cty.Bool:
		if v.IsKnown() && !v.IsNull() {
			return yesNoValue(v.True())
		}
		return unknownValue(yesNoKind)
	case t.IsListType() || t.IsTupleType() || t.IsSetType():
		if !v.IsKnown() || v.IsNull() {
			return unknownValue(listKind)
		}
		var items []value
		for _, x := range v.AsValueSlice() {
			items = append(items, fromCty(x))
		}
		return listValue(items)
	case t.IsMapType():
		if !v.IsKnown() || v.IsNull() {
			return unknownValue(objectKind)
		}
		f := map[string]value{}
		for name, x := range v.AsValueMap() {
			f[name] = fromCty(x)
		}
		return objectValue(f)
	}
	return unknownValue(anyKind)
}

// describe says what a value is, for a message.
func (v value) describe() string {
	if v.unknown {
		return v.kind.String()
	}
	switch v.kind {
	case numberKind:
		switch v.measure {
		case length:
			return "the length " + decimal(v.num) + " mm"
		case angle:
			return "the angle " + decimal(v.num) + " deg"
		case other:
			return "a number that is neither a length nor an angle"
		}
		return "the number " + decimal(v.num)
	case textKind:
		return "the text " + pipeline.Quote(short(v.text))
	case yesNoKind:
		return strconv.FormatBool(v.yes)
	case listKind:
		return "a list of " + strconv.Itoa(len(v.items))
	}
	return v.kind.String()
}

// write gives the value as a recipe would write it.
func (v value) write() string {
	switch {
	case v.unknown:
		return "?"
	case v.kind == numberKind && v.measure == length:
		return `"` + decimal(v.num) + ` mm"`
	case v.kind == numberKind && v.measure == angle:
		return `"` + decimal(v.num) + ` deg"`
	case v.kind == numberKind:
		return decimal(v.num)
	case v.kind == textKind:
		return pipeline.Quote(v.text)
	case v.kind == yesNoKind:
		return strconv.FormatBool(v.yes)
	case v.kind == listKind:
		parts := make([]string, len(v.items))
		for i, x := range v.items {
			parts[i] = x.write()
		}
		return "[" + strings.Join(parts, ", ") + "]"
	}
	parts := []string{}
	for _, n := range v.names() {
		parts = append(parts, n+" = "+v.fields[n].write())
	}
	return "{ " + strings.Join(parts, ", ") + " }"
}
