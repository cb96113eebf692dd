package panel

import (
	"strconv"
	"strings"

	"panelwright/pipeline/geom"
)

type printData struct {
	ID     string       `json:"id"`
	Use    string       `json:"use"`
	Layers []string     `json:"layers"`
	Text   string       `json:"text,omitempty"`
	Copy   string       `json:"copy,omitempty"`
	Area   [2]xy        `json:"area_mm"`
	Dots   []dotsData   `json:"dots,omitempty"`
	Lines  []lineData   `json:"lines,omitempty"`
	Areas  [][]edgeData `json:"areas_mm,omitempty"`

	LetterHeight mm     `json:"letter_height_mm,omitempty"`
	Symbology    string `json:"symbology,omitempty"`
	Square       mm     `json:"square_mm,omitempty"`
}

// dotsData is dots of one size that follow one another.
type dotsData struct {
	Diameter mm   `json:"diameter_mm"`
	At       []xy `json:"at_mm"`
}

type lineData struct {
	Width mm         `json:"width_mm"`
	Path  []edgeData `json:"path_mm"`
}

func dataOfPrint(p Print) printData {
	x := printData{ID: p.ID, Use: string(p.Use), Text: p.Text, Copy: p.Copy, Area: [2]xy{at(p.Area.Min), at(p.Area.Max)}, Areas: cutOutData(p.Areas),
		LetterHeight: mm(p.LetterHeight), Symbology: p.Symbology, Square: mm(p.Square)}
	for _, f := range p.Layers {
		x.Layers = append(x.Layers, f.Key())
	}
	for i, d := range p.Dots {
		if i == 0 || d.Diameter != p.Dots[i-1].Diameter {
			x.Dots = append(x.Dots, dotsData{Diameter: mm(d.Diameter)})
		}
		last := &x.Dots[len(x.Dots)-1]
		last.At = append(last.At, at(d.At))
	}
	for _, l := range p.Lines {
		x.Lines = append(x.Lines, lineData{mm(l.Width), pathData(l.Path)})
	}
	return x
}

func (r *reader) print(x printData) Print {
	p := Print{ID: x.ID, Use: PrintUse(x.Use), Text: x.Text, Copy: x.Copy, Area: geom.Box{Min: x.Area[0].point(), Max: x.Area[1].point()},
		LetterHeight: geom.Length(x.LetterHeight), Symbology: x.Symbology, Square: geom.Length(x.Square)}
	for _, key := range x.Layers {
		f, ok := functionOf(key)
		if !ok {
			r.fail("print %q stands on a layer %q, which is none", x.ID, key)
		}
		p.Layers = append(p.Layers, f)
	}
	for _, d := range x.Dots {
		for _, q := range d.At {
			p.Dots = append(p.Dots, Dot{q.point(), geom.Length(d.Diameter)})
		}
	}
	for _, l := range x.Lines {
		p.Lines = append(p.Lines, PenLine{r.path(x.ID, l.Path), geom.Length(l.Width)})
	}
	for _, a := range x.Areas {
		p.Areas = append(p.Areas, r.path(x.ID, a))
	}
	return p
}

// functionOf reads what Function.Key wrote.
func functionOf(key string) (Function, bool) {
	words := strings.Split(key, "-")
	f := Function{Kind: FunctionKind(words[0])}
	words = words[1:]
	if f.Kind == Copper {
		if len(words) == 0 {
			return f, false
		}
		n, err := strconv.Atoi(words[0])
		if err != nil {
			return f, false
		}
		f.Index, words = n, words[1:]
	}
	if len(words) > 0 {
		f.Side = Side(words[0])
	}
	return f, f.Key() == key
}
