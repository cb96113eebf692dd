package rule

import (
	"context"
	"fmt"
	"math"
	"slices"
	"strings"

	"panelwright/pipeline"
	"panelwright/pipeline/geom"
	"panelwright/pipeline/panel"
)

// Sheet tells how many panels a fabricator's production panel takes.
type Sheet struct {
	Of                        pipeline.ProductionPanel
	UsableWidth, UsableHeight geom.Length
	Upright, Turned           int     // all in rows and columns, as the panel lies or turned by a quarter
	Mixed                     int     // rows or columns of the one beside those of the other; at least as many as either
	Share                     float64 // of the whole production panel that the most panels take, in per cent
}

// Most is how many panels the sheet takes.
func (s Sheet) Most() int { return max(s.Upright, s.Turned, s.Mixed) }

// String says it in words.
func (s Sheet) String() string {
	out := fmt.Sprintf("%s (%s x %v usable): %d upright, %d turned by a quarter", s.Of.Name, s.UsableWidth.Decimal(), s.UsableHeight, s.Upright, s.Turned)
	if s.Mixed > max(s.Upright, s.Turned) {
		out += fmt.Sprintf(", %d with rows of both", s.Mixed)
	}
	return out + fmt.Sprintf(", %v %% of it used", s.Share)
}

// Sheets tells for each production panel how many of the panels it takes: within its borders, and with the
// distance between them that cutting needs.
func Sheets(p panel.Panel, makers []pipeline.ProductionPanel) []Sheet {
	box := p.Outline().Box()
	var out []Sheet
	for _, m := range makers {
		out = append(out, sheetOf(box.Width(), box.Height(), m))
	}
	return out
}

func sheetOf(w, h geom.Length, m pipeline.ProductionPanel) Sheet {
	s := Sheet{Of: m, UsableWidth: max(0, m.Width-2*m.Border), UsableHeight: max(0, m.Height-2*m.Border)}
	if w <= 0 || h <= 0 {
		return s
	}
	// fit is how many of a size lie along a length, with m.Between after each but the last.
	fit := func(length, size geom.Length) int {
		return max(0, int((length+m.Between)/(size+m.Between)))
	}
	s.Upright = fit(s.UsableWidth, w) * fit(s.UsableHeight, h)
	s.Turned = fit(s.UsableWidth, h) * fit(s.UsableHeight, w)
	s.Mixed = max(s.Upright, s.Turned)
	// Rows of upright panels, and turned ones in what is left above them; then columns likewise. Whatever is
	// counted can be cut.
	for rows := range fit(s.UsableHeight, h) + 1 {
		left := s.UsableHeight - geom.Length(rows)*(h+m.Between)
		s.Mixed = max(s.Mixed, rows*fit(s.UsableWidth, w)+fit(left, w)*fit(s.UsableWidth, h))
	}
	for columns := range fit(s.UsableWidth, w) + 1 {
		left := s.UsableWidth - geom.Length(columns)*(w+m.Between)
		s.Mixed = max(s.Mixed, columns*fit(s.UsableHeight, h)+fit(left, h)*fit(s.UsableHeight, w))
	}
	if m.Width > 0 && m.Height > 0 {
		s.Share = math.Round(float64(s.Most())*w.MM()*h.MM()/(m.Width.MM()*m.Height.MM())*1e4) / 100
	}
	return s
}

// panelsPerProductionPanel judges the production panel that takes the most.
func panelsPerProductionPanel(_ context.Context, in pipeline.Case) ([]pipeline.Finding, error) {
	sheets := Sheets(in.Panel, in.Makers)
	if len(sheets) == 0 {
		return nil, nil
	}
	best := slices.MaxFunc(sheets, func(a, b Sheet) int { return a.Most() - b.Most() })
	v := float64(best.Most())
	if v >= in.Limit {
		return nil, nil
	}
	return []pipeline.Finding{{Feature: "panel", Measured: &v,
		Message: fmt.Sprintf("a production panel takes %v of the panel of %s, fewer than %v: %s", v, in.Panel.SizeText(), in.Limit, words(sheets))}}, nil
}

// productionPanelUse judges the production panel of which the most is used.
func productionPanelUse(_ context.Context, in pipeline.Case) ([]pipeline.Finding, error) {
	sheets := Sheets(in.Panel, in.Makers)
	if len(sheets) == 0 {
		return nil, nil
	}
	v := 0.0
	for _, s := range sheets {
		v = max(v, s.Share)
	}
	if v >= in.Limit-1e-9 {
		return nil, nil
	}
	return []pipeline.Finding{{Feature: "panel", Measured: &v,
		Message: fmt.Sprintf("panels of %s take at most %v %% of a production panel, less than %v %%: %s", in.Panel.SizeText(), v, in.Limit, words(sheets))}}, nil
}

func words(sheets []Sheet) string {
	var out []string
	for _, s := range sheets {
		out = append(out, s.String())
	}
	return strings.Join(out, "; ")
}
