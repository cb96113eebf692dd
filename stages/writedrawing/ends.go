package writedrawing

import (
	"context"
	"fmt"
	"io"
	"time"

	"panelwright/pipeline"
	"panelwright/pipeline/drawing"
	"panelwright/pipeline/format/dxf"
	"panelwright/pipeline/format/pdf"
	"panelwright/pipeline/format/svg"
)

// end writes the drawing in one format.
type end struct {
	name  string
	write func(io.Writer, []drawing.Sheet) error
}

// ends are the files of a drawing.
func (w *WriteDrawing) ends(env *pipeline.Env) []end {
	title := or(w.Title, "Panel "+env.Panel) + ", " + env.Panel + before(" revision ", env.Revision)
	info := pdf.Info{Title: title, Subject: w.DocumentType, Author: w.Owner, Keywords: w.Classification, Date: made(env)}
	return []end{
		{"panel.pdf", func(out io.Writer, sheets []drawing.Sheet) error { return pdf.Write(out, sheets, info) }},
		{"panel.dxf", func(out io.Writer, sheets []drawing.Sheet) error { return dxf.Write(out, sheets, "plan") }},
		{"panel.svg", func(out io.Writer, sheets []drawing.Sheet) error {
			_, err := out.Write(svg.Sheets(sheets, title))
			return err
		}},
	}
}

// write writes the files, several at a time.
func (w *WriteDrawing) write(ctx context.Context, env *pipeline.Env, sheets []drawing.Sheet) error {
	ends := w.ends(env)
	return pipeline.Each(ctx, env.Workers, len(ends), func(i int) error {
		e := ends[i]
		f, err := env.Files.Create("drawing/" + e.name)
		if err != nil {
			return err
		}
		if err := e.write(f, sheets); err != nil {
			f.Close()
			return fmt.Errorf("drawing/%s: %w", e.name, err)
		}
		return f.Close()
	})
}

// made is when the drawing was made, as files state it beside their pages; nil where nobody says it.
func made(env *pipeline.Env) *time.Time {
	t, err := time.Parse(time.RFC3339, env.Date)
	if err != nil {
		return nil
	}
	return &t
}
