// Package writereport draws the panel for people to look at.
package writereport

import (
	"context"
	"strings"

	"panelwright/pipeline"
	"panelwright/pipeline/panel"
)

// Kind is stage "write_report".
func Kind() pipeline.Kind {
	return pipeline.Kind{
		Name:     "write_report",
		Summary:  "Writes the report for people, report/index.html, draws the panel from above, report/panel.svg, and what was reckoned of its strength, report/mechanics.json.",
		Role:     pipeline.Write,
		Contract: pipeline.Contract,
		New:      func() pipeline.Stage { return &WriteReport{} },
	}
}

// WriteReport has no options yet.
type WriteReport struct{}

// Parts tells that a picture needs copies.
func (w *WriteReport) Parts() pipeline.Parts { return pipeline.Parts{Needs: []string{"copies"}} }

// Run draws the panel, shows how its copper is spread, and writes what was reckoned of its strength.
func (w *WriteReport) Run(ctx context.Context, env *pipeline.Env, in panel.Panel) (pipeline.Result, error) {
	if err := showCopper(ctx, env, in); err != nil {
		return pipeline.Result{}, err
	}
	f, err := env.Files.Create("report/panel.svg")
	if err != nil {
		return pipeline.Result{}, err
	}
	name := env.Panel + ", revision " + env.Revision
	if env.Supplier != "" {
		name += ", for " + env.Supplier
	}
	if _, err := f.Write(draw(in, name, env.Released())); err != nil {
		f.Close()
		return pipeline.Result{}, err
	}
	if err := f.Close(); err != nil {
		return pipeline.Result{}, err
	}
	if err := writeReckoned(ctx, env, in); err != nil {
		return pipeline.Result{}, err
	}
	env.Log.Info().Msg("panel drawn")
	return pipeline.Result{Panel: in}, nil
}

// Finish writes the page.
func (w *WriteReport) Finish(ctx context.Context, env *pipeline.Env, in panel.Panel, end pipeline.End) error {
	about := cover{Panel: env.Panel, Revision: env.Revision, Supplier: env.Supplier, Date: env.Date, Program: strings.TrimSpace(env.Program.Name + " " + env.Program.Version), Rules: env.Rules}
	r, ok, err := reckon(ctx, in, env.Workers)
	if err != nil {
		return err
	}
	if ok {
		about.Strength = partOf(r, in, limitsOf(end.Judged))
	}
	data, err := writePage(about, in, end)
	if err != nil {
		return err
	}
	f, err := env.Files.Create("report/index.html")
	if err != nil {
		return err
	}
	if _, err := f.Write(data); err != nil {
		f.Close()
		return err
	}
	return f.Close()
}

// writeReckoned writes report/mechanics.json, where there is something to say.
func writeReckoned(ctx context.Context, env *pipeline.Env, in panel.Panel) error {
	r, ok, err := reckon(ctx, in, env.Workers)
	if err != nil || !ok {
		return err
	}
	data, err := dataOf(env.Panel, env.Revision, r)
	if err != nil {
		return err
	}
	f, err := env.Files.Create("report/mechanics.json")
	if err != nil {
		return err
	}
	if _, err := f.Write(data); err != nil {
		f.Close()
		return err
	}
	return f.Close()
}
