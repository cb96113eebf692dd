package pipeline

// The options of a stage are the exported fields of the struct that Kind.New returns, tagged:
//
//	type Array struct {
//		Board   string       `option:"board" required:"true" help:"which board to repeat"`
//		Columns int          `option:"columns" range:"1..200" help:"copies side by side"`
//		Gap     *geom.Length `option:"gap" range:"0..100" help:"board edge to board edge, both ways"`
//		Turn    geom.Angle   `option:"turn" help:"counter-clockwise, seen from the top"`
//		Every   string       `option:"turn_every_second" choice:"row|column" help:"…"`
//		Fit     []geom.Length`option:"fit_within" count:"2" help:"…"`
//		Pinned  []Pin        `block:"pinned" labels:"1" help:"a tab at a fixed place"`
//		Waivers []Waiver     `block:"waive" labels:"1" each:"true" help:"…"`
//	}
//
// Kinds of fields: string, bool, int, float64, geom.Length (a number in millimetres or a string with
// its unit), geom.Angle (a number or a string in degrees), Quantity, InPath, Free (any value), slices of these, and pointers to
// them (nil: not set). A field tagged block is a slice of structs tagged the same way; labels fill
// its fields tagged label:"0", label:"1" in order. Blocks with labels are merged, those of the same labels
// option by option, the nearer file's first; tagged each they stand by themselves: those of every file
// count, the recipe's first, and several may have the same labels. Tags: required, range "low..high" (inclusive, in
// mm or deg for lengths and angles, either end may be missing), choice "a|b|c" (for strings and for
// the members of string slices), instead (the names, joined by |, of options that this one takes the place of: a file
// that sets one of them sets all, for files further away), beside (an option tagged instead that this one tells
// of), early (its value must be known before anything runs: the stage's role, or what it gives, follows from it),
// count (exact number of members of a slice), help (one line).
// Fields of an embedded struct count as the stage's own; option:"-" keeps a field out.
//
// From this one source come decoding, the errors for unknown or out-of-range options, the options
// command and its JSON.

import (
	"fmt"
	"reflect"
	"regexp"
	"slices"
	"strconv"
	"strings"

	"panelwright/pipeline/geom"
)

// Option is one option of a stage or of a block, or one block.
type Option struct {
	Name     string   `json:"name"`
	Type     string   `json:"type"`           // "length", "angle", "count", "number", "text", "yes/no", "path", "list of lengths" …, "block"
	Unit     string   `json:"unit,omitempty"` // "mm" or "deg": of a plain number and of Range
	Help     string   `json:"help"`
	Default  string   `json:"default,omitempty"` // as a recipe would write it; empty when there is none
	Required bool     `json:"required,omitempty"`
	Range    string   `json:"range,omitempty"` // as tagged: "0..100", "0..", "..100"
	Low      *float64 `json:"-"`               // the ends of Range, nil where it is open
	High     *float64 `json:"-"`
	Choices  []string `json:"choices,omitempty"`
	Count    int      `json:"count,omitempty"` // exact number of members of a list; 0: any
	Block    bool     `json:"block,omitempty"`
	Labels   []string `json:"labels,omitempty"`     // of a block: what its labels are
	Each     bool     `json:"each,omitempty"`       // of a block with labels: blocks of the same labels are not merged
	Instead  []string `json:"instead_of,omitempty"` // the options that it stands for: of two files' forms the nearer one's counts alone
	Early    bool     `json:"-"`                    // its value must be known before anything runs
	Beside   string   `json:"-"`                    // the option that this one tells of: it counts from the same files
	Options  []Option `json:"options,omitempty"`    // of a block
	Field    string   `json:"-"`                    // the struct field it fills
	// LabelFields are the struct fields that the labels of a block fill, in order.
	LabelFields []string `json:"-"`
}

var (
	lengthType = reflect.TypeFor[geom.Length]()
	angleType  = reflect.TypeFor[geom.Angle]()
	pathType   = reflect.TypeFor[InPath]()
	quantity   = reflect.TypeFor[Quantity]()
	freeType   = reflect.TypeFor[Free]()

	optionName = regexp.MustCompile(`^[a-z][a-z0-9]*(_[a-z0-9]+)*$`)
	tagKeys    = []string{"option", "block", "label", "labels", "each", "instead", "beside", "required", "early", "range", "choice", "count", "help", "json"}
)

// OptionsOf lists the options of a stage in the order of its struct's fields, blocks included. An
// error is the programmer's: a tag that does not fit its field, a name given twice.
func OptionsOf(s Stage) ([]Option, error) {
	v := reflect.ValueOf(s)
	if v.Kind() != reflect.Pointer || v.IsNil() || v.Elem().Kind() != reflect.Struct {
		return nil, fmt.Errorf("%T: a stage must be a pointer to a struct of options", s)
	}
	r := reflector{seen: map[string]bool{}}
	options, err := r.fields(v.Elem(), 0)
	if err != nil {
		return nil, fmt.Errorf("%T: %w", s, err)
	}
	return options, nil
}

// reflector reads one struct; the options of a block have a reflector of their own.
type reflector struct {
	seen   map[string]bool
	labels map[int]string // label number to field
}

func (r *reflector) fields(v reflect.Value, depth int) ([]Option, error) {
	if depth > 4 {
		return nil, fmt.Errorf("blocks lie more than 4 deep in one another")
	}
	var list []Option
	for i := range v.NumField() {
		f := v.Type().Field(i)
		if f.Anonymous && f.Tag == "" && f.Type.Kind() == reflect.Struct {
			inner, err := r.fields(v.Field(i), depth)
			if err != nil {
				return nil, err
			}
			list = append(list, inner...)
			continue
		}
		if !f.IsExported() {
			if f.Tag.Get("option") != "" || f.Tag.Get("block") != "" {
				return nil, fmt.Errorf("field %s: an option's field must be exported", f.Name)
			}
			continue
		}
		if f.Tag.Get("option") == "-" {
			continue
		}
		o, err := r.field(f, v.Field(i), depth)
		if err != nil {
			return nil, fmt.Errorf("field %s: %w", f.Name, err)
		}
		if o != nil {
			list = append(list, *o)
		}
	}
	return list, nil
}

func (r *reflector) field(f reflect.StructField, v reflect.Value, depth int) (*Option, error) {
	if err := checkTag(string(f.Tag)); err != nil {
		return nil, err
	}
	option, isOption := f.Tag.Lookup("option")
	block, isBlock := f.Tag.Lookup("block")
	label, isLabel := f.Tag.Lookup("label")
	switch n := btoi(isOption) + btoi(isBlock) + btoi(isLabel); {
	case n == 0:
		return nil, fmt.Errorf(`an exported field needs a tag option, block or label, or option:"-"`)
	case n > 1:
		return nil, fmt.Errorf("only one of the tags option, block and label may be given")
	case isLabel:
		return nil, r.label(f, label)
	}
	o := &Option{Name: option + block, Help: f.Tag.Get("help"), Field: f.Name}
	if !optionName.MatchString(o.Name) {
		return nil, fmt.Errorf("name %q: lower-case words joined by underscores are wanted", o.Name)
	}
	if r.seen[o.Name] {
		return nil, fmt.Errorf("two options are called %q", o.Name)
	}
	r.seen[o.Name] = true
	if o.Help == "" || strings.ContainsAny(o.Help, "\r\n") {
		return nil, fmt.Errorf("option %s needs a line of help", o.Name)
	}
	switch req, ok := f.Tag.Lookup("required"); {
	case ok && req != "true":
		return nil, fmt.Errorf(`required:%q: only "true" is known`, req)
	case ok:
		o.Required = true
	}
	switch early, ok := f.Tag.Lookup("early"); {
	case ok && early != "true":
		return nil, fmt.Errorf(`early:%q: only "true" is known`, early)
	case ok:
		o.Early = true
	}
	if text, ok := f.Tag.Lookup("instead"); ok {
		o.Instead = strings.Split(text, "|")
		if slices.Contains(o.Instead, "") {
			return nil, fmt.Errorf("instead:%q: names of options are wanted", text)
		}
	}
	o.Beside = f.Tag.Get("beside")
	if isBlock {
		return o, o.block(f, depth)
	}
	return o, o.plain(f, v)
}

func (r *reflector) label(f reflect.StructField, number string) error {
	n, err := strconv.Atoi(number)
	if err != nil || n < 0 || n > 9 {
		return fmt.Errorf("label:%q: a number from 0 to 9 is wanted", number)
	}
	if f.Type.Kind() != reflect.String {
		return fmt.Errorf("a label must be a string")
	}
	if r.labels == nil {
		return fmt.Errorf("only a block has labels")
	}
	if r.labels[n] != "" {
		return fmt.Errorf("label %d is filled twice", n)
	}
	r.labels[n] = f.Name
	return nil
}

func (o *Option) block(f reflect.StructField, depth int) error {
	if f.Type.Kind() != reflect.Slice || f.Type.Elem().Kind() != reflect.Struct || f.Type.Elem() == pathType {
		return fmt.Errorf("a block must be a slice of structs")
	}
	for _, k := range []string{"range", "choice", "count"} {
		if _, ok := f.Tag.Lookup(k); ok {
			return fmt.Errorf("a block has no %s", k)
		}
	}
	o.Type, o.Block = "block", true
	labels := 0
	if text, ok := f.Tag.Lookup("labels"); ok {
		n, err := strconv.Atoi(text)
		if err != nil || n < 1 || n > 9 {
			return fmt.Errorf("labels:%q: a number from 1 to 9 is wanted", text)
		}
		labels = n
	}
	switch each, ok := f.Tag.Lookup("each"); {
	case ok && (each != "true" || labels == 0):
		return fmt.Errorf(`each:%q: only "true" is known, for blocks with labels`, each)
	case ok:
		o.Each = true
	}
	inner := reflector{seen: map[string]bool{}, labels: map[int]string{}}
	var err error
	if o.Options, err = inner.fields(reflect.New(f.Type.Elem()).Elem(), depth+1); err != nil {
		return err
	}
	if len(inner.labels) != labels {
		return fmt.Errorf("labels says %d, and the block's struct has %d fields tagged label", labels, len(inner.labels))
	}
	for i := range labels {
		name := inner.labels[i]
		if name == "" {
			return fmt.Errorf("no field is tagged label:\"%d\"", i)
		}
		o.LabelFields = append(o.LabelFields, name)
		o.Labels = append(o.Labels, snake(name))
	}
	return nil
}

func (o *Option) plain(f reflect.StructField, v reflect.Value) error {
	t := f.Type
	if t.Kind() == reflect.Pointer {
		t = t.Elem()
	}
	list := t.Kind() == reflect.Slice
	if list {
		if f.Type.Kind() == reflect.Pointer {
			return fmt.Errorf("a list needs no pointer: an empty one is not set")
		}
		t = t.Elem()
	}
	names := wordFor(t)
	if names[0] == "" {
		return fmt.Errorf("fields of type %s cannot be options", f.Type)
	}
	o.Type = names[0]
	if list {
		o.Type = "list of " + names[1]
	}
	switch t {
	case lengthType:
		o.Unit = "mm"
	case angleType:
		o.Unit = "deg"
	}
	if err := o.limits(f, t, list); err != nil {
		return err
	}
	return o.preset(v)
}

func (o *Option) limits(f reflect.StructField, t reflect.Type, list bool) error {
	if text, ok := f.Tag.Lookup("range"); ok {
		if t.Kind() == reflect.String || t.Kind() == reflect.Bool || t == pathType || t == freeType {
			return fmt.Errorf("only numbers have a range")
		}
		low, high, ok := strings.Cut(text, "..")
		if !ok || low+high == "" {
			return fmt.Errorf("range:%q: write it low..high", text)
		}
		for _, end := range []struct {
			text string
			to   **float64
		}{{low, &o.Low}, {high, &o.High}} {
			if end.text == "" {
				continue
			}
			n, err := strconv.ParseFloat(end.text, 64)
			if err != nil {
				return fmt.Errorf("range:%q: write it low..high", text)
			}
			*end.to = &n
		}
		if o.Low != nil && o.High != nil && *o.Low > *o.High {
			return fmt.Errorf("range:%q: its low end lies above its high end", text)
		}
		o.Range = text
	}
	if text, ok := f.Tag.Lookup("choice"); ok {
		if t.Kind() != reflect.String {
			return fmt.Errorf("only texts have choices")
		}
		o.Choices = strings.Split(text, "|")
		if slices.Contains(o.Choices, "") {
			return fmt.Errorf("choice:%q: a choice is empty", text)
		}
	}
	if text, ok := f.Tag.Lookup("count"); ok {
		n, err := strconv.Atoi(text)
		if err != nil || n < 1 || !list {
			return fmt.Errorf("count:%q: the number of members of a list is wanted", text)
		}
		o.Count = n
	}
	return nil
}

// preset reads the default out of the field as New has set it. A zero that the option would refuse,
// an empty text and an empty list stand for no default.
func (o *Option) preset(v reflect.Value) error {
	if v.Kind() == reflect.Pointer {
		if v.IsNil() {
			return nil
		}
		v = v.Elem()
	}
	if v.Kind() == reflect.Slice {
		if v.Len() == 0 {
			return nil
		}
		if o.Count != 0 && v.Len() != o.Count {
			return fmt.Errorf("the default has %d members, and count says %d", v.Len(), o.Count)
		}
		for i := range v.Len() {
			if err := o.allows(v.Index(i)); err != nil {
				return err
			}
		}
	} else if err := o.allows(v); err != nil {
		if v.IsZero() {
			return nil
		}
		return err
	}
	if v.IsZero() && (o.Required || v.Kind() == reflect.String || v.Type() == pathType || v.Type() == freeType) {
		return nil
	}
	if o.Required {
		return fmt.Errorf("option %s is required and has a default", o.Name)
	}
	o.Default = OptionText(v.Interface())
	return nil
}

// allows tells whether one value of a default lies within the option's own limits.
func (o *Option) allows(v reflect.Value) error {
	var n float64
	switch x := v.Interface().(type) {
	case geom.Length:
		n = x.MM()
	case geom.Angle:
		n = x.Degrees()
	case int:
		n = float64(x)
	case float64:
		n = x
	case string:
		if o.Choices != nil && !slices.Contains(o.Choices, x) {
			return fmt.Errorf("the default %q is none of the choices", x)
		}
		return nil
	default:
		return nil
	}
	if o.Low != nil && n < *o.Low || o.High != nil && n > *o.High {
		return fmt.Errorf("the default %v lies outside the range %s", v.Interface(), o.Range)
	}
	return nil
}

// OptionText writes an option's value as a recipe would: 4, "0.5 mm", "row", true, ["a", "b"]. A nil
// pointer and an empty list give an empty text.
func OptionText(value any) string {
	switch x := value.(type) {
	case geom.Length:
		return `"` + x.String() + `"`
	case geom.Angle:
		return `"` + x.String() + `"`
	case InPath:
		return Quote(x.Text)
	case Free:
		return x.Text
	case Quantity:
		if x.Unit != "" {
			return Quote(x.String())
		}
		return x.String()
	case string:
		return Quote(x)
	case bool:
		return strconv.FormatBool(x)
	case int:
		return strconv.Itoa(x)
	case float64:
		return strconv.FormatFloat(x, 'f', -1, 64)
	}
	v := reflect.ValueOf(value)
	switch v.Kind() {
	case reflect.Pointer:
		if !v.IsNil() {
			return OptionText(v.Elem().Interface())
		}
	case reflect.Slice:
		if v.Len() > 0 {
			parts := make([]string, v.Len())
			for i := range parts {
				parts[i] = OptionText(v.Index(i).Interface())
			}
			return "[" + strings.Join(parts, ", ") + "]"
		}
	}
	return ""
}

// Quote writes a text as a recipe would.
func Quote(s string) string {
	var b strings.Builder
	b.WriteByte('"')
	for i, c := range s {
		switch {
		case c == '"' || c == '\\':
			b.WriteByte('\\')
			b.WriteRune(c)
		case c == '\n':
			b.WriteString(`\n`)
		case c == '\r':
			b.WriteString(`\r`)
		case c == '\t':
			b.WriteString(`\t`)
		case (c == '$' || c == '%') && strings.HasPrefix(s[i+1:], "{"):
			b.WriteRune(c)
			b.WriteRune(c)
		case !strconv.IsPrint(c):
			fmt.Fprintf(&b, `\U%08x`, c)
		default:
			b.WriteRune(c)
		}
	}
	b.WriteByte('"')
	return b.String()
}

// wordFor names a type of option, one of them and several; empty for a type that none can have.
func wordFor(t reflect.Type) [2]string {
	switch {
	case t == lengthType:
		return [2]string{"length", "lengths"}
	case t == angleType:
		return [2]string{"angle", "angles"}
	case t == pathType:
		return [2]string{"path", "paths"}
	case t == freeType:
		return [2]string{"any value", "any values"}
	case t == quantity:
		return [2]string{"number with unit", "numbers with units"}
	case t == reflect.TypeFor[string]():
		return [2]string{"text", "texts"}
	case t == reflect.TypeFor[bool]():
		return [2]string{"yes/no", "yes/no"}
	case t == reflect.TypeFor[int]():
		return [2]string{"count", "counts"}
	case t == reflect.TypeFor[float64]():
		return [2]string{"number", "numbers"}
	}
	return [2]string{}
}

// checkTag refuses a malformed tag and a key that is not known: a mistyped key would be a limit that
// silently does not hold.
func checkTag(tag string) error {
	for tag = strings.TrimLeft(tag, " "); tag != ""; tag = strings.TrimLeft(tag, " ") {
		key, rest, ok := strings.Cut(tag, ":")
		if !ok {
			return fmt.Errorf("malformed tag at %q", tag)
		}
		quoted, err := strconv.QuotedPrefix(rest)
		if err != nil {
			return fmt.Errorf("malformed tag at %q", tag)
		}
		if !slices.Contains(tagKeys, key) {
			return fmt.Errorf("tag %q is not known; nearest: %s", key, Nearest(key, tagKeys))
		}
		tag = rest[len(quoted):]
	}
	return nil
}

func snake(field string) string {
	var b strings.Builder
	for i, c := range field {
		if c >= 'A' && c <= 'Z' {
			if i > 0 {
				b.WriteByte('_')
			}
			c += 'a' - 'A'
		}
		b.WriteRune(c)
	}
	return b.String()
}

func btoi(b bool) int {
	if b {
		return 1
	}
	return 0
}
