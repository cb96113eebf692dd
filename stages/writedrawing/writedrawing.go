// Package writedrawing writes the fabrication drawing: plan, details, tables and notes on sheets with border and title block,
// for people who build the panel and who check it when it comes.
package writedrawing

import (
	"context"
	"errors"
	"fmt"
	"regexp"
	"slices"
	"strings"
	"time"

	"panelwright/pipeline"
	"panelwright/pipeline/drawing"
	"panelwright/pipeline/geom"
	"panelwright/pipeline/panel"
	"panelwright/stages/writedrawing/detail"
	"panelwright/stages/writedrawing/layout"
	"panelwright/stages/writedrawing/plan"
	"panelwright/stages/writedrawing/tables"
)

// Rule is the rule of what finds no room on the drawing.
const Rule = "drawing-label"

// Kind is stage "write_drawing".
func Kind() pipeline.Kind {
	return pipeline.Kind{
		Name:     "write_drawing",
		Summary:  "Writes the fabrication drawing: the plan with its dimensions, details, tables and notes on sheets, as PDF, DXF and SVG.",
		Role:     pipeline.Write,
		Contract: pipeline.Contract,
		New: func() pipeline.Stage {
			return &WriteDrawing{
				Units: string(drawing.Metric), State: draft, Language: "en", DocumentType: "Fabrication drawing",
				NPTHTolerance: 76 * geom.UM,  // 3 mil: common practice, no published source
				PTHTolerance:  100 * geom.UM, // common practice, no published source
			}
		},
	}
}

// The states of a drawing.
const (
	draft    = "draft"
	released = "released"
)

// WriteDrawing is the options of stage "write_drawing".
type WriteDrawing struct {
	Sheet string `option:"sheet" choice:"A4|A3|A2|ANSI A|ANSI B|ANSI C" help:"size of the sheets; the smallest that shows the panel at full size unless given, by ISO, or by ANSI where units are inches"`
	Scale string `option:"scale" choice:"20:1|10:1|5:1|2:1|1:1|1:2|1:5|1:10|1:20" help:"of the plan, by ISO 5455; the largest that the sheet has room for unless given"`
	Units string `option:"units" choice:"mm|inch|both" help:"in which lengths are stated; both: millimetres, then inches in brackets"`
	State string `option:"state" choice:"draft|released" help:"released: names who created and approved it, and its date; a panel that findings keep from release is never shown as released"`

	Title              string `option:"title" help:"what the drawing is of; the panel's name unless given"`
	SupplementaryTitle string `option:"supplementary_title" help:"a second line of the title; the boards on the panel unless given"`
	DocumentNumber     string `option:"document_number" help:"identification number; the panel's name unless given"`
	DocumentType       string `option:"document_type" help:"what kind of document this is"`
	Classification     string `option:"classification" help:"classification or key words, to find the drawing by"`
	Owner              string `option:"owner" help:"legal owner: the company"`
	Department         string `option:"department" help:"responsible department"`
	TechnicalReference string `option:"technical_reference" help:"who answers questions"`
	Creator            string `option:"creator" help:"who has made the drawing"`
	Approver           string `option:"approver" help:"who has approved it"`
	ChangeOrder        string `option:"change_order" help:"order by which this revision was made"`
	Date               string `option:"date" help:"date of issue, 2026-09-01; that of SOURCE_DATE_EPOCH unless given"`
	Language           string `option:"language" help:"language code of what the recipe states, by ISO 639: the drawing's own words are English"`
	Projection         string `option:"projection" choice:"first_angle|third_angle" help:"projection method that the symbol shows; first_angle on ISO sheets, third_angle on ANSI sheets unless given"`

	Material         string       `option:"material" help:"of the boards: laminate, class"`
	GeneralTolerance *geom.Length `option:"general_tolerance" range:"0.01..2" help:"of lengths without a tolerance of their own, either way; by the panel's size unless given"`
	NPTHTolerance    geom.Length  `option:"npth_tolerance" range:"0..1" help:"of finished diameters of non-plated holes, either way; perforations have their own from the stage that plans them"`
	PTHTolerance     geom.Length  `option:"pth_tolerance" range:"0..1" help:"of finished diameters of plated holes, either way"`
	BevelAngle       *geom.Angle  `option:"bevel_angle" range:"10..80" help:"of the bevel at contact fingers, to the board's face; by agreement unless given"`
	BevelDepth       *geom.Length `option:"bevel_depth" range:"0.1..5" help:"of that bevel, from the edge along the face; by agreement unless given"`
	Notes            []string     `option:"notes" help:"notes of your own, one each, behind the others"`
	Changes          []Change     `block:"change" labels:"1" help:"an earlier revision, for the table of changes, by its name"`
}

// Change is one row of the table of changes.
type Change struct {
	Revision string `label:"0"`
	Order    string `option:"order" help:"change order"`
	What     string `option:"what" help:"what was changed"`
	Date     string `option:"date" help:"date of issue"`
	Approver string `option:"approver" help:"who approved it"`
}

// Parts tells that a drawing needs copies.
func (w *WriteDrawing) Parts() pipeline.Parts { return pipeline.Parts{Needs: []string{"copies"}} }

var languageCode = regexp.MustCompile(`^[a-z]{2,3}(-[A-Za-z0-9]{2,8})*$`)

// Check refuses words that the drawing has no letters for, what is no date, and a release that nobody answers for.
func (w *WriteDrawing) Check() error {
	var errs []error
	bad := func(option, format string, a ...any) {
		errs = append(errs, &pipeline.BadOption{Option: option, Reason: fmt.Sprintf(format, a...)})
	}
	for _, x := range w.words() {
		if r, lacks := lacking(x.words); lacks {
			bad(x.option, "has the letter %q (U+%04X), which the drawing's fonts lack: they have Latin, Greek and Cyrillic letters", r, r)
		}
	}
	if w.Date != "" && !isDate(w.Date) {
		bad("date", "must be a day as 2026-09-01, not %q", w.Date)
	}
	if w.Language != "" && !languageCode.MatchString(w.Language) {
		bad("language", "must be a language code by ISO 639, such as en, not %q", w.Language)
	}
	if w.State == released {
		for _, x := range []struct{ option, value string }{{"owner", w.Owner}, {"creator", w.Creator}, {"approver", w.Approver}} {
			if strings.TrimSpace(x.value) == "" {
				bad(x.option, "must be given for a drawing that is released (ISO 7200)")
			}
		}
	}
	return errors.Join(errs...)
}

// spoken is what an option says.
type spoken struct{ option, words string }

// words gives all that the options say in words.
func (w *WriteDrawing) words() []spoken {
	out := []spoken{{"title", w.Title}, {"supplementary_title", w.SupplementaryTitle}, {"document_number", w.DocumentNumber}, {"document_type", w.DocumentType},
		{"classification", w.Classification}, {"owner", w.Owner}, {"department", w.Department}, {"technical_reference", w.TechnicalReference},
		{"creator", w.Creator}, {"approver", w.Approver}, {"change_order", w.ChangeOrder}, {"material", w.Material}}
	for _, n := range w.Notes {
		out = append(out, spoken{"notes", n})
	}
	for _, c := range w.Changes {
		for _, x := range []spoken{{"", c.Revision}, {" order", c.Order}, {" what", c.What}, {" date", c.Date}, {" approver", c.Approver}} {
			out = append(out, spoken{"change " + c.Revision + x.option, x.words})
		}
	}
	return out
}

// lacking gives the first letter that the fonts lack; spaces of all kinds are none.
func lacking(s string) (rune, bool) {
	return drawing.Lacks(strings.Join(strings.Fields(s), ""))
}

func isDate(s string) bool {
	_, err := time.Parse(time.DateOnly, s)
	return err == nil
}

// Run writes the drawing.
func (w *WriteDrawing) Run(ctx context.Context, env *pipeline.Env, in panel.Panel) (pipeline.Result, error) {
	if w.State == released && w.date(env) == "" {
		return pipeline.Result{}, errors.New("a drawing that is released states its date of issue, and there is none\n    give the option date, or set SOURCE_DATE_EPOCH where the release is built")
	}
	d, err := w.Draw(ctx, env, in)
	if err != nil {
		return pipeline.Result{}, err
	}
	if err := w.write(ctx, env, d.Sheets); err != nil {
		return pipeline.Result{}, err
	}
	env.Log.Info().Int("sheets", len(d.Sheets)).Str("sheet", d.Size.Name).Str("scale", d.Scale.String()).Msg("drawing written")
	return pipeline.Result{Panel: in}, nil
}

// Draw makes the sheets, and reports what is missing on them.
func (w *WriteDrawing) Draw(ctx context.Context, env *pipeline.Env, in panel.Panel) (layout.Result, error) {
	material, err := in.Material(ctx, env.Workers)
	if err != nil {
		return layout.Result{}, err
	}
	details, err := detail.Choose(ctx, in)
	if err != nil {
		return layout.Result{}, err
	}
	style := drawing.Usual(drawing.Units(w.Units))
	box := in.Outline().Box()
	plans := map[drawing.Scale]plan.Plan{}
	input := layout.Input{
		Style: style, Sheet: w.Sheet, Scale: w.scale(), Size: geom.Pt(box.Width(), box.Height()),
		Plan: func(s drawing.Scale) (drawing.Sheet, int, error) {
			p, err := plan.Draw(plan.Input{Panel: in, Material: material, Style: style, Details: details}, s)
			plans[s] = p
			return p.Sheet, len(p.Nameless) + len(p.Unmarked), err
		},
		Block: w.block(env, in), Stamp: w.stamp(env),
	}
	if input.Items, err = w.items(ctx, env, in, style, details); err != nil {
		return layout.Result{}, err
	}
	out, err := layout.Set(ctx, input)
	var no *layout.ErrNoRoom
	switch {
	case errors.As(err, &no):
		return out, &pipeline.BadOption{Option: no.What, Reason: no.Words}
	case err != nil:
		return out, err
	}
	if text := plans[out.Scale].Unwritten(); text != "" {
		w.missing(env, text+" ("+out.Scale.String()+" on "+out.Size.Name+"); choose a larger sheet or scale")
	}
	for _, l := range out.Left {
		w.missing(env, l.What+" "+l.Why)
	}
	w.letters(env, out.Sheets)
	return out, nil
}

func (w *WriteDrawing) missing(env *pipeline.Env, message string) {
	env.Report(pipeline.Finding{Rule: Rule, Severity: pipeline.Warning, Message: "the drawing is not complete: " + message})
}

// letters puts a question mark in place of letters that the fonts lack: names from the boards' data may have them.
func (w *WriteDrawing) letters(env *pipeline.Env, sheets []drawing.Sheet) {
	var told []rune
	mend := func(t *drawing.Text) {
		t.S = strings.Map(func(r rune) rune {
			if _, lacks := lacking(string(r)); !lacks {
				return r
			}
			if !slices.Contains(told, r) {
				told = append(told, r)
				w.missing(env, fmt.Sprintf("in %q the letter %q (U+%04X) is shown as a question mark, because the drawing's fonts lack it", t.S, r, r))
			}
			return '?'
		}, t.S)
	}
	for i := range sheets {
		for k := range sheets[i].Texts {
			mend(&sheets[i].Texts[k])
		}
		for k := range sheets[i].Dimensions {
			mend(&sheets[i].Dimensions[k].Text)
		}
	}
}

// scale gives the scale that was asked for, none where none was.
func (w *WriteDrawing) scale() drawing.Scale {
	for _, s := range layout.Scales() {
		if s.String() == w.Scale {
			return s
		}
	}
	return drawing.Scale{}
}

// items gives what is set beside the plan, in its order.
func (w *WriteDrawing) items(ctx context.Context, env *pipeline.Env, in panel.Panel, style drawing.Style, details []detail.Detail) ([]layout.Item, error) {
	var out []layout.Item
	for _, d := range details {
		out = append(out, layout.Item{Name: "detail " + d.Letter + ", " + d.Title, Draw: d.Draw})
	}
	if t := w.changes(env); len(t.Rows) > 0 {
		out = append(out, layout.Item{Name: "the table " + t.Name, Flow: t.Flow()})
	}
	notes, err := w.notes(ctx, env, in, style)
	if err != nil {
		return nil, err
	}
	out = append(out, layout.Item{Name: "the list " + notes.Name, Flow: notes.Flow()})
	for _, t := range (tables.Settings{Panel: env.Panel, Plated: w.PTHTolerance, NonPlated: w.NPTHTolerance}).All(ctx, in, style) {
		out = append(out, layout.Item{Name: "the table " + t.Name, Flow: t.Flow()})
	}
	for _, v := range detail.BoardHoles(in) {
		out = append(out, layout.Item{Name: "the view " + v.Title, Draw: v.Draw})
	}
	return out, nil
}
