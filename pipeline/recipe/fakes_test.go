package recipe

import (
	"context"
	"errors"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"
	"github.com/zclconf/go-cty/cty"

	"panelwright/pipeline"
	"panelwright/pipeline/geom"
	"panelwright/pipeline/panel"
)

// The stages here are small stand-ins: what is tested is the loader, which knows no stage.

type idle struct{}

func (idle) Run(context.Context, *pipeline.Env, panel.Panel) (pipeline.Result, error) {
	return pipeline.Result{}, nil
}

type boardStage struct {
	idle
	Name      string            `option:"name" required:"true" help:"the board's name"`
	Files     []pipeline.InPath `option:"files" required:"true" help:"folder, zip or globs"`
	Revision  string            `option:"revision" help:"the board's revision"`
	Thickness geom.Length       `option:"thickness" range:"0.1..10" help:"of the board"`
}

func (b *boardStage) Parts() pipeline.Parts {
	return pipeline.Parts{Gives: []string{"boards." + b.Name}}
}

func (b *boardStage) ValueTypes() map[string]cty.Type {
	if b.Name == "" {
		return nil
	}
	return map[string]cty.Type{"boards." + b.Name: cty.Object(map[string]cty.Type{"width": cty.Number, "height": cty.Number, "revision": cty.String})}
}

type pin struct {
	Copy string      `label:"0"`
	At   geom.Length `option:"at" required:"true" help:"from the corner"`
	Edge string      `option:"edge" choice:"upper|lower" help:"of the board"`
}

type spot struct {
	X geom.Length `option:"x" required:"true" help:"from the left"`
	Y geom.Length `option:"y" help:"from below"`
}

type arrayStage struct {
	idle
	Board   string        `option:"board" required:"true" help:"which board to repeat"`
	Columns int           `option:"columns" range:"1..200" help:"copies side by side"`
	Rows    int           `option:"rows" range:"1.." help:"copies above one another"`
	Gap     *geom.Length  `option:"gap" range:"0..100" help:"board edge to board edge"`
	Turn    geom.Angle    `option:"turn" range:"..360" help:"counter-clockwise"`
	Every   string        `option:"turn_every_second" choice:"row|column" help:"turned by 180 degrees"`
	Fit     []geom.Length `option:"fit_within" count:"2" help:"width and height"`
	Share   float64       `option:"share" range:"0..1" help:"of the sheet"`
	Tidy    bool          `option:"tidy" help:"in order"`
	Pinned  []pin         `block:"pinned" labels:"1" help:"a tab at a fixed place"`
	Spots   []spot        `block:"spot" help:"a place"`
}

func (a *arrayStage) Parts() pipeline.Parts {
	return pipeline.Parts{Needs: []string{"boards." + a.Board}, Gives: []string{"copies"}}
}

func (a *arrayStage) Check() error {
	var all []error
	if a.Columns == 13 {
		all = append(all, &pipeline.BadOption{Option: "columns", Reason: "must not be 13: it does not fit the oven"})
	}
	if a.Rows == 13 {
		all = append(all, &pipeline.BadOption{Option: "rows", Reason: "must not be 13: it does not fit the oven"})
	}
	if a.Share == 0.5 && a.Tidy {
		all = append(all, errors.New("half a share cannot be tidy"))
	}
	for _, p := range a.Pinned {
		if p.At < 0 {
			all = append(all, &pipeline.BadOption{Option: "pinned " + p.Copy + " at", Reason: "must not be negative"})
		}
	}
	if len(a.Spots) > 1 && a.Spots[1].Y == geom.MM {
		all = append(all, &pipeline.BadOption{Option: "spot 2 y", Reason: "must not be 1 mm"})
	}
	return errors.Join(all...)
}

type railsStage struct {
	idle
	Sides []string     `option:"sides" choice:"upper|lower|left|right" help:"where rails lie"`
	Width *geom.Length `option:"width" help:"of a rail"`
}

func (r *railsStage) Parts() pipeline.Parts {
	return pipeline.Parts{Needs: []string{"copies"}, Gives: []string{"rails"}}
}

type limit struct {
	Rule     string             `label:"0"`
	AtLeast  *float64           `option:"at_least" help:"the least"`
	AtMost   *pipeline.Quantity `option:"at_most" help:"the most"`
	Severity string             `option:"severity" choice:"error|warning|note" help:"how much it weighs"`
}

type rulesStage struct {
	idle
	Limits []limit `block:"limit" labels:"1" help:"a rule's limit"`
}

func (r *rulesStage) CheckRules(rules []pipeline.Rule) error {
	var names []string
	for _, x := range rules {
		names = append(names, x.Name)
	}
	var all []error
	for _, x := range r.Limits {
		if !strings.Contains(" "+strings.Join(names, " ")+" ", " "+x.Rule+" ") {
			all = append(all, &pipeline.BadOption{Option: "limit " + x.Rule, Reason: "names no rule; nearest: " + pipeline.Nearest(x.Rule, names)})
		}
	}
	return errors.Join(all...)
}

type writeStage struct {
	idle
	Digits int `option:"digits" help:"decimals"`
}

func fakes() Settings {
	return Settings{
		Kinds: []pipeline.Kind{
			{Name: "board", Role: pipeline.Source, New: func() pipeline.Stage { return &boardStage{Thickness: 1_600_000} }},
			{Name: "array", Role: pipeline.Shape, New: func() pipeline.Stage { return &arrayStage{Columns: 1, Rows: 1} }},
			{Name: "rails", Role: pipeline.Shape, New: func() pipeline.Stage { return &railsStage{Sides: []string{"upper", "lower"}} }},
			{Name: "rules", Role: pipeline.Judge, New: func() pipeline.Stage { return &rulesStage{} }},
			{Name: "write_fab", Role: pipeline.Write, New: func() pipeline.Stage { return &writeStage{Digits: 6} }},
		},
		Rules: []pipeline.Rule{{Name: "copper-to-edge", Bound: pipeline.AtLeast, Unit: "mm"}, {Name: "panel-size", Bound: pipeline.AtMost, Unit: "mm"}},
	}
}

// write lays files out in a fresh folder; "-- name --" begins each, as in a txtar archive.
func write(t testing.TB, archive string) string {
	dir := t.TempDir()
	require.NoError(t, os.MkdirAll(filepath.Join(dir, "boards", "gauge"), 0o755))
	var name string
	var body strings.Builder
	flush := func() {
		if name != "" {
			path := filepath.Join(dir, filepath.FromSlash(name))
			require.NoError(t, os.MkdirAll(filepath.Dir(path), 0o755))
			require.NoError(t, os.WriteFile(path, []byte(body.String()), 0o644))
		}
		body.Reset()
	}
	for _, line := range strings.SplitAfter(archive, "\n") {
		if n, ok := strings.CutPrefix(strings.TrimSpace(line), "-- "); ok && strings.HasSuffix(n, " --") {
			flush()
			name = strings.TrimSuffix(n, " --")
			continue
		}
		body.WriteString(line)
	}
	flush()
	return dir
}
