package bounds

import (
	"fmt"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"

	"panelwright/pipeline/geom"
)

// sheet is a small board as a test describes it; write makes its files. All numbers are millimetres, in
// the board's own coordinates. Without an outline it is a rectangle of 30 x 20 mm from (0, 0).
type sheet struct {
	Name      string // "gauge" unless given
	Layers    int    // copper layers, 2 unless given
	Width     float64
	Height    float64
	Outline   []geom.Path // the outer contour, then cut-outs; instead of Width and Height
	Profile   []drawn     // more objects of the profile's file
	Copper    map[int][]drawn
	Mask      map[string][]drawn // by side, "top" and "bottom"; both are written, empty ones too
	Legend    map[string][]drawn // only those named are written
	Paste     map[string][]drawn // only those named are written
	Plated    []bore
	NonPlated []bore
	Parts     []part
	Packages  string   // lines of the packages table below its header, see packagesHeader; "" for no table
	Leave     []string // files not to write, by name: "mask-top.gbr"
	Project   string   // the files' project and revision, "RG-1042,A"; "" for none
	Options   string   // more options and blocks of the board stage; thickness = 1.6 unless it says one
}

// drawn is one object of a layer.
type drawn struct {
	aperture string // of a flash or a stroke
	path     geom.Path
	kind     byte // 'f'lash, 's'troke, 'r'egion
	clear    bool
	function string // .AperFunction, "" for none
}

// bore is a hole, or a slot that runs to To.
type bore struct {
	X, Y, D  float64
	To       *[2]float64
	From, Up int // the span, both 0 for all layers
}

// part is a line of the placement file.
type part struct {
	Refdes, Package string
	X, Y, Turn      float64
	Bottom          bool
}

func at(x, y float64) geom.Point { return geom.Pt(geom.FromMM(x), geom.FromMM(y)) }

// dot is a round flash, pad a rectangular one.
func dot(x, y, d float64) drawn {
	return drawn{aperture: fmt.Sprintf("C,%s", digits(d)), path: geom.Path{geom.Line(at(x, y), at(x, y))}, kind: 'f'}
}

func pad(x, y, w, h float64) drawn {
	return drawn{aperture: fmt.Sprintf("R,%sX%s", digits(w), digits(h)), path: geom.Path{geom.Line(at(x, y), at(x, y))}, kind: 'f'}
}

// area is a filled region, erased a clear one.
func area(p geom.Path) drawn   { return drawn{path: p, kind: 'r'} }
func erased(p geom.Path) drawn { return drawn{path: p, kind: 'r', clear: true} }

// box is a closed rectangle.
func box(x0, y0, x1, y1 float64) geom.Path {
	return geom.Rectangle(geom.Box{Min: at(x0, y0), Max: at(x1, y1)})
}

// polygon is a closed contour through places.
func polygon(xy ...float64) geom.Path {
	p := through(xy)
	return append(p, geom.Line(p[len(p)-1].To, p[0].From))
}

// disc is a whole circle.
func disc(x, y, r float64) geom.Path {
	return geom.Path{geom.Arc(at(x+r, y), at(x-r, y), at(x, y), geom.CounterClockwise), geom.Arc(at(x-r, y), at(x+r, y), at(x, y), geom.CounterClockwise)}
}

func through(xy []float64) geom.Path {
	var p geom.Path
	for i := 2; i+1 < len(xy); i += 2 {
		p = append(p, geom.Line(at(xy[i-2], xy[i-1]), at(xy[i], xy[i+1])))
	}
	return p
}

func digits(mm float64) string { return geom.FromMM(mm).Decimal() }

// packagesHeader names the columns of the packages table.
const packagesHeader = "package,length_mm,width_mm,height_mm,mass_mg,overhang,fragile,class,underside_mm,offset_x_mm,offset_y_mm"

func (s sheet) name() string {
	if s.Name == "" {
		return "gauge"
	}
	return s.Name
}

func (s sheet) layers() int {
	if s.Layers == 0 {
		return 2
	}
	return s.Layers
}

func (s sheet) contours() []geom.Path {
	if s.Outline != nil {
		return s.Outline
	}
	w, h := s.Width, s.Height
	if w == 0 {
		w = 30
	}
	if h == 0 {
		h = 20
	}
	return []geom.Path{box(0, 0, w, h)}
}

// write writes the board's files into the folder dir/name and gives the block that reads them.
func (s sheet) write(t testing.TB, dir string) (stage string) {
	t.Helper()
	home := filepath.Join(dir, s.name())
	require.NoError(t, os.MkdirAll(home, 0o755))
	put := func(name, text string) {
		for _, l := range s.Leave {
			if l == name {
				return
			}
		}
		require.NoError(t, os.WriteFile(filepath.Join(home, name), []byte(text), 0o644))
	}
	var edge []drawn
	for _, p := range s.contours() {
		edge = append(edge, drawn{aperture: "C,0.05", path: p, kind: 's'})
	}
	put("profile.gbr", s.layer("Profile,NP", append(edge, s.Profile...)))
	for i := 1; i <= s.layers(); i++ {
		side := "Inr"
		if i == 1 {
			side = "Top"
		} else if i == s.layers() {
			side = "Bot"
		}
		put(fmt.Sprintf("copper-%d.gbr", i), s.layer(fmt.Sprintf("Copper,L%d,%s", i, side), s.Copper[i]))
	}
	word := map[string]string{"top": "Top", "bottom": "Bot"}
	for _, side := range []string{"top", "bottom"} {
		put("mask-"+side+".gbr", s.layer("Soldermask,"+word[side], s.Mask[side]))
		if d, ok := s.Legend[side]; ok {
			put("legend-"+side+".gbr", s.layer("Legend,"+word[side], d))
		}
		if d, ok := s.Paste[side]; ok {
			put("paste-"+side+".gbr", s.layer("Paste,"+word[side], d))
		}
	}
	spans := map[string][]bore{}
	var order []string
	group := func(plating, kind string, all []bore) {
		for _, b := range all {
			from, to := b.From, b.Up
			if from == 0 {
				from, to = 1, s.layers()
			}
			k := kind
			if from > 1 && to < s.layers() {
				k = "Buried"
			} else if from > 1 || to < s.layers() {
				k = "Blind"
			}
			key := fmt.Sprintf("%s,%d,%d,%s", plating, from, to, k)
			if _, ok := spans[key]; !ok {
				order = append(order, key)
			}
			spans[key] = append(spans[key], b)
		}
	}
	group("Plated", "PTH", s.Plated)
	group("NonPlated", "NPTH", s.NonPlated)
	for _, key := range order {
		put("drill-"+strings.ToLower(strings.ReplaceAll(key, ",", "-"))+".drl", s.drill(key, spans[key]))
	}
	stage = fmt.Sprintf("stage \"board\" {\n  name  = %q\n  files = %q\n", s.name(), s.name())
	if len(s.Parts) > 0 {
		put("placement.csv", s.placement())
		stage += "  placement \"placement.csv\" {\n    unit  = \"mm\"\n    shift = [0, 0]\n  }\n"
	}
	if s.Packages != "" {
		require.NoError(t, os.WriteFile(filepath.Join(dir, s.name()+".packages.csv"), []byte(packagesHeader+"\n"+s.Packages), 0o644))
		stage += fmt.Sprintf("  packages = %q\n", s.name()+".packages.csv")
	}
	if !strings.Contains(s.Options, "thickness") {
		stage += "  thickness = 1.6\n"
	}
	return stage + s.Options + "\n}\n"
}

func (s sheet) project() string {
	if s.Project == "" {
		return ""
	}
	name, revision, _ := strings.Cut(s.Project, ",")
	return fmt.Sprintf("TF.ProjectId,%s,3c1f2f6a-54a7-4a0a-9d52-0d1c58a1b8e7,%s", name, revision)
}

func (s sheet) layer(function string, objects []drawn) string {
	var b strings.Builder
	b.WriteString("%FSLAX46Y46*%\n%MOMM*%\n%TF.FileFunction," + function + "*%\n")
	if p := s.project(); p != "" {
		b.WriteString("%" + p + "*%\n")
	}
	b.WriteString("G75*\n")
	codes := map[string]int{}
	code := func(o drawn) int { return codes[o.aperture+" "+o.function] }
	for _, o := range objects {
		if o.aperture == "" || code(o) != 0 {
			continue
		}
		codes[o.aperture+" "+o.function] = 10 + len(codes)
		if o.function != "" {
			b.WriteString("%TA.AperFunction," + o.function + "*%\n")
		}
		fmt.Fprintf(&b, "%%ADD%d%s*%%\n", code(o), o.aperture)
		if o.function != "" {
			b.WriteString("%TD*%\n")
		}
	}
	polarity := false
	for _, o := range objects {
		if o.clear != polarity {
			polarity = o.clear
			b.WriteString(map[bool]string{false: "%LPD*%\n", true: "%LPC*%\n"}[polarity])
		}
		switch o.kind {
		case 'f':
			fmt.Fprintf(&b, "D%d*\n%sD03*\n", code(o), xy(o.path[0].From))
			continue
		case 's':
			fmt.Fprintf(&b, "D%d*\n", code(o))
		case 'r':
			b.WriteString("G36*\n")
		}
		fmt.Fprintf(&b, "%sD02*\n", xy(o.path[0].From))
		for _, e := range o.path {
			switch e.Sense {
			case geom.Straight:
				fmt.Fprintf(&b, "G01*\n%sD01*\n", xy(e.To))
			default:
				mode := "G03"
				if e.Sense == geom.Clockwise {
					mode = "G02"
				}
				d := e.Center.Sub(e.From)
				fmt.Fprintf(&b, "%s*\n%sI%dJ%dD01*\n", mode, xy(e.To), d.X, d.Y)
			}
		}
		if o.kind == 'r' {
			b.WriteString("G37*\n")
		}
	}
	b.WriteString("M02*\n")
	return b.String()
}

func xy(p geom.Point) string { return fmt.Sprintf("X%dY%d", p.X, p.Y) }

func (s sheet) drill(function string, bores []bore) string {
	var b strings.Builder
	b.WriteString("M48\n; #@! TF.FileFunction," + function + "\n")
	if p := s.project(); p != "" {
		b.WriteString("; #@! " + p + "\n")
	}
	b.WriteString("METRIC\n")
	tools := map[string]int{}
	for _, h := range bores {
		if d := digits(h.D); tools[d] == 0 {
			tools[d] = len(tools) + 1
			fmt.Fprintf(&b, "T%dC%s\n", tools[d], d)
		}
	}
	b.WriteString("%\n")
	place := func(x, y float64) string {
		return fmt.Sprintf("X%sY%s", point(x), point(y))
	}
	for _, h := range bores {
		if h.To == nil {
			fmt.Fprintf(&b, "G05\nT%d\n%s\n", tools[digits(h.D)], place(h.X, h.Y))
		} else {
			fmt.Fprintf(&b, "T%d\nG00%s\nM15\nG01%s\nM16\n", tools[digits(h.D)], place(h.X, h.Y), place(h.To[0], h.To[1]))
		}
	}
	b.WriteString("M30\n")
	return b.String()
}

// point writes a number with a decimal point, which drill files need.
func point(mm float64) string {
	d := digits(mm)
	if !strings.Contains(d, ".") {
		d += ".0"
	}
	return d
}

func (s sheet) placement() string {
	var b strings.Builder
	b.WriteString("Refdes,Value,Package,X,Y,Rotation,Side\n")
	for _, p := range s.Parts {
		side := "top"
		if p.Bottom {
			side = "bottom"
		}
		fmt.Fprintf(&b, "%s,,%s,%s,%s,%g,%s\n", p.Refdes, p.Package, digits(p.X), digits(p.Y), p.Turn, side)
	}
	return b.String()
}
