package legend

import (
	"strings"

	"panelwright/pipeline"
	"panelwright/pipeline/geom"
	"panelwright/pipeline/panel"
	"panelwright/pipeline/panel/lettering"
)

// A piece is one print in reading direction: in its group it stands about y = 0.
type piece struct {
	what  string      // "text", "arrow", "code", "label_area"
	print panel.Print // without id and area
	box   geom.Box    // what it takes up
}

// A group is what one call prints, side by side.
type group struct {
	pieces []piece
	box    geom.Box
}

// add sets a piece beside what is there.
func (g *group) add(p piece, gap geom.Length) {
	d := geom.Point{X: -p.box.Min.X}
	if len(g.pieces) > 0 {
		d.X += g.box.Max.X + gap
	}
	t := geom.Transform{Shift: d}
	p.box = p.box.Move(d)
	for i, l := range p.print.Lines {
		p.print.Lines[i].Path = t.Path(l.Path)
	}
	for i := range p.print.Dots {
		p.print.Dots[i].At = p.print.Dots[i].At.Add(d)
	}
	for i, a := range p.print.Areas {
		p.print.Areas[i] = t.Path(a)
	}
	if len(g.pieces) == 0 {
		g.box = geom.EmptyBox()
	}
	g.pieces = append(g.pieces, p)
	g.box = g.box.Union(p.box)
}

// says is what the call prints in letters and in its code; either is empty where there is nothing to say.
type says struct{ text, code string }

// says settles what is printed, and tells of a date that is not known.
func (l *Legend) says(env *pipeline.Env, in panel.Panel) (says, error) {
	var out says
	var asked [2][]string
	if l.writes() {
		asked[0] = l.Words
		if len(l.Words) == 0 && l.Text == "" {
			asked[0] = usual
		}
		said, err := words(env, in, asked[0], false)
		if err != nil {
			return out, err
		}
		if !l.Stacked && len(said) > 0 {
			said = []string{strings.Join(said, "  ")}
		}
		if l.Text != "" {
			said = append(said, l.Text)
		}
		out.text = strings.Join(said, "\n")
	}
	for _, c := range l.Code {
		if out.code = c.Content; out.code == "" {
			asked[1] = c.words()
			said, err := words(env, in, asked[1], true)
			if err != nil {
				return out, err
			}
			out.code = strings.Join(said, " ")
		}
	}
	var silent []string // what was to say the date and nothing else
	if len(asked[0]) > 0 && out.text == "" {
		silent = append(silent, l.base()+"text")
	}
	if len(asked[1]) > 0 && out.code == "" {
		silent = append(silent, l.base()+"code")
	}
	noDate(env, silent, asked[:]...)
	return out, nil
}

// group lays out all that the call prints, as it looks before the group is turned.
func (l *Legend) group(in panel.Panel, say says, turn geom.Angle) (group, error) {
	var g group
	gap := max(l.LetterHeight, l.Clearance)
	add := func(p piece, err error) error {
		if err == nil && !p.box.Empty() {
			g.add(p, gap)
		}
		return err
	}
	if l.Arrow != "" {
		if err := add(l.arrow(in, turn)); err != nil {
			return g, err
		}
	}
	for _, c := range l.Code {
		if err := add(l.code(in, c, say.code)); err != nil {
			return g, err
		}
	}
	if say.text != "" {
		if err := add(l.text(in, say.text)); err != nil {
			return g, err
		}
	}
	for _, a := range l.LabelArea {
		if err := add(l.labelArea(in, a)); err != nil {
			return g, err
		}
	}
	return g, nil
}

// text lays out letters.
func (l *Legend) text(in panel.Panel, text string) (piece, error) {
	f, err := l.layer(in, l.MadeOf)
	if err != nil {
		return piece{}, err
	}
	lay, err := lettering.Lay(text, l.LetterHeight, l.StrokeWidth, lettering.Align(l.Align))
	if err != nil {
		return piece{}, err
	}
	lay = lay.Place(panel.Top, 0, geom.Pt(0, -lay.Block.Height()/2)) // capitals stand about y = 0
	return piece{"text", panel.Print{Use: panel.Lettering, Layers: []panel.Function{f}, Text: text, Lines: lay.Lines, Dots: lay.Dots,
		LetterHeight: l.LetterHeight}, lay.Box.Union(lay.Block)}, nil
}

// directions are those of an arrow on the panel.
var directions = map[string]geom.Angle{"right": 0, "up": geom.Quarter, "left": geom.Half, "down": 3 * geom.Quarter}

// arrow draws the arrow so that it points as asked once the group is turned.
func (l *Legend) arrow(in panel.Panel, turn geom.Angle) (piece, error) {
	f, err := l.layer(in, l.MadeOf)
	if err != nil {
		return piece{}, err
	}
	lay, err := lettering.Lay("→", l.arrowLength(), l.StrokeWidth, lettering.Left)
	if err != nil {
		return piece{}, err
	}
	to := directions[l.Arrow] - turn
	if l.Side == string(panel.Bottom) { // mirrored, a points to 180° − a
		to = geom.Half - to
	}
	mid := lay.Box.Center()
	lay = lay.Place(panel.Top, 0, geom.Pt(-mid.X, -mid.Y)).Place(panel.Top, to, geom.Point{})
	return piece{"arrow", panel.Print{Use: panel.Lettering, Layers: []panel.Function{f}, Text: "direction of travel: " + l.Arrow, Lines: lay.Lines}, lay.Box}, nil
}

// labelArea keeps an area free, with a frame round it or none.
func (l *Legend) labelArea(in panel.Panel, a LabelArea) (piece, error) {
	f, err := l.layer(in, l.MadeOf)
	if err != nil {
		return piece{}, err
	}
	box := geom.Box{Min: geom.Pt(-a.Width/2, -a.Height/2)}
	box.Max = box.Min.Add(geom.Pt(a.Width, a.Height))
	p := panel.Print{Use: panel.LabelArea, Layers: []panel.Function{f}, Text: "for a label of " + sizeText(box)}
	if a.Frame == nil || *a.Frame { // outside the area, which a label may fill
		w := l.StrokeWidth
		frame := box.Grow((w + 1) / 2)
		p.Lines = []panel.PenLine{{Path: geom.Rectangle(frame), Width: w}}
		box = frame.Grow((w + 1) / 2)
	}
	return piece{"label_area", p, box}, nil
}

// turn is how far the group is turned on a rail of that side; "" is for what does not go to a rail.
func (l *Legend) turn(on panel.RailSide) geom.Angle {
	if l.Turn != nil {
		return l.Turn.Normal()
	}
	if on == panel.Left || on == panel.Right {
		return geom.Quarter
	}
	return 0
}
