package drawings

import (
	"encoding/json"
	"fmt"
	"math"
	"math/big"
	"os"
	"regexp"
	"slices"
	"strconv"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"

	"panelwright/pipeline/drawing"
	"panelwright/pipeline/drawing/samples"
	"panelwright/pipeline/geom"
	"panelwright/pipeline/internal/shared"
)

// panelFile is what this package takes from panel.json. Its numbers stay in the words of the file until they are
// looked up.
type panelFile struct {
	Width     json.Number `json:"width_mm"`
	Height    json.Number `json:"height_mm"`
	Thickness json.Number `json:"thickness_mm"`
	Outline   []edge      `json:"outline_mm"`
	Copies    []struct {
		ID, Board string
		X         json.Number `json:"x_mm"`
		Y         json.Number `json:"y_mm"`
		Rotation  json.Number `json:"rotation_deg"`
		Box       [2]xy       `json:"box_mm"`
	}
	Boards []struct {
		Name       string
		PartNumber string `json:"part_number"`
		Revision   string
		Width      json.Number `json:"width_mm"`
		Height     json.Number `json:"height_mm"`
		Thickness  json.Number `json:"thickness_mm"`
	}
	Rails []struct {
		ID  string
		Box [2]xy `json:"box_mm"`
	}
	Marks        []map[string]any
	Tabs         []tab
	Perforations []struct {
		ID, Tab  string
		Row      int
		At       xy          `json:"at_mm"`
		Diameter json.Number `json:"diameter_mm"`
	}
	Scores []map[string]any
}

type xy [2]json.Number

type edge struct {
	From, To xy
	Center   *xy
}

type tab struct {
	ID    string
	Width json.Number `json:"width_mm"`
	Feet  [2]xy       `json:"feet_mm"`
	Along xy
	Rows  []map[string]any
}

// millionths reads a decimal number of millimetres or degrees as whole nanometres or millionths of a degree.
func millionths(s string) (int64, error) {
	r, ok := new(big.Rat).SetString(s)
	if !ok {
		return 0, fmt.Errorf("%q is no number", s)
	}
	r.Mul(r, big.NewRat(1_000_000, 1))
	if !r.IsInt() || !r.Num().IsInt64() {
		return 0, fmt.Errorf("%q has more than six decimals", s)
	}
	return r.Num().Int64(), nil
}

func (p xy) x() (int64, error) { return millionths(p[0].String()) }
func (p xy) y() (int64, error) { return millionths(p[1].String()) }

// value looks up what a dimension says that it states: the fact's figure by panel.json, in nanometres or millionths of
// a degree. The words are those of stages/writedrawing/plan and stages/writedrawing/detail/facts.go; one that is not
// here is an error.
func (p panelFile) value(feature, what string) (int64, error) {
	unknown := fmt.Errorf("nothing is known of %s of %s", what, feature)
	if a, b, ok := strings.Cut(feature, " to "); ok {
		return p.between(a, b, what)
	}
	field := func(of map[string]any, name string) (int64, error) {
		if n, ok := of[name].(json.Number); ok {
			return millionths(n.String())
		}
		return 0, fmt.Errorf("%s has no %s", feature, name)
	}
	if feature == "panel" {
		switch what {
		case "width":
			return millionths(p.Width.String())
		case "height":
			return millionths(p.Height.String())
		case "thickness":
			return millionths(p.Thickness.String())
		case "datum_x", "datum_y":
			return 0, nil
		case "corner_radius":
			return p.cornerRadius()
		}
		return 0, unknown
	}
	for _, c := range p.Copies {
		if c.ID != feature {
			continue
		}
		switch what {
		case "left":
			return c.Box[0].x()
		case "lower":
			return c.Box[0].y()
		case "x":
			return millionths(c.X.String())
		case "y":
			return millionths(c.Y.String())
		case "rotation":
			return millionths(c.Rotation.String())
		}
		return 0, unknown
	}
	for _, r := range p.Rails {
		if r.ID != feature {
			continue
		}
		side := feature[strings.LastIndex(feature, "/")+1:]
		switch {
		case what == "inner_y" && side == "lower":
			return r.Box[1].y()
		case what == "inner_y" && side == "upper":
			return r.Box[0].y()
		case what == "inner_x" && side == "left":
			return r.Box[1].x()
		case what == "inner_x" && side == "right":
			return r.Box[0].x()
		}
		return 0, unknown
	}
	for _, m := range p.Marks {
		if m["id"] != feature {
			continue
		}
		switch what {
		case "x", "y":
			at, ok := m["at_mm"].([]any)
			if !ok || len(at) != 2 {
				return 0, fmt.Errorf("%s has no place", feature)
			}
			return millionths(at[map[string]int{"x": 0, "y": 1}[what]].(json.Number).String())
		case "diameter", "mask_diameter", "clear_diameter":
			return field(m, what+"_mm")
		}
		return 0, unknown
	}
	for _, s := range p.Scores {
		if s["id"] != feature {
			continue
		}
		end := func(name string, axis int) (int64, error) {
			at, ok := s[name].([]any)
			if !ok || len(at) != 2 {
				return 0, fmt.Errorf("%s has no %s", feature, name)
			}
			return millionths(at[axis].(json.Number).String())
		}
		axis := 0 // along which it runs
		if x1, err := end("from_mm", 0); err != nil {
			return 0, err
		} else if x2, err := end("to_mm", 0); err != nil {
			return 0, err
		} else if x1 == x2 {
			axis = 1
		}
		switch what {
		case "thickness":
			return millionths(p.Thickness.String())
		case "remaining_web", "web_tolerance", "leave", "blade_offset_tolerance", "position_tolerance", "run_out", "blade_diameter":
			return field(s, what+"_mm")
		case "depth":
			return field(s, "depth_each_side_mm")
		case "included_angle":
			return field(s, "included_angle_deg")
		case "x", "y":
			across := map[string]int{"x": 0, "y": 1}[what]
			if across == axis {
				return 0, fmt.Errorf("%s runs along %s: it has no one %s", feature, what, what)
			}
			return end("from_mm", across)
		case "from", "to":
			return end(what+"_mm", axis)
		}
		return 0, unknown
	}
	for _, b := range p.Boards {
		if "boards."+b.Name == feature {
			if n, ok := map[string]json.Number{"width": b.Width, "height": b.Height, "thickness": b.Thickness}[what]; ok {
				return millionths(n.String())
			}
			return 0, unknown
		}
	}
	for _, x := range p.Tabs {
		if x.ID == feature {
			return p.ofTab(x, what, unknown, field)
		}
	}
	return 0, fmt.Errorf("panel.json has no %s", feature)
}

// ofTab is what is stated of a tab; of its rows, the first that has holes.
func (p panelFile) ofTab(x tab, what string, unknown error, field func(map[string]any, string) (int64, error)) (int64, error) {
	switch what {
	case "width":
		return millionths(x.Width.String())
	case "x":
		return x.Feet[0].x()
	case "y":
		return x.Feet[0].y()
	case "slot_width":
		return distance(x.Feet[0], x.Feet[1])
	case "along":
		dx, err := x.Along[0].Float64()
		if err != nil {
			return 0, err
		}
		dy, err := x.Along[1].Float64()
		if err != nil {
			return 0, err
		}
		return int64(math.Round(math.Atan2(dy, dx) * 180e6 / math.Pi)), nil
	}
	row := -1
	for _, h := range p.Perforations {
		if h.Tab == x.ID && (row < 0 || h.Row < row) {
			row = h.Row
		}
	}
	if row < 0 || row >= len(x.Rows) {
		return 0, fmt.Errorf("%s has no row of holes, and no %s", x.ID, what)
	}
	switch what {
	case "web", "shoulder", "stub_at_worst":
		return field(x.Rows[row], what+"_mm")
	case "inset":
		v, err := field(x.Rows[row], "inset_mm")
		return max(v, -v), err
	case "hole_diameter", "pitch":
		var holes []int
		for i, h := range p.Perforations {
			if h.Tab == x.ID && h.Row == row {
				holes = append(holes, i)
			}
		}
		if what == "hole_diameter" {
			return millionths(p.Perforations[holes[0]].Diameter.String())
		}
		if len(holes) < 2 {
			return 0, fmt.Errorf("a row of %s has one hole, and no pitch", x.ID)
		}
		return distance(p.Perforations[holes[0]].At, p.Perforations[holes[1]].At)
	}
	return 0, unknown
}

func distance(a, b xy) (int64, error) {
	var v [4]int64
	for i, n := range []json.Number{a[0], a[1], b[0], b[1]} {
		var err error
		if v[i], err = millionths(n.String()); err != nil {
			return 0, err
		}
	}
	return int64(math.Round(math.Hypot(float64(v[2]-v[0]), float64(v[3]-v[1])))), nil
}

// cornerRadius is the radius of the arc in the outline's lower left corner: of those that end on the left or the lower
// side.
func (p panelFile) cornerRadius() (int64, error) {
	for _, e := range p.Outline {
		if e.Center == nil {
			continue
		}
		x1, err := e.From.x()
		if err != nil {
			return 0, err
		}
		y1, err := e.To.y()
		if err != nil {
			return 0, err
		}
		if x1 == 0 && y1 == 0 { // counter-clockwise from the left side down to the lower
			return distance(e.From, *e.Center)
		}
	}
	return 0, fmt.Errorf("the panel's lower left corner is not round")
}

// between is what is stated of two bodies side by side: by their boxes.
func (p panelFile) between(a, b, what string) (int64, error) {
	x, err := p.box(a)
	if err != nil {
		return 0, err
	}
	y, err := p.box(b)
	if err != nil {
		return 0, err
	}
	kind, axis, _ := strings.Cut(what, "_")
	k, ok := map[string]int{"x": 0, "y": 1}[axis]
	switch {
	case ok && kind == "pitch":
		return y[k] - x[k], nil
	case ok && kind == "gap":
		if x[k] > y[k] {
			x, y = y, x
		}
		return y[k] - x[k+2], nil
	}
	return 0, fmt.Errorf("nothing is known of %s from %s to %s", what, a, b)
}

// figure finds the first figure of a text, behind "3× " where the text has such, and one in square brackets, which is in inches.
// within finds those behind "±" in the same way.
var (
	figure = regexp.MustCompile(`^(?:\D*?(\d+)× )?[^0-9[]*?(-?\d+(?:\.\d+)?)[^[]*?(?:\[[^0-9]*(-?\d+\.\d+)[^]]*\].*)?$`)
	within = regexp.MustCompile(`^()[^[±]*±(\d+(?:\.\d+)?)[^[]*(?:\[[^±]*±(\d+\.\d+)\])?$`)
)

// says tells whether a text states a value, and in which units: millimetres with three decimals at most, inches with
// four, or both. Angles stand in degrees, with a sign behind.
func says(text string, value int64, angle bool) (units string, ok bool) {
	return saysAt(figure, text, value, angle)
}

func saysAt(where *regexp.Regexp, text string, value int64, angle bool) (units string, ok bool) {
	m := where.FindStringSubmatch(text)
	if m == nil {
		return "", false
	}
	near := func(s string, unit float64, decimals int) bool {
		v, err := strconv.ParseFloat(s, 64)
		_, part, _ := strings.Cut(s, ".")
		return err == nil && len(part) <= decimals && math.Abs(v-float64(value)/unit) <= 0.5000001*math.Pow10(-decimals)
	}
	switch {
	case angle:
		return "", near(m[2], 1e6, 6) && strings.Contains(text, m[2]+"°")
	case m[3] != "":
		return "both", near(m[2], 1e6, 3) && near(m[3], 25.4e6, 4)
	case near(m[2], 25.4e6, 4) && len(m[2])-strings.Index(m[2], ".") == 5 && strings.Contains(m[2], "."):
		return "inch", true
	}
	return "mm", near(m[2], 1e6, 3)
}

// disagreements holds what a DXF file and a PDF file state against panel.json.
func disagreements(p panelFile, c cadFile, words pdfText) (out []string) {
	add := func(format string, args ...any) { out = append(out, fmt.Sprintf(format, args...)) }
	seen := map[drawing.Fact]string{}
	units := map[string]string{}
	texts, times := map[string]int{}, map[drawing.Fact]int{}
	for _, d := range append(slices.Clone(c.Dimensions), c.Notes...) {
		texts[d.Text]++
		if len(d.Facts) == 0 {
			add("%q does not say what it states", d.Text)
			continue
		}
		if d.Value == nil {
			add("%q has no value", d.Text)
			continue
		}
		stated, err := d.Value.Float64()
		if err != nil {
			add("%q: %v", d.Text, err)
			continue
		}
		angle, more := d.Kind == "angle", 0.0
		for _, f := range d.Facts {
			if len(f) != 2 {
				add("%q states %q, which is no feature and what of it", d.Text, f)
				continue
			}
			fact := drawing.Fact{Feature: f[0], What: f[1]}
			if before, ok := seen[fact]; ok {
				add("%s of %s is stated twice: %q and %q", fact.What, fact.Feature, before, d.Text)
			}
			seen[fact], times[fact] = d.Text, max(1, d.Times)
			angle = angle || fact.What == "included_angle" || fact.What == "rotation" || fact.What == "along"
			want, err := p.value(fact.Feature, fact.What)
			if err != nil {
				add("%q: %v", d.Text, err)
				continue
			}
			if strings.HasSuffix(fact.What, "_tolerance") && len(d.Facts) > 1 { // of the figure before it
				if _, ok := saysAt(within, d.Text, want, false); !ok {
					add("%s of %s is %s by panel.json; the drawing says %q", fact.What, fact.Feature, geom.Length(want).Decimal(), d.Text)
				}
				continue
			}
			if got := int64(math.Round(stated * 1e6)); got != want {
				add("%s of %s is %d nm by panel.json; %q is said to state %d", fact.What, fact.Feature, want, d.Text, got)
			}
			unit, ok := says(d.Text, want, angle)
			if fact.What == "inset" && want == 0 { // in words
				unit, ok = "", strings.Contains(d.Text, "touch")
			}
			if !ok {
				add("%s of %s is %s by panel.json; the drawing says %q", fact.What, fact.Feature, geom.Length(want).Decimal(), d.Text)
			} else if unit != "" {
				units[unit] = d.Text
			}
			if fact.What == "web" || fact.What == "shoulder" {
				more = 1e-3 // panel.json has these rounded down to whole micrometres, the safe way
			}
		}
		if d.Kind != "note" {
			// Places in details are turned and rounded to the nanometre: a few of those may add up.
			if d.Measured == nil || *d.Measured < stated-5e-6 || *d.Measured > stated+more+5e-6 {
				add("%q measures %v", d.Text, *d.Measured)
			}
			if d.Actual == nil || *d.Actual != stated {
				add("%q: group 42 disagrees with its value", d.Text)
			}
		}
		if times := strconv.Itoa(d.Times) + "× "; d.Times > 1 && !strings.Contains(" "+d.Text, " "+times) {
			add("%q follows %d times in a row and does not say so", d.Text, d.Times)
		}
	}
	if len(units) > 1 {
		add("some texts are in millimetres and some in inches: %v", units)
	}
	out = append(out, missing(p.required(), times)...)
	faults, cells := cellFaults(p, c)
	out = append(append(out, faults...), missing(p.requiredCells(), cells)...)
	for _, s := range sorted(texts) {
		if n := words.said(s); n < texts[s] {
			add("the PDF says %q %d times, the DXF %d times", s, n, texts[s])
		}
	}
	return out
}

func sorted[V any](m map[string]V) (out []string) {
	for k := range m {
		out = append(out, k)
	}
	slices.Sort(out)
	return out
}

func readPanel(t *testing.T, file string) panelFile {
	t.Helper()
	f, err := os.Open(file)
	require.NoError(t, err)
	defer func() { _ = f.Close() }()
	return decodePanel(t, json.NewDecoder(f))
}

func decodePanel(t *testing.T, d *json.Decoder) panelFile {
	t.Helper()
	d.UseNumber()
	var p panelFile
	require.NoError(t, d.Decode(&p))
	return p
}

// made is a panel whose figures were written by hand, and a sheet that states some of them.
const made = `{"boards": [{"name": "gauge", "width_mm": 62, "height_mm": 41, "thickness_mm": 1.6}], "width_mm": 100.5, "height_mm": 80, "thickness_mm": 1.6,
"outline_mm": [{"from": [2, 0], "to": [98.5, 0]}, {"from": [0, 3], "to": [2, 0], "center": [2, 2]}],
"copies": [{"id": "A1", "board": "gauge", "x_mm": -90, "y_mm": 10.000001, "rotation_deg": 180, "box_mm": [[10, 12], [40, 32]]},
 {"id": "B1", "board": "gauge", "x_mm": 0, "y_mm": 0, "rotation_deg": 0, "box_mm": [[42.4, 12], [72.4, 32]]}],
"rails": [{"id": "rail/lower", "box_mm": [[0, 0], [100.5, 8]]}, {"id": "rail/left", "box_mm": [[0, 8], [7.5, 72]]}],
"marks": [{"id": "fiducial/1", "kind": "fiducial", "at_mm": [5, 4.123457], "diameter_mm": 1, "mask_diameter_mm": 2}],
"tabs": [{"id": "A1/tab/upper/1", "width_mm": 3.9, "feet_mm": [[3, 4], [3, 6]], "along": [0, -1], "rows": [{"web_mm": 9}, {"web_mm": 0.3, "inset_mm": -0.05, "shoulder_mm": 0.35, "stub_at_worst_mm": 0.2}]}],
"perforations": [{"id": "h1", "tab": "A1/tab/upper/1", "row": 1, "at_mm": [1, 1], "diameter_mm": 0.5}, {"id": "h2", "tab": "A1/tab/upper/1", "row": 1, "at_mm": [1.6, 1.8], "diameter_mm": 0.5}],
"scores": [{"id": "score/y1", "from_mm": [0, 41.2], "to_mm": [100.5, 41.2], "remaining_web_mm": 0.4, "depth_each_side_mm": 0.6, "included_angle_deg": 30}]}`

// TestValues: each fact is what a person reads in panel.json, and what nobody knows is an error.
func TestValues(t *testing.T) {
	p := decodePanel(t, json.NewDecoder(strings.NewReader(made)))
	for _, c := range []struct {
		feature, what string
		want          int64 // -1: an error
	}{
		{"panel", "width", 100_500_000}, {"panel", "height", 80_000_000}, {"panel", "thickness", 1_600_000}, {"panel", "datum_x", 0}, {"panel", "corner_radius", 2_236_068}, {"panel", "depth", -1},
		{"A1", "left", 10_000_000}, {"A1", "lower", 12_000_000}, {"A1", "x", -90_000_000}, {"A1", "y", 10_000_001}, {"A1", "rotation", 180_000_000}, {"A1", "width", -1},
		{"rail/lower", "inner_y", 8_000_000}, {"rail/left", "inner_x", 7_500_000}, {"rail/left", "inner_y", -1}, {"rail/lower", "width", -1},
		{"fiducial/1", "x", 5_000_000}, {"fiducial/1", "y", 4_123_457}, {"fiducial/1", "diameter", 1_000_000}, {"fiducial/1", "mask_diameter", 2_000_000}, {"fiducial/1", "clear_diameter", -1}, {"fiducial/2", "x", -1},
		{"A1 to B1", "pitch_x", 32_400_000}, {"A1 to B1", "gap_x", 2_400_000}, {"B1 to A1", "gap_x", 2_400_000}, {"A1 to B1", "pitch_y", 0}, {"rail/lower to A1", "gap_y", 4_000_000}, {"A1 to C1", "gap_x", -1}, {"A1 to B1", "width", -1},
		{"score/y1", "y", 41_200_000}, {"score/y1", "x", -1}, {"score/y1", "from", 0}, {"score/y1", "to", 100_500_000}, {"score/y1", "remaining_web", 400_000}, {"score/y1", "depth", 600_000}, {"score/y1", "included_angle", 30_000_000},
		{"score/y1", "thickness", 1_600_000}, {"score/y1", "run_out", -1}, {"score/y1", "colour", -1},
		{"A1/tab/upper/1", "width", 3_900_000}, {"A1/tab/upper/1", "slot_width", 2_000_000}, {"A1/tab/upper/1", "x", 3_000_000}, {"A1/tab/upper/1", "along", -90_000_000}, {"A1/tab/upper/1", "web", 300_000}, {"A1/tab/upper/1", "inset", 50_000},
		{"A1/tab/upper/1", "shoulder", 350_000}, {"A1/tab/upper/1", "stub_at_worst", 200_000}, {"A1/tab/upper/1", "hole_diameter", 500_000}, {"A1/tab/upper/1", "pitch", 1_000_000}, {"A1/tab/upper/1", "colour", -1},
	} {
		got, err := p.value(c.feature, c.what)
		if c.want == -1 {
			require.Error(t, err, "%s %s", c.feature, c.what)
			continue
		}
		require.NoError(t, err, "%s %s", c.feature, c.what)
		require.Equal(t, c.want, got, "%s %s", c.feature, c.what)
	}
}

func TestSays(t *testing.T) {
	for _, c := range []struct {
		text  string
		value int64
		angle bool
		units string
		ok    bool
	}{
		{"25.4", 25_400_000, false, "mm", true}, {"25.41", 25_400_000, false, "mm", false}, {"25.4", 25_400_400, false, "mm", true}, {"25.4", 25_400_600, false, "mm", false}, {"25.40040", 25_400_400, false, "mm", false},
		{"1.0000", 25_400_000, false, "inch", true}, {"1.0001", 25_400_000, false, "mm", false}, {"25.4 [1.0000]", 25_400_000, false, "both", true}, {"25.4 [1.0001]", 25_400_000, false, "both", false}, {"25.5 [1.0000]", 25_400_000, false, "both", false},
		{"3× 57", 57_000_000, false, "mm", true}, {"57× 3", 57_000_000, false, "mm", false}, {"Ø0.5 ±0.076", 500_000, false, "mm", true}, {"5× Ø0.5 ±0.076", 500_000, false, "mm", true}, {"(2.4)", 2_400_000, false, "mm", true},
		{"Stub on the board after breaking, at worst 0.2", 200_000, false, "mm", true}, {"R3", 3_000_000, false, "mm", true}, {"30°", 30_000_000, true, "", true}, {"30", 30_000_000, true, "", false}, {"31°", 30_000_000, true, "", false},
		{"pitch 4× 0.8", 800_000, false, "mm", true}, {"pitch 4× 0.8", 4_000_000, false, "mm", false}, {"0", 0, false, "mm", true}, {"-1.5", -1_500_000, false, "mm", true}, {"none", 0, false, "", false}, {"Ø0.5 ±0.08 [Ø0.0197 ±0.0031]", 500_000, false, "both", true},
	} {
		units, ok := says(c.text, c.value, c.angle)
		require.Equal(t, c.ok, ok, c.text)
		if ok {
			require.Equal(t, c.units, units, c.text)
		}
	}
}

func TestSaysWithin(t *testing.T) {
	for text, want := range map[string]bool{"0.3 ±0.1": true, "0.3 ±0.1 [0.0118 ±0.0039]": true, "0.0118 ±0.0039": true, "0.1": false, "0.1 ±0.2": false, "0.3 ±0.1 [0.0118 ±0.0040]": false, "±0.1": true} {
		_, ok := saysAt(within, text, 100_000, false)
		require.Equal(t, want, ok, text)
	}
}

// statement is a sheet that states what must be stated of the panel made by hand.
func statement() drawing.Sheet {
	s := drawing.Sheet{Name: "1", Box: samples.A4, Views: []drawing.View{
		{Name: "plan", Scale: drawing.Scale{Paper: 1, Real: 2}, Origin: samples.Pt(20, 20)},
		{Name: "detail A", Scale: drawing.Scale{Paper: 10, Real: 1}, Origin: samples.Pt(200, 100)}}}
	add := func(kind drawing.DimensionKind, view int, words string, from, to geom.Point, value int64, facts ...drawing.Fact) {
		y := 190 - 6*float64(len(s.Dimensions))
		t := text(words, 150, y)
		t.Layer = drawing.Dimensions
		s.Dimensions = append(s.Dimensions, drawing.Dimension{Kind: kind, View: view, From: from, To: to, Value: value, Text: t, Of: facts,
			Lines: []drawing.Shape{{Layer: drawing.Dimensions, Pen: drawing.Fine, Paths: []geom.Path{{geom.Line(samples.Pt(140, y), samples.Pt(149, y))}}}}})
	}
	fact := func(f, w string) drawing.Fact { return drawing.Fact{Feature: f, What: w} }
	var o geom.Point
	add(drawing.OrdinateX, 0, "0", o, o, 0, fact("panel", "datum_x"))
	add(drawing.OrdinateY, 0, "0", o, o, 0, fact("panel", "datum_y"))
	add(drawing.LinearX, 0, "100.5", o, samples.Pt(100.5, 80), 100_500_000, fact("panel", "width"))
	add(drawing.LinearY, 0, "80", o, samples.Pt(100.5, 80), 80_000_000, fact("panel", "height"))
	add(drawing.OrdinateX, 0, "5", o, geom.Pt(5_000_000, 4_123_457), 5_000_000, fact("fiducial/1", "x"))
	add(drawing.OrdinateY, 0, "4.123", o, geom.Pt(5_000_000, 4_123_457), 4_123_457, fact("fiducial/1", "y"))
	add(drawing.OrdinateY, 0, "8", o, samples.Pt(0, 8), 8_000_000, fact("rail/lower", "inner_y"))
	add(drawing.OrdinateX, 0, "7.5", o, samples.Pt(7.5, 8), 7_500_000, fact("rail/left", "inner_x"))
	add(drawing.OrdinateY, 0, "41.2", o, samples.Pt(0, 41.2), 41_200_000, fact("score/y1", "y"))
	add(drawing.LinearX, 1, "(2.4)", o, samples.Pt(2.4, 0), 2_400_000, fact("A1 to B1", "gap_x"))
	note := func(words string, value int64, facts ...drawing.Fact) {
		s.Dimensions = append(s.Dimensions, drawing.Dimension{Value: value, Text: text(words, 20, 200-6*float64(len(s.Dimensions))), Of: facts})
	}
	note("Stub, at worst 0.2", 200_000, fact("A1/tab/upper/1", "stub_at_worst"))
	note("first copy, from the left 10", 10_000_000, fact("A1", "left"))
	note("first copy, from below 12", 12_000_000, fact("A1", "lower"))
	note("pitch 32.4", 32_400_000, fact("A1 to B1", "pitch_x"))
	note("beside the lower rail 4", 4_000_000, fact("rail/lower to B1", "gap_y"))
	note("beside the left rail 2.5", 2_500_000, fact("rail/left to A1", "gap_x"))
	note("tab 3.9", 3_900_000, fact("A1/tab/upper/1", "width"))
	note("slot (2)", 2_000_000, fact("A1/tab/upper/1", "slot_width"))
	note("Ø0.5", 500_000, fact("A1/tab/upper/1", "hole_diameter"))
	note("web 0.3", 300_000, fact("A1/tab/upper/1", "web"))
	note("between holes 1", 1_000_000, fact("A1/tab/upper/1", "pitch"))
	note("thickness 1.6", 1_600_000, fact("score/y1", "thickness"))
	note("remaining web 0.4", 400_000, fact("score/y1", "remaining_web"))
	note("depth 0.6", 600_000, fact("score/y1", "depth"))
	note("whole angle 30°", 30_000_000, fact("score/y1", "included_angle"))
	note("R2.236", 2_236_068, fact("panel", "corner_radius"))
	note("Ø1 copper", 1_000_000, fact("fiducial/1", "diameter"))
	note("Ø2 mask opening", 2_000_000, fact("fiducial/1", "mask_diameter"))

	cell := func(words string, facts ...drawing.Fact) drawing.Cell { return drawing.Cell{S: words, Of: facts} }
	tables := drawing.Table{Name: "Places", Columns: []drawing.Column{{Head: "Which"}, {Head: "X"}, {Head: "Y"}, {Head: "Rotation"}}, Rows: [][]drawing.Cell{
		{cell("A1"), cell("-90", fact("A1", "x")), cell("10", fact("A1", "y")), cell("180°", fact("A1", "rotation"))},
		{cell("B1"), cell("0", fact("B1", "x")), cell("0", fact("B1", "y")), cell("0°", fact("B1", "rotation"))},
		{cell("tab"), cell("x 3", fact("A1/tab/upper/1", "x")), cell("y 4", fact("A1/tab/upper/1", "y"))},
		{cell("score"), cell("0", fact("score/y1", "from")), cell("100.5", fact("score/y1", "to"))},
		{cell("board"), cell("62 × 41 and more words than one line of this narrow table can hold", fact("boards.gauge", "width"), fact("boards.gauge", "height"))},
	}}
	piece, rest, ok := tables.Flow().Set(drawing.Usual(drawing.Metric), samples.Pt(90, 80))
	if !ok || rest != nil {
		panic("the table has no room")
	}
	s.Add(piece.Move(samples.Pt(200, 20)))
	return s
}

// TestPlantedFacts: what a drawing states wrongly, twice, or not at all is found, and told of by its words.
func TestPlantedFacts(t *testing.T) {
	p := decodePanel(t, json.NewDecoder(strings.NewReader(made)))
	look := func(cad, paper drawing.Sheet, change func(string) string) []string {
		return disagreements(p, readCAD(t, asCAD(t, change, cad)), wordsOf(t, written(t, paper)))
	}
	require.Empty(t, look(statement(), statement(), nil))
	for _, c := range []struct {
		name  string
		plant func(s *drawing.Sheet)
		want  string
	}{
		{"a wrong place", func(s *drawing.Sheet) { s.Dimensions[4].To.X++; s.Dimensions[4].To.X += 10 }, `"5" measures`},
		{"a wrong value", func(s *drawing.Sheet) { s.Dimensions[4].Value++ }, `x of fiducial/1 is 5000000 nm by panel.json; "5" is said to state 5000001`},
		{"a wrong text", func(s *drawing.Sheet) { s.Dimensions[5].Text.S = "4.124" }, `y of fiducial/1 is 4.123457 by panel.json; the drawing says "4.124"`},
		{"inches among millimetres", func(s *drawing.Sheet) { s.Dimensions[3].Text.S = "3.1496" }, "some texts are in millimetres and some in inches"},
		{"stated twice", func(s *drawing.Sheet) { s.Dimensions = append(s.Dimensions, s.Dimensions[9]) }, "gap_x of A1 to B1 is stated twice"},
		{"stated of nothing", func(s *drawing.Sheet) { s.Dimensions[9].Of = nil }, `"(2.4)" does not say what it states`},
		{"an unknown fact", func(s *drawing.Sheet) { s.Dimensions[9].Of[0].What = "gaps_x" }, "nothing is known of gaps_x from A1 to B1"},
		{"an unknown feature", func(s *drawing.Sheet) { s.Dimensions[10].Of[0].Feature = "A1/tab/upper/2" }, "panel.json has no A1/tab/upper/2"},
		{"not stated", func(s *drawing.Sheet) { s.Dimensions = slices.Delete(s.Dimensions, 8, 9) }, "nothing states y of score/y1"},
		{"the wrong kind", func(s *drawing.Sheet) { s.Dimensions[4].Kind = drawing.OrdinateY }, `"5" measures`},
		{"the wrong view", func(s *drawing.Sheet) { s.Views[1].Scale.Paper = 5; s.Dimensions[9].To.X *= 2 }, `"(2.4)" measures`},
		{"a wrong note", func(s *drawing.Sheet) { s.Dimensions[10].Text.S = "Stub, at worst 0.3" }, "stub_at_worst of A1/tab/upper/1 is 0.2"},
		{"a count that is not said", func(s *drawing.Sheet) { s.Dimensions[9].Times = 3 }, "follows 3 times in a row"},
	} {
		s := statement()
		c.plant(&s)
		require.Contains(t, strings.Join(look(s, s, nil), "\n"), c.want, c.name)
	}
	// Each thing that must be stated is missed when it is not.
	paper := wordsOf(t, written(t, statement()))
	whole := readCAD(t, asCAD(t, nil, statement()))
	without := func(from []stated, to *[]stated) {
		for i, d := range from {
			if d.Text == "Stub, at worst 0.2" || d.Facts[0][0] == "boards.gauge" {
				continue // that may be left out
			}
			*to = slices.Delete(slices.Clone(from), i, i+1)
			require.Contains(t, strings.Join(disagreements(p, whole, paper), "\n"), "nothing states ", "%q is missing", d.Text)
		}
		*to = from
	}
	without(whole.Dimensions, &whole.Dimensions)
	without(whole.Notes, &whole.Notes)
	without(whole.Cells, &whole.Cells)
	require.Empty(t, disagreements(p, whole, paper))
	// Cells whose words are not what they state.
	require.Greater(t, len(whole.Cells), 10)
	for _, c := range []struct{ was, is, want string }{
		{"-90", "90", `x of A1 is -90 by panel.json; the table says "90"`},
		{"180°", "180", `rotation of A1 is 180 by panel.json; the table says "180"`},
		{"x 3", "x 3, 4", `the table says "x 3, 4", where 4 is nothing that it states`},
		{"62 × 41", "41 × 62.001", "width of boards.gauge is 62 by panel.json"},
	} {
		spoilt := whole
		spoilt.Cells = slices.Clone(whole.Cells)
		i := slices.IndexFunc(spoilt.Cells, func(x stated) bool { return strings.HasPrefix(x.Text, c.was) })
		require.GreaterOrEqual(t, i, 0, c.was)
		spoilt.Cells[i].Text = c.is + spoilt.Cells[i].Text[len(c.was):]
		require.Contains(t, strings.Join(disagreements(p, spoilt, paper), "\n"), c.want, c.was)
	}
	// The two files disagree.
	s := statement()
	s.Dimensions = slices.Delete(s.Dimensions, 3, 4)
	require.Equal(t, []string{`the PDF says "80" 0 times, the DXF 1 times`}, look(statement(), s, nil))
	// The file's own figures disagree.
	require.Contains(t, strings.Join(look(statement(), statement(), func(s string) string { return strings.Replace(s, "\n42\n100.5\n", "\n42\n100.6\n", 1) }), "\n"), "group 42 disagrees")
	require.Contains(t, strings.Join(look(statement(), statement(), func(s string) string { return strings.Replace(s, "\n144\n0.05\n", "\n144\n0.5\n", 1) }), "\n"), `"(2.4)" measures`)
	shared.Ran(t, "drawing facts: planted faults")
}
