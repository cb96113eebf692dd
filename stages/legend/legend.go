// Package legend prints on the panel's rails what people and machines read there: words, an arrow of
// travel, a two-dimensional code, and room for a label.
//
// What one call prints stands side by side as one group (group.go): arrow, code, words, label area, in
// reading direction. The group goes to a point, or to the first free place on a rail (room.go).
package legend

import (
	"context"
	"errors"
	"fmt"
	"regexp"
	"strings"

	"panelwright/pipeline"
	"panelwright/pipeline/geom"
	"panelwright/pipeline/panel"
	"panelwright/pipeline/panel/lettering"
)

// Kind is stage "legend".
func Kind() pipeline.Kind {
	return pipeline.Kind{
		Name:     "legend",
		Summary:  "Prints words, an arrow of travel, a two-dimensional code or room for a label on the rails; stands after the marks and score lines that it keeps clear of.",
		Role:     pipeline.Shape,
		Contract: pipeline.Contract,
		New: func() pipeline.Stage {
			// Letters of 2 mm with a pen of a tenth of that, as drawing standards write (ISO 3098, from
			// memory); clearance: common practice, no published source.
			return &Legend{LetterHeight: 2 * geom.MM, StrokeWidth: 200 * geom.UM, MadeOf: "legend", Side: "top", Align: "left", Clearance: 500 * geom.UM}
		},
	}
}

// Legend is the options of stage "legend".
type Legend struct {
	Name         string        `option:"name" help:"names the print in findings and panel.json: legend/<name>/text …; unless given, legend/text …"`
	Words        []string      `option:"words" choice:"product|part_number|revision|date|panel|panel_revision" help:"what is printed of boards, panel and SOURCE_DATE_EPOCH; product, part_number, revision and date unless anything is asked for"`
	Stacked      bool          `option:"stacked" help:"the words stand below one another instead of on one line"`
	Text         string        `option:"text" help:"printed as it is, below the words; \\n begins a new line"`
	LetterHeight geom.Length   `option:"letter_height" range:"0.3..50" help:"of capitals, from outside to outside"`
	StrokeWidth  geom.Length   `option:"stroke_width" range:"0.05..10" help:"of letters, arrow and frame"`
	MadeOf       string        `option:"made_of" choice:"legend|copper" help:"what words, arrow and frame are made of"`
	Bare         bool          `option:"bare" help:"opens the soldermask over what is made of copper"`
	Side         string        `option:"side" choice:"top|bottom" help:"the side of the panel; on the bottom all is mirrored, as seen from the top"`
	On           string        `option:"on" choice:"upper|lower|left|right" help:"the rail that carries it; unless given, the first that has room"`
	At           []geom.Length `option:"at" count:"2" range:"0..1000" help:"x and y on the panel instead of a free place on a rail: where align's end of the print lies, half-way up its letters"`
	Align        string        `option:"align" choice:"left|centre|right" help:"as the print is read: which end lies at the point, or to which end of the rail it goes"`
	Turn         *geom.Angle   `option:"turn" help:"counter-clockwise as seen from the top; unless given, along the rail: 0, or 90 on a left or right one"`
	Clearance    geom.Length   `option:"clearance" range:"0..50" help:"kept free round the print on a rail: to edges, holes, fiducials' clear areas, score lines, other prints"`
	Arrow        string        `option:"arrow" choice:"right|left|up|down" help:"prints an arrow that points so on the panel, as seen from the top: the direction of travel"`
	ArrowLength  *geom.Length  `option:"arrow_length" range:"1..200" help:"unless given, three letter heights"`
	Code         []Code        `block:"code" help:"a two-dimensional code"`
	LabelArea    []LabelArea   `block:"label_area" help:"room for a label that the line puts on"`
}

// Code is the code block.
type Code struct {
	Content    string       `option:"content" help:"what the code says, in printable ASCII; unless given, what words say"`
	Words      []string     `option:"words" choice:"product|part_number|revision|date|panel|panel_revision" help:"what the code says, parted by spaces; part_number and revision unless given"`
	Symbology  string       `option:"symbology" choice:"data_matrix|qr" help:"data_matrix unless given"`
	MadeOf     string       `option:"made_of" choice:"legend|copper" help:"legend unless given"`
	Module     *geom.Length `option:"module" range:"0.05..10" help:"side of one square; 0.5 mm unless given"`
	QuietZone  *int         `option:"quiet_zone" range:"0..20" help:"squares kept free all round; unless given, 1 for data_matrix and 4 for qr, the least that readers are promised"`
	PrintLight bool         `option:"print_light" help:"prints the light squares and the quiet zone instead of the dark ones: for white ink on a dark mask"`
}

// LabelArea is the label_area block.
type LabelArea struct {
	Width  geom.Length `option:"width" required:"true" range:"1..500" help:"in reading direction"`
	Height geom.Length `option:"height" required:"true" range:"1..500" help:"across it"`
	Frame  *bool       `option:"frame" help:"draws a frame round the area, outside it; true unless given"`
}

var nameRule = regexp.MustCompile(`^[a-z][a-z0-9]*(_[a-z0-9]+)*$`)

// Check refuses options that cannot be meant.
func (l *Legend) Check() error {
	var errs []error
	bad := func(o, why string) { errs = append(errs, &pipeline.BadOption{Option: o, Reason: why}) }
	if l.Name != "" && !nameRule.MatchString(l.Name) {
		bad("name", fmt.Sprintf("must be lower-case words and figures joined by underscores; %q is not", l.Name))
	}
	if l.On != "" && l.At != nil {
		bad("on", "says a rail, and at says a point: give one of them")
	}
	if l.LetterHeight < lettering.Thickest*l.StrokeWidth {
		bad("letter_height", fmt.Sprintf("must be at least %v for strokes of %v: thinner letters fill up", lettering.Thickest*l.StrokeWidth, l.StrokeWidth))
	} else if l.Text != "" {
		if _, err := lettering.Lay(l.Text, l.LetterHeight, l.StrokeWidth, lettering.Left); err != nil {
			bad("text", "cannot be printed: "+err.Error())
		}
	}
	if l.Arrow == "" && l.ArrowLength != nil {
		bad("arrow_length", "is given without an arrow: say arrow, or leave it out")
	}
	if a := l.arrowLength(); a < lettering.Thickest*l.StrokeWidth {
		bad("arrow_length", fmt.Sprintf("must be at least %v for strokes of %v", lettering.Thickest*l.StrokeWidth, l.StrokeWidth))
	}
	if len(l.Code) > 1 {
		bad("code", "is there twice: a call prints one code; add another call")
	}
	if len(l.LabelArea) > 1 {
		bad("label_area", "is there twice: a call keeps one area; add another call")
	}
	for _, c := range l.Code {
		if c.Content != "" && len(c.Words) > 0 {
			bad("code content", "and words are both given: the code says one of them")
		}
		if c.Content != "" {
			if _, err := c.matrix(c.Content); err != nil {
				bad("code content", err.Error())
			}
		}
	}
	if l.Turn != nil && *l.Turn%geom.Quarter != 0 && len(l.Code)+len(l.LabelArea) > 0 {
		bad("turn", "must be a whole number of quarter turns for a code or a label area")
	}
	if l.Bare && !l.anyCopper() {
		bad("bare", `is for what is made of copper: say made_of = "copper", here or in the code`)
	}
	return errors.Join(errs...)
}

func (l *Legend) anyCopper() bool {
	words := l.MadeOf == "copper" && (l.writes() || l.Arrow != "" || len(l.LabelArea) > 0)
	for _, c := range l.Code {
		words = words || c.MadeOf == "copper"
	}
	return words
}

// writes tells whether the call prints letters. A call that asks for nothing prints the usual words.
func (l *Legend) writes() bool {
	return len(l.Words) > 0 || l.Text != "" || l.Arrow == "" && len(l.Code)+len(l.LabelArea) == 0
}

func (l *Legend) arrowLength() geom.Length {
	if l.ArrowLength != nil {
		return *l.ArrowLength
	}
	return 3 * l.LetterHeight
}

// Parts tells that a print needs rails, or copies where it says its own point.
func (l *Legend) Parts() pipeline.Parts {
	need := "rails"
	if l.At != nil {
		need = "copies"
	}
	return pipeline.Parts{Needs: []string{need}, Gives: []string{"legend"}}
}

// Run lays the group out, finds its place and adds its prints.
func (l *Legend) Run(ctx context.Context, env *pipeline.Env, in panel.Panel) (pipeline.Result, error) {
	say, err := l.says(env, in)
	if err != nil {
		return pipeline.Result{}, err
	}
	if say == (says{}) && l.Arrow == "" && len(l.LabelArea) == 0 {
		return pipeline.Result{Panel: in}, nil // only a date, and there is none
	}
	var found place
	if l.At != nil {
		found, err = l.atPoint(in, say)
	} else {
		found, err = l.findRoom(ctx, in, say)
	}
	if err != nil {
		return pipeline.Result{}, err
	}
	in, g, pose := found.panel, found.group, found.pose
	e := in.Edit()
	for _, p := range l.prints(in, g, pose) {
		e.AddPrint(p)
	}
	out, err := e.Build()
	if err != nil {
		return pipeline.Result{}, err
	}
	var said []string
	for _, p := range g.pieces {
		said = append(said, p.what)
	}
	box := pose.Box(g.box)
	env.Log.Info().Strs("prints", said).Str("on", found.on).Str("from", box.Min.String()).Str("to", box.Max.String()).Str("side", l.Side).Msg("legend printed")
	return pipeline.Result{Panel: out}, nil
}

// openingBeyond is how far an opening in the mask reaches beyond the copper that it lays bare, which mask that
// lies beside its place would cover otherwise: common practice, no published source.
const openingBeyond = 200 * geom.UM

// base is what the ids of the call's prints begin with.
func (l *Legend) base() string {
	if l.Name == "" {
		return "legend/"
	}
	return "legend/" + l.Name + "/"
}

// prints gives the group's pieces as prints of the panel, in their place, under ids that are free.
func (l *Legend) prints(in panel.Panel, g group, pose lettering.Pose) []panel.Print {
	taken := map[string]bool{}
	for _, p := range in.Prints() {
		taken[p.ID] = true
	}
	var out []panel.Print
	for _, x := range g.pieces {
		id := l.base() + x.what
		for n := 2; taken[id]; n++ {
			id = fmt.Sprintf("%s%s/%d", l.base(), x.what, n)
		}
		taken[id] = true
		p := x.print
		p.ID, p.Area = id, pose.Box(x.box)
		p.Lines, p.Dots, p.Areas = nil, nil, nil
		for _, y := range x.print.Lines {
			p.Lines = append(p.Lines, panel.PenLine{Path: pose.Path(y.Path), Width: y.Width})
		}
		for _, d := range x.print.Dots {
			p.Dots = append(p.Dots, panel.Dot{At: pose.Point(d.At), Diameter: d.Diameter})
		}
		for _, a := range x.print.Areas {
			a = pose.Path(a)
			if l.Side == string(panel.Bottom) {
				a = a.Reverse() // counter-clockwise again
			}
			p.Areas = append(p.Areas, a)
		}
		// A turned box is no smaller than what it holds but for a rounding.
		for _, y := range p.Lines {
			p.Area = p.Area.Union(y.Path.Box().Grow((y.Width + 1) / 2))
		}
		for _, d := range p.Dots {
			p.Area = p.Area.Union(geom.BoxOf(d.At).Grow((d.Diameter + 1) / 2))
		}
		out = append(out, p)
		if l.Bare && p.Layers[0].Kind == panel.Copper {
			open := p.Area.Grow(openingBeyond)
			out = append(out, panel.Print{ID: id + "/opening", Use: panel.RailMask, Area: open, Areas: []geom.Path{geom.Rectangle(open)},
				Layers: []panel.Function{{Kind: panel.Soldermask, Side: panel.Side(l.Side)}}})
		}
	}
	return out
}

// layer gives the layer that something is made of.
func (l *Legend) layer(in panel.Panel, madeOf string) (panel.Function, error) {
	side := panel.Side(l.Side)
	if madeOf != "copper" {
		return panel.Function{Kind: panel.Legend, Side: side}, nil
	}
	for _, c := range in.Copies() {
		for _, x := range c.Board.Layers {
			if x.Function.Kind == panel.Copper && x.Function.Side == side {
				return panel.Function{Kind: panel.Copper, Side: side, Index: x.Function.Index}, nil
			}
		}
	}
	return panel.Function{}, fmt.Errorf("no board on the panel has copper on the %s: print it as legend, or on the other side", l.Side)
}

// atPoint puts the group's end at the point asked for.
func (l *Legend) atPoint(in panel.Panel, say says) (place, error) {
	g, err := l.group(in, say, l.turn(""))
	if err != nil {
		return place{}, err
	}
	p := lettering.Pose{Side: panel.Side(l.Side), Turn: l.turn("")}
	// The group's pieces stand about y = 0.
	anchor := geom.Pt(g.box.Min.X, 0)
	switch l.Align {
	case "centre":
		anchor.X += g.box.Width() / 2
	case "right":
		anchor.X = g.box.Max.X
	}
	p.At = geom.Pt(l.At[0], l.At[1]).Sub(p.Point(anchor))
	box, edge := p.Box(g.box), in.Outline().Box()
	if !edge.Holds(box) {
		return place{}, fmt.Errorf("the print would take up %v to %v mm, and the panel reaches from %v to %v mm: move at, or make the print smaller", box.Min, box.Max, edge.Min, edge.Max)
	}
	return place{in, g, p, "a point"}, nil
}

// sizeText says how large a group is: "12 x 2 mm".
func sizeText(b geom.Box) string {
	um := func(l geom.Length) geom.Length { return (l + 999) / 1000 * 1000 }
	return strings.TrimSuffix(um(b.Width()).String(), " mm") + " x " + um(b.Height()).String()
}
