package recipe

import (
	"fmt"
	"math/big"
	"slices"
	"strings"

	"github.com/hashicorp/hcl/v2"
	"github.com/hashicorp/hcl/v2/hclsyntax"
	"github.com/zclconf/go-cty/cty"
)

// scope is where the names in expressions come from.
type scope interface {
	// look resolves the names at the start of a path; it gives the value and how many steps of the
	// path it took, or a mistake's words.
	look(e *evaluator, path []string) (v value, took int, bad *trouble)
}

// trouble is what is wrong with a name, and what to do. A quiet one follows from another mistake
// that is reported already.
type trouble struct {
	what, do string
	quiet    bool
}

// evaluator works out expressions: every step counted, every number exact, every mistake in our own
// words at its own place. The expression library's evaluator would convert between texts and numbers
// unasked, and has no bound on its work.
type evaluator struct {
	src    *source
	scope  scope
	ledger *ledger
	budget *int
	fixed  *hcl.Range // inside a text of a JSON file: the text's own place
	local  map[string]value
	calls  map[int]bool // the stages whose values were read
	given  bool         // a value given from outside was read
}

// mostSteps bounds the work on the expressions of one recipe.
const mostSteps = 2_000_000

func (e *evaluator) bad(r hcl.Range, what, do string) (value, bool) {
	if e.fixed != nil {
		r = *e.fixed
	}
	e.ledger.add(e.src.mistake(r, what, do))
	return value{}, false
}

// eval works out an expression of either syntax; ok is false when its mistake has been noted.
func (e *evaluator) eval(x hcl.Expression) (v value, ok bool) {
	if native, is := x.(hclsyntax.Expression); is {
		v, ok = e.value(native)
	} else {
		v, ok = e.json(x)
	}
	if ok && v.at == (hcl.Range{}) {
		v.at = x.Range()
	}
	return v, ok
}

func (e *evaluator) json(x hcl.Expression) (value, bool) {
	if items, diags := hcl.ExprList(x); !diags.HasErrors() {
		var out []value
		good := true
		for _, i := range items {
			v, ok := e.eval(i)
			good = good && ok
			out = append(out, v)
		}
		return listValue(out), good
	}
	if pairs, diags := hcl.ExprMap(x); !diags.HasErrors() {
		fields := map[string]value{}
		good := true
		for _, p := range pairs {
			key, _ := p.Key.Value(nil)
			if key.Type() != cty.String || key.IsNull() {
				continue
			}
			v, ok := e.eval(p.Value)
			good = good && ok
			if _, twice := fields[key.AsString()]; twice {
				_, good = e.bad(p.Key.Range(), key.AsString()+" is set twice in this object", "keep one of them")
			}
			fields[key.AsString()] = v
		}
		return objectValue(fields), good
	}
	raw, _ := x.Value(nil)
	if raw.Type() == cty.String && raw.IsKnown() && !raw.IsNull() {
		text := raw.AsString()
		if !strings.Contains(text, "${") && !strings.Contains(text, "%{") {
			return textValue(text), true
		}
		at := x.Range()
		tokens, _ := hclsyntax.LexTemplate([]byte(text), e.src.name, hcl.InitialPos)
		if !e.src.boundedTokens(tokens, &at, e.ledger) {
			return value{}, false
		}
		expr, diags := hclsyntax.ParseTemplate([]byte(text), e.src.name, hcl.InitialPos)
		if diags.HasErrors() {
			for _, d := range diags {
				m, _ := e.src.reword(&hcl.Diagnostic{Summary: d.Summary, Subject: &at})
				e.ledger.add(m)
			}
			return value{}, false
		}
		inner := *e
		inner.fixed = &at
		v, ok := inner.value(expr)
		v.at = at
		e.given = inner.given
		return v, ok
	}
	return e.literal(raw, x.Range())
}

func (e *evaluator) literal(raw cty.Value, at hcl.Range) (value, bool) {
	switch {
	case raw.IsNull() || !raw.IsKnown():
		return e.bad(at, "null is no value", "leave the option out, or write its value")
	case raw.Type() == cty.String:
		return textValue(raw.AsString()), true
	case raw.Type() == cty.Bool:
		return yesNoValue(raw.True()), true
	case raw.Type() == cty.Number:
		r, ok := fromBig(raw.AsBigFloat())
		if !ok || tooLarge(r) {
			return e.bad(at, "this number is beyond any use", "numbers lie below 1000000000000")
		}
		return numberValue(r, plain), true
	}
	return e.bad(at, "this value cannot be used here", "write a number, a text, true, false or a list")
}

// value works out one node of an expression.
func (e *evaluator) value(x hclsyntax.Expression) (value, bool) {
	v, ok := e.node(x)
	if !ok {
		return v, false
	}
	if *e.budget -= 1 + v.size/64; *e.budget < 0 {
		return e.bad(x.Range(), "the expressions of this recipe take too many steps", "write them more simply")
	}
	if v.size > mostSize {
		return e.bad(x.Range(), "this value has grown too large", "write it more simply")
	}
	v.at = x.Range()
	if e.fixed != nil {
		v.at = *e.fixed
	}
	return v, true
}

func (e *evaluator) node(x hclsyntax.Expression) (value, bool) {
	switch x := x.(type) {
	case *hclsyntax.LiteralValueExpr:
		return e.literal(x.Val, x.SrcRange)
	case *hclsyntax.ParenthesesExpr:
		return e.value(x.Expression)
	case *hclsyntax.TemplateWrapExpr:
		return e.value(x.Wrapped)
	case *hclsyntax.TemplateExpr:
		return e.template(x)
	case *hclsyntax.ScopeTraversalExpr:
		return e.traverse(x.Traversal)
	case *hclsyntax.RelativeTraversalExpr:
		v, ok := e.value(x.Source)
		if !ok {
			return v, false
		}
		return e.steps(v, x.Traversal, x.SrcRange)
	case *hclsyntax.IndexExpr:
		return e.index(x)
	case *hclsyntax.FunctionCallExpr:
		return e.call(x)
	case *hclsyntax.ConditionalExpr:
		return e.choice(x)
	case *hclsyntax.BinaryOpExpr:
		return e.binary(x)
	case *hclsyntax.UnaryOpExpr:
		return e.unary(x)
	case *hclsyntax.TupleConsExpr:
		var items []value
		good := true
		for _, i := range x.Exprs {
			v, ok := e.value(i)
			good = good && ok
			items = append(items, v)
		}
		return listValue(items), good
	case *hclsyntax.ObjectConsExpr:
		return e.object(x)
	case *hclsyntax.ForExpr:
		return e.loop(x)
	}
	return e.bad(x.Range(), "this form of expression is not part of a recipe", "use values, names, operators and functions; [for x in list : …] for a list")
}

func (e *evaluator) template(x *hclsyntax.TemplateExpr) (value, bool) {
	var b strings.Builder
	unknown, good := false, true
	for _, p := range x.Parts {
		v, ok := e.value(p)
		switch {
		case !ok:
			good = false
		case v.kind == listKind || v.kind == objectKind:
			_, good = e.bad(p.Range(), v.describe()+" cannot stand inside a text", "write one of its members")
		case v.unknown:
			unknown = true
		case v.kind == numberKind:
			b.WriteString(decimal(v.num))
		case v.kind == yesNoKind:
			b.WriteString(v.write())
		default:
			b.WriteString(v.text)
		}
		if b.Len() > mostSize {
			return e.bad(x.SrcRange, "this text has grown too long", "write it shorter")
		}
	}
	if unknown {
		return unknownValue(textKind), good
	}
	return textValue(b.String()), good
}

// traverse resolves given.columns, let.gap, boards.gauge.width.
func (e *evaluator) traverse(t hcl.Traversal) (value, bool) {
	if v, ok := e.local[t.RootName()]; ok {
		return e.steps(v, t[1:], t.SourceRange())
	}
	var path []string
	for _, s := range t {
		switch s := s.(type) {
		case hcl.TraverseRoot:
			path = append(path, s.Name)
			continue
		case hcl.TraverseAttr:
			path = append(path, s.Name)
			continue
		case hcl.TraverseIndex:
			if s.Key.Type() == cty.String {
				path = append(path, s.Key.AsString())
				continue
			}
		}
		break
	}
	v, took, bad := e.scope.look(e, path)
	if bad != nil {
		if bad.quiet {
			return value{}, false
		}
		return e.bad(t[:max(1, min(took, len(t)))].SourceRange(), bad.what, bad.do)
	}
	return e.steps(v, t[took:], t.SourceRange())
}

// steps follows .name and [0] within a value.
func (e *evaluator) steps(v value, t hcl.Traversal, whole hcl.Range) (value, bool) {
	for _, s := range t {
		var key value
		switch s := s.(type) {
		case hcl.TraverseAttr:
			key = textValue(s.Name)
		case hcl.TraverseIndex:
			var ok bool
			if key, ok = e.literal(s.Key, s.SrcRange); !ok {
				return value{}, false
			}
		default:
			return e.bad(whole, "[*] is not part of a recipe", "write [for x in list : x.name]")
		}
		var ok bool
		if v, ok = e.step(v, key, s.SourceRange()); !ok {
			return v, false
		}
	}
	return v, true
}

func (e *evaluator) step(v, key value, at hcl.Range) (value, bool) {
	switch {
	case v.unknown && (v.kind == anyKind || v.kind == listKind || v.kind == objectKind):
		return unknownValue(anyKind), true
	case key.unknown:
		return unknownValue(anyKind), true
	case v.kind == objectKind && key.kind == textKind:
		x, ok := v.fields[key.text]
		if !ok {
			return e.bad(at, fmt.Sprintf("there is no value %q here%s", short(key.text), nearest(key.text, v.names())),
				"what there is: "+orNothing(v.names()))
		}
		return x, true
	case v.kind == listKind && key.kind == numberKind:
		if key.num.Sign() < 0 || !key.num.IsInt() || key.num.Cmp(big.NewRat(int64(len(v.items)), 1)) >= 0 {
			return e.bad(at, fmt.Sprintf("the list has no member %s", decimal(key.num)),
				fmt.Sprintf("it has %d, counted from 0", len(v.items)))
		}
		return v.items[key.num.Num().Int64()], true
	}
	return e.bad(at, v.describe()+" has no parts", "write it without what follows")
}

func orNothing(names []string) string {
	if len(names) == 0 {
		return "nothing"
	}
	return list(names)
}

func (e *evaluator) index(x *hclsyntax.IndexExpr) (value, bool) {
	v, ok := e.value(x.Collection)
	key, ok2 := e.value(x.Key)
	if !ok || !ok2 {
		return value{}, false
	}
	return e.step(v, key, x.BracketRange)
}

func (e *evaluator) object(x *hclsyntax.ObjectConsExpr) (value, bool) {
	fields := map[string]value{}
	good := true
	for _, i := range x.Items {
		name := hcl.ExprAsKeyword(i.KeyExpr)
		if key, is := i.KeyExpr.(*hclsyntax.ObjectConsKeyExpr); is && name == "" {
			k, ok := e.value(key.Wrapped)
			if !ok || k.unknown || k.kind != textKind {
				if ok {
					e.bad(i.KeyExpr.Range(), "the name of a value must be a text", "write name = value")
				}
				good = false
				continue
			}
			name = k.text
		}
		v, ok := e.value(i.ValueExpr)
		good = good && ok
		if _, twice := fields[name]; twice {
			_, good = e.bad(i.KeyExpr.Range(), name+" is set twice in this object", "keep one of them")
		}
		fields[name] = v
	}
	return objectValue(fields), good
}

func (e *evaluator) loop(x *hclsyntax.ForExpr) (value, bool) {
	if x.KeyExpr != nil || x.Group {
		return e.bad(x.SrcRange, "a loop that makes an object is not part of a recipe", "write [for x in list : …]")
	}
	coll, ok := e.value(x.CollExpr)
	if !ok {
		return value{}, false
	}
	if coll.kind != listKind && coll.kind != anyKind {
		return e.bad(x.CollExpr.Range(), "a loop needs a list, and this is "+coll.describe(), "write [for x in [1, 2, 3] : …]")
	}
	if coll.unknown {
		return unknownValue(listKind), true
	}
	outer := e.local
	defer func() { e.local = outer }()
	var items []value
	size := 0
	for i, item := range coll.items {
		e.local = map[string]value{}
		for k, v := range outer {
			e.local[k] = v
		}
		e.local[x.ValVar] = item
		if x.KeyVar != "" {
			e.local[x.KeyVar] = numberValue(big.NewRat(int64(i), 1), plain)
		}
		if x.CondExpr != nil {
			c, ok := e.value(x.CondExpr)
			if !ok {
				return value{}, false
			}
			if c.unknown {
				return unknownValue(listKind), true
			}
			if c.kind != yesNoKind {
				return e.bad(x.CondExpr.Range(), "a condition is true or false, and this is "+c.describe(), "compare with == != < > <= or >=")
			}
			if !c.yes {
				continue
			}
		}
		v, ok := e.value(x.ValExpr)
		if !ok {
			return value{}, false
		}
		if size += v.size; size > mostSize {
			return e.bad(x.SrcRange, "this value has grown too large", "write it more simply")
		}
		items = append(items, v)
	}
	return listValue(items), true
}

func (e *evaluator) choice(x *hclsyntax.ConditionalExpr) (value, bool) {
	c, ok := e.value(x.Condition)
	yes, ok1 := e.value(x.TrueResult)
	no, ok2 := e.value(x.FalseResult)
	if !ok || !ok1 || !ok2 {
		return value{}, false
	}
	if c.kind != yesNoKind && c.kind != anyKind {
		return e.bad(x.Condition.Range(), "a condition is true or false, and this is "+c.describe(), "compare with == != < > <= or >=")
	}
	if yes.kind != no.kind && yes.kind != anyKind && no.kind != anyKind {
		return e.bad(x.SrcRange, fmt.Sprintf("a choice is between values of one kind, and these are %s and %s", yes.describe(), no.describe()),
			"write both as numbers, or both as texts")
	}
	switch {
	case c.unknown:
		k := yes.kind
		if k == anyKind {
			k = no.kind
		}
		return unknownValue(k), true
	case c.yes:
		return yes, true
	}
	return no, true
}

var operators = map[*hclsyntax.Operation]string{
	hclsyntax.OpLogicalOr: "||", hclsyntax.OpLogicalAnd: "&&", hclsyntax.OpEqual: "==", hclsyntax.OpNotEqual: "!=",
	hclsyntax.OpGreaterThan: ">", hclsyntax.OpGreaterThanOrEqual: ">=", hclsyntax.OpLessThan: "<", hclsyntax.OpLessThanOrEqual: "<=",
	hclsyntax.OpAdd: "+", hclsyntax.OpSubtract: "-", hclsyntax.OpMultiply: "*", hclsyntax.OpDivide: "/", hclsyntax.OpModulo: "%",
}

func (e *evaluator) binary(x *hclsyntax.BinaryOpExpr) (value, bool) {
	a, ok := e.value(x.LHS)
	b, ok2 := e.value(x.RHS)
	if !ok || !ok2 {
		return value{}, false
	}
	op := operators[x.Op]
	switch op {
	case "||", "&&":
		for _, side := range []struct {
			v value
			x hclsyntax.Expression
		}{{a, x.LHS}, {b, x.RHS}} {
			if side.v.kind != yesNoKind && side.v.kind != anyKind {
				return e.bad(side.x.Range(), fmt.Sprintf("%s joins conditions, and this is %s", op, side.v.describe()), "compare with == != < > <= or >=")
			}
		}
		if a.unknown || b.unknown {
			return unknownValue(yesNoKind), true
		}
		return yesNoValue(op == "||" && (a.yes || b.yes) || op == "&&" && a.yes && b.yes), true
	case "==", "!=":
		return e.equal(x, a, b, op)
	}
	for _, side := range []struct {
		v value
		x hclsyntax.Expression
	}{{a, x.LHS}, {b, x.RHS}} {
		if side.v.kind != numberKind && side.v.kind != anyKind {
			return e.bad(side.x.Range(), fmt.Sprintf("%s works on numbers, and this is %s", op, side.v.describe()),
				"write lengths in expressions with mm(), um(), mil() or inch()")
		}
	}
	m, ok := combine(op, a.measure, b.measure)
	if !ok {
		return e.bad(x.SrcRange, fmt.Sprintf("%s does not work on %s and %s", op, a.measure, b.measure), "work on lengths with lengths, on angles with angles")
	}
	compares := strings.ContainsAny(op, "<>")
	if a.unknown || b.unknown {
		if compares {
			return unknownValue(yesNoKind), true
		}
		v := unknownValue(numberKind)
		v.measure = m
		return v, true
	}
	if compares {
		c := a.num.Cmp(b.num)
		return yesNoValue(op == "<" && c < 0 || op == "<=" && c <= 0 || op == ">" && c > 0 || op == ">=" && c >= 0), true
	}
	r := new(big.Rat)
	switch op {
	case "+":
		r.Add(a.num, b.num)
	case "-":
		r.Sub(a.num, b.num)
	case "*":
		r.Mul(a.num, b.num)
	default:
		if b.num.Sign() == 0 {
			return e.bad(x.RHS.Range(), "this divides by zero", "divide by another number")
		}
		r.Quo(a.num, b.num)
		if op == "%" { // what is left over has the sign of a
			whole := new(big.Rat).SetInt(new(big.Int).Quo(r.Num(), r.Denom()))
			r.Sub(a.num, whole.Mul(whole, b.num))
		}
	}
	return e.number(r, m, x.SrcRange)
}

func (e *evaluator) number(r *big.Rat, m measure, at hcl.Range) (value, bool) {
	if r = tame(r); tooLarge(r) {
		return e.bad(at, "this number is beyond any use", "numbers lie below 1000000000000")
	}
	return numberValue(r, m), true
}

// combine tells what the result of an operator measures.
func combine(op string, a, b measure) (measure, bool) {
	switch op {
	case "*":
		if a == plain || b == plain {
			return max(a, b), true
		}
		return other, true
	case "/":
		switch {
		case b == plain:
			return a, true
		case a == b && a != other:
			return plain, true
		}
		return other, true
	}
	if a == plain || b == plain || a == b {
		return max(a, b), true
	}
	return other, false
}

func (e *evaluator) equal(x *hclsyntax.BinaryOpExpr, a, b value, op string) (value, bool) {
	if a.kind == anyKind || b.kind == anyKind {
		return unknownValue(yesNoKind), true
	}
	if a.kind != b.kind || a.kind == listKind || a.kind == objectKind {
		return e.bad(x.SrcRange, fmt.Sprintf("%s compares two numbers, two texts or two conditions, and these are %s and %s", op, a.describe(), b.describe()),
			"compare values of one kind")
	}
	if _, ok := combine(op, a.measure, b.measure); !ok {
		return e.bad(x.SrcRange, fmt.Sprintf("%s does not work on %s and %s", op, a.measure, b.measure), "work on lengths with lengths, on angles with angles")
	}
	if a.unknown || b.unknown {
		return unknownValue(yesNoKind), true
	}
	same := a.text == b.text && a.yes == b.yes
	if a.kind == numberKind {
		same = a.num.Cmp(b.num) == 0
	}
	return yesNoValue(same == (op == "==")), true
}

func (e *evaluator) unary(x *hclsyntax.UnaryOpExpr) (value, bool) {
	v, ok := e.value(x.Val)
	if !ok {
		return v, false
	}
	if x.Op == hclsyntax.OpLogicalNot {
		switch {
		case v.kind != yesNoKind && v.kind != anyKind:
			return e.bad(x.SrcRange, "! turns a condition round, and this is "+v.describe(), "compare with == != < > <= or >=")
		case v.unknown:
			return unknownValue(yesNoKind), true
		}
		return yesNoValue(!v.yes), true
	}
	switch {
	case v.kind != numberKind && v.kind != anyKind:
		return e.bad(x.SrcRange, "- works on numbers, and this is "+v.describe(), "write lengths in expressions with mm(), um(), mil() or inch()")
	case v.unknown:
		return v, true
	}
	return numberValue(new(big.Rat).Neg(v.num), v.measure), true
}

// units by the functions that make lengths and angles.
var unitFunctions = map[string]struct {
	in *big.Rat
	m  measure
}{
	"mm": {lengthUnits[0].in, length}, "um": {lengthUnits[1].in, length}, "mil": {lengthUnits[2].in, length},
	"inch": {lengthUnits[3].in, length}, "deg": {angleUnits[0].in, angle},
}

var functionNames = []string{"ceil", "deg", "floor", "inch", "max", "mil", "min", "mm", "um"}

func (e *evaluator) call(x *hclsyntax.FunctionCallExpr) (value, bool) {
	if !slices.Contains(functionNames, x.Name) {
		return e.bad(x.NameRange, fmt.Sprintf("there is no function %s%s", short(x.Name), nearest(x.Name, functionNames)), "the functions are "+list(functionNames))
	}
	if x.ExpandFinal {
		return e.bad(x.NameRange, "… after a function's value is not part of a recipe", "write its values out")
	}
	var args []value
	good, unknown := true, false
	for _, a := range x.Args {
		v, ok := e.value(a)
		if ok && v.kind != numberKind && v.kind != anyKind {
			_, ok = e.bad(a.Range(), fmt.Sprintf("%s() takes numbers, and this is %s", x.Name, v.describe()), "write it as "+x.Name+map[bool]string{true: "(2, 3)", false: "(2)"}[x.Name == "min" || x.Name == "max"])
		}
		good = good && ok
		unknown = unknown || v.unknown
		args = append(args, v)
	}
	if !good {
		return value{}, false
	}
	many := x.Name == "min" || x.Name == "max"
	if len(args) == 0 || len(args) > 1 && !many {
		return e.bad(x.NameRange, fmt.Sprintf("%s() takes %s, and here are %d", x.Name, map[bool]string{true: "one number or more", false: "one number"}[many], len(args)),
			"write it as "+x.Name+map[bool]string{true: "(2, 3)", false: "(2)"}[many])
	}
	first := args[0]
	if u, is := unitFunctions[x.Name]; is {
		if first.measure != plain {
			return e.bad(x.Args[0].Range(), fmt.Sprintf("%s() makes %s of a plain number, and this is %s already", x.Name, u.m, first.measure), "drop one of the two units")
		}
		if unknown {
			v := unknownValue(numberKind)
			v.measure = u.m
			return v, true
		}
		return e.number(new(big.Rat).Mul(first.num, u.in), u.m, x.Range())
	}
	m := first.measure
	for _, a := range args[1:] {
		var ok bool
		if m, ok = combine("<", m, a.measure); !ok {
			return e.bad(x.NameRange, x.Name+"() does not work on lengths and angles together", "work on lengths with lengths, on angles with angles")
		}
	}
	if unknown {
		v := unknownValue(numberKind)
		v.measure = m
		return v, true
	}
	r := new(big.Rat).Set(first.num)
	switch x.Name {
	case "floor", "ceil":
		q, left := new(big.Int).DivMod(r.Num(), r.Denom(), new(big.Int))
		if x.Name == "ceil" && left.Sign() != 0 {
			q.Add(q, big.NewInt(1))
		}
		r.SetInt(q)
	default:
		for _, a := range args[1:] {
			if c := a.num.Cmp(r); x.Name == "min" && c < 0 || x.Name == "max" && c > 0 {
				r.Set(a.num)
			}
		}
	}
	return numberValue(r, m), true
}
