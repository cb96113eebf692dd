package compare

import (
	"bytes"
	"encoding/json"
	"errors"
	"fmt"
	"slices"
	"strings"

	"panelwright/pipeline/geom"
	"panelwright/pipeline/panel"
)

// edge is one edge of a path as panel.json has it.
type edge struct {
	From   place  `json:"from"`
	To     place  `json:"to"`
	Center *place `json:"center"`
	Turn   string `json:"turn"`
}

// data is panel.json, read without the boards' files and whatever version wrote it: what is not known here stays as
// text and is compared as such.
type data struct {
	name, revision string
	width, height  geom.Length
	thickness      geom.Length
	copperLayers   int
	outline        geom.Outline
	copies         []copyOf
	lists          map[string][]*feature // by their keys in the file
	cutters, xOut  string                // as text
	support        string                // as text
	rest           map[string]string     // what is not known here, as text
}

// copyOf is one copy of a board.
type copyOf struct {
	id, board string
	place     geom.Transform
	box       geom.Box
}

// feature is one feature of the panel: a line of panel.json.
type feature struct {
	id     string
	fields map[string]string // compact JSON by key
	box    geom.Box          // empty where the feature has no place
	at     geom.Point        // what moves are told by
	owner  string            // the copy whose it is, empty for the panel's own
	shape  geom.Outline      // of slots and their like
	text   string            // all fields but the id
	alias  string            // of an old feature: its id with the names that its copies have in the new build
}

// lists are the features of panel.json, by key.
var listKeys = []string{"boards", "copies", "rails", "marks", "slots", "unreached", "tabs", "perforations", "scores", "blanks", "prints", "copper_shares", "laminate"}

// unmarshal is json.Unmarshal with errors fit for people.
func unmarshal(text []byte, v any) error {
	err := json.Unmarshal(text, v)
	var syntax *json.SyntaxError
	var kind *json.UnmarshalTypeError
	switch {
	case errors.As(err, &syntax):
		return fmt.Errorf("line %d: %s", 1+bytes.Count(text[:min(int(syntax.Offset), len(text))], []byte("\n")), syntax.Error())
	case errors.As(err, &kind):
		what := kind.Field
		if what == "" {
			what = "a value"
		}
		return fmt.Errorf("%s is a %s, which it may not be", what, kind.Value)
	}
	return err
}

// readPanel reads panel.json.
func readPanel(text []byte) (*data, error) {
	var all map[string]json.RawMessage
	if err := unmarshal(text, &all); err != nil {
		return nil, err
	}
	var head struct {
		Schema       int      `json:"schema"`
		Panel        string   `json:"panel"`
		Revision     string   `json:"revision"`
		Width        length   `json:"width_mm"`
		Height       length   `json:"height_mm"`
		Thickness    length   `json:"thickness_mm"`
		CopperLayers int      `json:"copper_layers"`
		Outline      []edge   `json:"outline_mm"`
		CutOuts      [][]edge `json:"cut_outs_mm"`
	}
	if err := unmarshal(text, &head); err != nil {
		return nil, err
	}
	if head.Schema != panel.DataSchema {
		return nil, fmt.Errorf("its schema is %d, and this program reads schema %d", head.Schema, panel.DataSchema)
	}
	d := &data{name: head.Panel, revision: head.Revision, width: geom.Length(head.Width), height: geom.Length(head.Height),
		thickness: geom.Length(head.Thickness), copperLayers: head.CopperLayers, lists: map[string][]*feature{}, rest: map[string]string{}}
	var err error
	if d.outline, err = outlineOf(head.Outline, head.CutOuts); err != nil {
		return nil, fmt.Errorf("the panel's outline: %w", err)
	}
	for _, k := range listKeys {
		if d.lists[k], err = readList(k, all[k]); err != nil {
			return nil, err
		}
		delete(all, k)
	}
	if err := d.readCopies(); err != nil {
		return nil, err
	}
	d.cutters, d.xOut = compact(all["cutters_mm"]), compact(all["x_out"])
	d.support = compact(all["support"])
	for _, k := range []string{"schema", "panel", "revision", "units", "width_mm", "height_mm", "thickness_mm", "copper_layers", "outline_mm", "cut_outs_mm", "cutters_mm", "x_out", "support"} {
		delete(all, k)
	}
	for k, v := range all {
		d.rest[k] = compact(v)
	}
	return d, nil
}

func compact(text json.RawMessage) string {
	var b bytes.Buffer
	if json.Compact(&b, text) != nil {
		return ""
	}
	return b.String()
}

// readList reads one list of features.
func readList(key string, text json.RawMessage) ([]*feature, error) {
	if len(text) == 0 {
		return nil, nil
	}
	var rows []map[string]json.RawMessage
	if err := unmarshal(text, &rows); err != nil {
		return nil, fmt.Errorf("%s: %w", key, err)
	}
	seen := map[string]bool{}
	var out []*feature
	for i, row := range rows {
		f := &feature{fields: map[string]string{}, box: geom.EmptyBox()}
		for k, v := range row {
			f.fields[k] = compact(v)
		}
		for _, k := range []string{"id", "name", "layer"} {
			if f.id == "" && f.fields[k] != "" {
				if err := unmarshal(row[k], &f.id); err != nil {
					return nil, fmt.Errorf("%s, entry %d: %s: %w", key, i+1, k, err)
				}
			}
		}
		if f.id == "" {
			return nil, fmt.Errorf("%s, entry %d: has no id", key, i+1)
		}
		if seen[f.id] {
			return nil, fmt.Errorf("%s: two entries have the id %.80q", key, f.id)
		}
		seen[f.id] = true
		if err := f.read(row); err != nil {
			return nil, fmt.Errorf("%s, %.80s: %w", key, f.id, err)
		}
		f.text = f.allBut("id")
		f.alias = f.id
		out = append(out, f)
	}
	return out, nil
}

// read finds out where the feature stands and whose it is.
func (f *feature) read(row map[string]json.RawMessage) error {
	get := func(k string, v any) (bool, error) {
		if row[k] == nil {
			return false, nil
		}
		if err := unmarshal(row[k], v); err != nil {
			return false, fmt.Errorf("%s: %w", k, err)
		}
		return true, nil
	}
	var b box
	for _, k := range []string{"box_mm", "area_mm"} {
		if ok, err := get(k, &b); err != nil {
			return err
		} else if ok {
			f.box = geom.Box(b)
		}
	}
	var outer []edge
	var cuts [][]edge
	if ok, err := get("outer_mm", &outer); err != nil {
		return err
	} else if ok {
		if _, err := get("cut_outs_mm", &cuts); err != nil {
			return err
		}
		if f.shape, err = outlineOf(outer, cuts); err != nil {
			return err
		}
		f.box = f.shape.Box()
	}
	f.at = f.box.Min
	var from, to place
	if ok, err := get("from_mm", &from); err != nil {
		return err
	} else if ok {
		if _, err := get("to_mm", &to); err != nil {
			return err
		}
		f.box, f.at = geom.BoxOf(geom.Point(from), geom.Point(to)), geom.Point(from)
	}
	var feet []place
	if ok, err := get("feet_mm", &feet); err != nil {
		return err
	} else if ok && len(feet) == 2 {
		f.box, f.at = geom.BoxOf(geom.Point(feet[0]), geom.Point(feet[1])), geom.Point(feet[0])
	}
	var at place
	if ok, err := get("at_mm", &at); err != nil {
		return err
	} else if ok && f.box.Empty() {
		var d length
		for _, k := range []string{"diameter_mm", "mask_diameter_mm"} {
			var x length
			if _, err := get(k, &x); err != nil {
				return err
			}
			d = max(d, x)
		}
		f.at = geom.Point(at)
		f.box = geom.BoxOf(f.at).Grow(geom.Length(d) / 2)
	}
	if _, err := get("copy", &f.owner); err != nil {
		return err
	}
	var copies []string
	if _, err := get("copies", &copies); err != nil {
		return err
	}
	if len(copies) > 0 {
		f.owner = copies[0]
	}
	return nil
}

// allBut gives all fields but some, as one text.
func (f *feature) allBut(but ...string) string {
	var keys []string
	for k := range f.fields {
		if !slices.Contains(but, k) {
			keys = append(keys, k)
		}
	}
	slices.Sort(keys)
	var b strings.Builder
	for _, k := range keys {
		b.WriteString(k + "=" + f.fields[k] + "\n")
	}
	return b.String()
}

// word gives a field that is a text.
func (f *feature) word(key string) string {
	var s string
	if json.Unmarshal([]byte(f.fields[key]), &s) != nil {
		return ""
	}
	return s
}

// length gives a field that is a length, 0 where it is none.
func (f *feature) length(key string) geom.Length {
	n, err := geom.ParseDecimal(f.fields[key])
	if err != nil {
		return 0
	}
	return n
}

func (d *data) readCopies() error {
	for _, f := range d.lists["copies"] {
		x, y, turn := f.length("x_mm"), f.length("y_mm"), f.length("rotation_deg")
		if f.box.Empty() {
			return fmt.Errorf("copies, %.80s: has no box", f.id)
		}
		if geom.Angle(turn) < 0 || geom.Angle(turn) >= geom.FullTurn {
			return fmt.Errorf("copies, %.80s: is turned by %s degrees: from 0 to 360 is wanted", f.id, turn.Decimal())
		}
		d.copies = append(d.copies, copyOf{f.id, f.word("board"), geom.Transform{Turn: geom.Angle(turn), Shift: geom.Pt(x, y)}, f.box})
	}
	return nil
}

// outlineOf reads closed paths.
func outlineOf(outer []edge, cutOuts [][]edge) (o geom.Outline, err error) {
	if o.Outer, err = pathOf(outer); err != nil {
		return o, err
	}
	for _, c := range cutOuts {
		p, err := pathOf(c)
		if err != nil {
			return o, err
		}
		o.CutOuts = append(o.CutOuts, p)
	}
	return o, nil
}

// pathOf reads edges that follow one another and close.
func pathOf(edges []edge) (geom.Path, error) {
	p := make(geom.Path, len(edges))
	for i, x := range edges {
		p[i] = geom.Line(geom.Point(x.From), geom.Point(x.To))
		switch {
		case x.Center == nil && x.Turn == "":
		case x.Center != nil && x.Turn == "counter_clockwise":
			p[i] = geom.Arc(p[i].From, p[i].To, geom.Point(*x.Center), geom.CounterClockwise)
		case x.Center != nil && x.Turn == "clockwise":
			p[i] = geom.Arc(p[i].From, p[i].To, geom.Point(*x.Center), geom.Clockwise)
		default:
			return nil, errors.New("an arc has a centre and a turn, \"clockwise\" or \"counter_clockwise\"")
		}
		if i > 0 && p[i].From != p[i-1].To {
			return nil, fmt.Errorf("the edges do not follow one another at %v mm", p[i].From)
		}
	}
	if len(p) > 0 && !p.Closed() {
		return nil, fmt.Errorf("a contour does not close: it ends at %v mm", p[len(p)-1].To)
	}
	return p, nil
}
