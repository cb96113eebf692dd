package writereport

import (
	"html/template"

	"panelwright/pipeline"
)

// shade is a field as a shaded picture.
type shade struct {
	ID, Title, Unit, Range, Source string
	Svg, Scale                     template.HTML
}

func (f *figures) shade(id string, x pipeline.Field) shade {
	return shade{ID: id, Title: x.Title, Unit: x.Unit, Source: x.Source}
}
