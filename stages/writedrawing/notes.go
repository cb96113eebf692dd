package writedrawing

import (
	"context"
	"fmt"
	"slices"
	"strings"

	"panelwright/pipeline"
	"panelwright/pipeline/drawing"
	"panelwright/pipeline/panel"
	"panelwright/pipeline/panel/edgeclass"
	"panelwright/stages/internal/wording"
)

// notes gives the numbered notes: what plan, details and tables do not say.
func (w *WriteDrawing) notes(ctx context.Context, env *pipeline.Env, p panel.Panel, style drawing.Style) (drawing.NoteList, error) {
	n := &notes{w: w, p: p}
	n.made(env)
	n.governs(env)
	n.tolerances()
	n.perforations()
	n.scores()
	if err := n.edges(ctx); err != nil {
		return drawing.NoteList{}, err
	}
	n.marks()
	for _, x := range w.Notes {
		n.say(x)
	}
	care := "%s Extraction, eye and breathing protection are needed."
	if len(p.Tabs())+len(p.Scores()) > 0 {
		care += " Bending a panel cracks parts and their joints: break boards off by the lines and tabs shown, and hold them beside the break."
	}
	n.add(care, wording.Dust)
	n.add("%s The same holds for the assembler.", wording.LastWord)
	n.add("Drawn by ISO 128 and ISO 129-1, scale by ISO 5455, title block by ISO 7200; see the IPC-2610 series for documents of boards.")
	return drawing.NoteList{Name: "Notes", Lines: n.lines}, nil
}

// notes collects them.
type notes struct {
	w     *WriteDrawing
	p     panel.Panel
	lines []string
}

func (n *notes) add(format string, a ...any) { n.say(fmt.Sprintf(format, a...)) }

func (n *notes) say(s string) {
	if s = strings.TrimSpace(s); s != "" {
		n.lines = append(n.lines, s)
	}
}

// sentence makes a sentence of words.
func sentence(s string) string {
	if s == "" {
		return ""
	}
	r := []rune(s)
	return strings.ToUpper(string(r[:1])) + strings.TrimRight(string(r[1:]), ".") + "."
}

// placed gives the boards that lie on the panel, in the order of the first copy of each.
func (n *notes) placed() (out []*panel.Board) {
	for _, c := range n.p.Copies() {
		if !slices.Contains(out, c.Board) {
			out = append(out, c.Board)
		}
	}
	return out
}

// perBoard words what may differ from board to board: once where all agree, else with the boards' names.
func (n *notes) perBoard(of func(*panel.Board) string) string {
	var values []string
	names := map[string][]string{}
	for _, b := range n.placed() {
		v := of(b)
		if names[v] == nil {
			values = append(values, v)
		}
		names[v] = append(names[v], b.Name)
	}
	if len(values) == 1 {
		return values[0]
	}
	var out []string
	for _, v := range values {
		out = append(out, or(v, "not stated")+" ("+strings.Join(names[v], ", ")+")")
	}
	return strings.Join(out, "; ")
}

// made says what the panel is made of.
func (n *notes) made(env *pipeline.Env) {
	if env.Supplier != "" {
		n.add("Built for supplier %s, to that supplier's standards.", env.Supplier)
	}
	words := n.w.measure(n.p.Thickness()) + " thick when finished"
	if slices.ContainsFunc(n.placed(), func(b *panel.Board) bool { return b.ThicknessAssumed }) {
		words += " (assumed: neither recipe nor the boards' data state it)"
	}
	n.add("Material: %s, %s, %s.", or(n.w.Material, "laminate as the boards' own documents state it"), words, wording.Count(n.p.CopperCount(), "copper layer"))
	n.add("Surface finish: %s.", or(n.perBoard(func(b *panel.Board) string { return b.Finish }), "as ordered; the boards' data do not state it"))
	color := or(n.perBoard(func(b *panel.Board) string { return b.MaskColor }), "colour as ordered; the boards' data do not state it")
	if mask := wording.Mask(n.p); mask != "" {
		color += "; it " + strings.Replace(mask, "; it covers", " and covers", 1)
	}
	n.add("Soldermask: %s.", color)
}

// governs says what is true where drawing and files differ.
func (n *notes) governs(env *pipeline.Env) {
	n.add("The contours in fab/%s-profile.gbr govern what is cut, the layer and drill files what is made; this drawing explains them. The panel is "+
		"seen from the top, and the datum is the lower left corner of its outline.", env.Panel)
	switch drawing.Units(n.w.Units) {
	case drawing.Inch:
		n.add("Lengths in inches, rounded to 0.0001 in. Do not measure the drawing.")
	case drawing.Both:
		n.add("Lengths in millimetres, rounded to 0.001 mm, and in brackets in inches, rounded to 0.0001 in. Do not measure the drawing.")
	default:
		n.add("Lengths in millimetres, rounded to 0.001 mm. Do not measure the drawing.")
	}
}

func (n *notes) tolerances() {
	n.add("Tolerances unless stated otherwise: lengths of what is cut ±%s; finished diameters of non-plated holes ±%s, of plated holes ±%s.",
		n.w.measure(n.w.general(n.p)), n.w.measure(n.w.NPTHTolerance), n.w.measure(n.w.PTHTolerance))
	if cutters := n.p.Cutters(); len(cutters) > 0 && len(n.p.Slots()) > 0 {
		var d []string
		for _, c := range cutters {
			d = append(d, n.w.measure(c))
		}
		n.add("Slots are planned for cutters of %s diameter: inner corners keep the radius shown.", strings.Join(d, ", "))
	}
}

func (n *notes) perforations() {
	if len(n.p.Perforations()) > 0 {
		position, diameter := wording.Tolerances(n.p.Tabs())
		n.add("Perforations of break-off tabs are non-plated, without copper or opening in the mask; their position within %s, their diameter ±%s.",
			n.w.measure(position), n.w.measure(diameter))
	}
	switch f := wording.Rows(n.p.Tabs()); {
	case len(n.p.Tabs()) == 0:
	case f.Web == 0:
		n.add("Tabs are not perforated: they are cut off along the boards' edges.")
	default:
		n.add("What stays of tabs on a board after breaking is filed off by hand where the edge must be flush.")
	}
}

func (n *notes) scores() {
	scores := n.p.Scores()
	if len(scores) == 0 {
		return
	}
	n.add("V-score lines are cut alike from both faces, to the depth each face that the section states. Its included angle is %s. Tell us your own "+
		"figures for web and angle where they differ.", wording.WholeAngle)
	if slices.ContainsFunc(scores, panel.Score.Jumps) {
		n.say(sentence("of score lines, " + wording.Jump(n.w.measure(wording.LongestRunOut(scores)))))
	}
	n.say(sentence(wording.Blanks(n.p)))
}

// edges says what boards' edges need that are more than a cut.
func (n *notes) edges(ctx context.Context) error {
	have := map[edgeclass.Class][]string{}
	for _, b := range n.placed() {
		stretches, err := edgeclass.Find(ctx, b)
		if err != nil {
			return err
		}
		for _, s := range stretches {
			if !slices.Contains(have[s.Class], b.Name) {
				have[s.Class] = append(have[s.Class], b.Name)
			}
		}
	}
	if of := have[edgeclass.Castellated]; of != nil {
		n.add("Castellated edges of %s: half holes are plated, and are cut after plating, free of burrs.", strings.Join(of, ", "))
	}
	if of := have[edgeclass.Plated]; of != nil {
		n.add("Plated edges of %s: copper runs round the edge and joins both faces; slots there are routed before plating.", strings.Join(of, ", "))
	}
	if of := have[edgeclass.Fingers]; of != nil {
		n.add("Contact fingers of %s: hard gold and bevel by agreement%s. Nothing is broken off along them.", strings.Join(of, ", "), n.bevel())
	}
	return nil
}

func (n *notes) bevel() string {
	angle, depth := n.w.BevelAngle, n.w.BevelDepth
	switch {
	case angle != nil && depth != nil:
		return fmt.Sprintf(", the bevel at %s° to the face, %s deep", angle.Decimal(), n.w.measure(*depth))
	case angle != nil:
		return fmt.Sprintf(", the bevel at %s° to the face", angle.Decimal())
	case depth != nil:
		return fmt.Sprintf(", the bevel %s deep", n.w.measure(*depth))
	}
	return ""
}

// marks says what the panel adds of its own, and what is agreed about bad copies.
func (n *notes) marks() {
	if text := wording.Thieving(n.p); text != "" {
		n.add("Thieving: %s.", text)
	}
	if marks := wording.BadBoardMarks(n.p); marks != "" {
		n.add("%s: %s.", marks, wording.BlackOut)
	}
	if x := wording.XOut(n.p); x != "" {
		n.add("%s.", x)
	}
}
