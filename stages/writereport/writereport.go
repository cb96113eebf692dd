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
		Name:    "write_report",
		Summary: "Writes the report for people, report/index.html, and draws the panel from above, report/panel.svg.",
		Role:    pipeline.Write,
		New:     func() pipeline.Stage { return &WriteReport{} },
	}
}

// WriteReport has no options yet.
type WriteReport struct{}

// Parts tells that a picture needs copies.
func (w *WriteReport) Parts() pipeline.Parts { return pipeline.Parts{Needs: []string{"copies"}} }

// Run draws the panel, and shows how its copper is spread.
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
	env.Log.Info().Msg("panel drawn")
	return pipeline.Result{Panel: in}, nil
}

// Finish writes the page.
func (w *WriteReport) Finish(_ context.Context, env *pipeline.Env, in panel.Panel, end pipeline.End) error {
	data, err := writePage(cover{env.Panel, env.Revision, env.Supplier, env.Date, strings.TrimSpace(env.Program.Name + " " + env.Program.Version), env.Rules}, in, end)
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
