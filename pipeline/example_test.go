package pipeline_test

import (
	"context"
	"errors"
	"fmt"

	"github.com/rs/zerolog"
	"github.com/zclconf/go-cty/cty"

	"panelwright/pipeline"
	"panelwright/pipeline/geom"
	"panelwright/pipeline/panel"
)

// Mark is a shop's stage: it drills one hole for the line's camera. Its options are its fields.
type Mark struct {
	Diameter geom.Length   `option:"diameter" range:"0.5..5" help:"finished"`
	At       []geom.Length `option:"at" required:"true" count:"2" range:"0..1000" help:"x and y on the panel"`
}

// Parts tells that boards must have been placed.
func (m *Mark) Parts() pipeline.Parts {
	return pipeline.Parts{Needs: []string{"copies"}, Gives: []string{"acme_mark"}}
}

// ValueTypes tells what later stages may read: acme_mark.diameter.
func (m *Mark) ValueTypes() map[string]cty.Type {
	return map[string]cty.Type{"acme_mark": cty.Object(map[string]cty.Type{"diameter": cty.Number})}
}

// Run makes the next panel; the one that it was given stays as it is.
func (m *Mark) Run(_ context.Context, env *pipeline.Env, in panel.Panel) (pipeline.Result, error) {
	if len(in.Copies()) == 0 {
		return pipeline.Result{}, errors.New("no board is placed")
	}
	out, err := in.Edit().AddMark(panel.Mark{ID: "acme_mark", Kind: panel.ToolingHole, At: geom.Pt(m.At[0], m.At[1]), Diameter: m.Diameter}).Build()
	if m.Diameter < 2*geom.MM {
		env.Report(pipeline.Finding{Rule: "acme-mark-seen", Severity: pipeline.Note, Feature: "acme_mark", Message: "cameras of the first line miss it"})
	}
	value := cty.ObjectVal(map[string]cty.Value{"diameter": cty.MustParseNumberVal(m.Diameter.Decimal())})
	return pipeline.Result{Panel: out, Values: map[string]cty.Value{"acme_mark": value}}, err
}

func markKind() pipeline.Kind {
	return pipeline.Kind{Name: "acme_mark", Summary: "Drills a hole that the line's camera looks for.", Role: pipeline.Shape, Contract: 1,
		New: func() pipeline.Stage { return &Mark{Diameter: 1500 * geom.UM} }}
}

// placed is a panel with one board of 30 x 20 mm.
func placed() panel.Panel {
	b := &panel.Board{Name: "staff", Outline: geom.Outline{Outer: geom.Rectangle(geom.Box{Max: geom.Pt(30*geom.MM, 20*geom.MM)})}}
	p, err := panel.Panel{}.Edit().AddBoard(b).AddCopy(panel.Copy{ID: "A1", Board: b}).Build()
	if err != nil {
		panic(err)
	}
	return p
}

// A stage turns a panel into the next one. Recipes are run by package run; tests of stages use stagetest.
func ExampleStage() {
	var found []pipeline.Finding
	env := pipeline.NewEnv(pipeline.Env{Log: zerolog.Nop(), Workers: 1},
		func(f pipeline.Finding) { found = append(found, f) }, func() []pipeline.Finding { return found })
	stage := markKind().New().(*Mark)
	stage.At = []geom.Length{5 * geom.MM, 3 * geom.MM}
	before := placed()
	got, err := stage.Run(context.Background(), env, before)
	fmt.Println(err, len(before.Marks()), len(got.Panel.Marks()), got.Panel.Marks()[0].At)
	fmt.Println(got.Values["acme_mark"].GetAttr("diameter").AsBigFloat())
	fmt.Println(found[0].Rule, found[0].Message)
	// Output:
	// <nil> 0 1 (5, 3)
	// 1.5
	// acme-mark-seen cameras of the first line miss it
}

// The options of a stage are read out of the tags of its struct, and its defaults out of what New sets.
func ExampleOptionsOf() {
	options, err := pipeline.OptionsOf(markKind().New())
	fmt.Println(err)
	for _, o := range options {
		fmt.Printf("%s: %s; default %s; required %v; %s\n", o.Name, o.Takes(), o.Default, o.Required, o.Help)
	}
	// Output:
	// <nil>
	// diameter: length, 0.5 to 5 mm; default "1.5 mm"; required false; finished
	// at: list of 2 lengths, 0 to 1000 mm; default ; required true; x and y on the panel
}

// A rule reads the panel alone and says what is beyond its limit. The rules stage settles the limit, and adds it, the
// severity and the source to what is found.
func ExampleRule() {
	least := 20.0
	rule := pipeline.Rule{
		Name: "acme-board-width", Family: pipeline.PanelFamily, Summary: "Boards are wide enough for the line's tray.", Contract: 1,
		Bound: pipeline.AtLeast, Unit: "mm", Default: &least, Source: "the tray's drawing", Severity: pipeline.Error,
		Judge: func(_ context.Context, c pipeline.Case) (out []pipeline.Finding, err error) {
			for _, x := range c.Panel.Copies() {
				if w := x.Box().Width().MM(); w < c.Limit {
					out = append(out, pipeline.Finding{Feature: x.ID, Copies: []string{x.ID}, Measured: &w, Message: fmt.Sprintf("%s is %v mm wide", x.ID, w)})
				}
			}
			return out, nil
		},
	}
	for _, limit := range []float64{*rule.Default, 30.5} { // the second as a recipe may set it
		found, err := rule.Judge(context.Background(), pipeline.Case{Panel: placed(), Limit: limit})
		fmt.Println(limit, len(found), err)
		for _, f := range found {
			fmt.Println(f.Message)
		}
	}
	// Output:
	// 20 0 <nil>
	// 30.5 1 <nil>
	// A1 is 30 mm wide
}

// A stage written for another version of the contract is refused before anything runs.
func ExampleCheckProgram() {
	old := markKind()
	old.Contract = 7
	fmt.Println(pipeline.CheckProgram([]pipeline.Kind{old}, nil))
	// Output:
	// stage acme_mark is written for version 7 of the contract, and this program serves version 1
	//     build this program with a panelwright that serves version 7
}
