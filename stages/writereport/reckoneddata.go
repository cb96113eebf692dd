package writereport

import (
	"encoding/json"
	"math"
	"strconv"

	"panelwright/pipeline/geom"
	"panelwright/pipeline/jsonlines"
	"panelwright/pipeline/mechanics"
)

// What report/mechanics.json holds: the figures of the page's part about strength, all parts and all states.

// figureData is a reckoned figure, with four digits that count.
type figureData float64

func (v figureData) MarshalJSON() ([]byte, error) {
	return []byte(strconv.FormatFloat(mechanics.Digits(float64(v)), 'f', -1, 64)), nil
}

// size gives a moment or force without its sign, which tells which side of a row was taken first and nothing else; below a ten-thousandth
// it is rounding.
func size(v float64) figureData {
	if v = math.Abs(v); v < 1e-4 {
		return 0
	}
	return figureData(v)
}

// lengthData is an exact length in millimetres.
type lengthData geom.Length

func (v lengthData) MarshalJSON() ([]byte, error) { return []byte(geom.Length(v).Decimal()), nil }

type placeData [2]lengthData

func placeOf(p geom.Point) placeData { return placeData{lengthData(p.X), lengthData(p.Y)} }

type carriedData struct {
	Carried string      `json:"carried"`
	Sides   []string    `json:"sides,omitempty"`
	Pins    []placeData `json:"pins_mm,omitempty"`
	Span    lengthData  `json:"span_mm"`
	Warp    string      `json:"warp"`
	Idle    []placeData `json:"pins_under_no_material_mm,omitempty"`
	Mass    figureData  `json:"mass_reckoned_with_gram,omitempty"`
}

type meshData struct {
	Open      lengthData `json:"open_mm"`
	Fine      lengthData `json:"fine_mm"`
	Nodes     int        `json:"nodes"`
	Triangles int        `json:"triangles"`
	Rows      int        `json:"rows_of_tabs"` // with holes or without
	Unknowns  int        `json:"unknowns"`
}

type constantData struct {
	Name   string      `json:"name"`
	Value  json.Number `json:"value"` // as it was given
	Unit   string      `json:"unit,omitempty"`
	Source string      `json:"source,omitempty"`
}

type problemData struct {
	Kind    string    `json:"kind"`
	Message string    `json:"message"`
	At      placeData `json:"at_mm"`
	Feature string    `json:"feature,omitempty"`
}

type stateData struct {
	State   string     `json:"state"`
	Sag     figureData `json:"sag_mm"`
	Percent figureData `json:"percent_of_span"`
	At      placeData  `json:"at_mm"`
	Copy    string     `json:"copy,omitempty"`
	Pressed string     `json:"pressed_on,omitempty"`
	// How much the support would have to hold the panel down, and where; not there where it lies on all of it.
	Pull   figureData `json:"held_down_newton,omitempty"`
	PullAt *placeData `json:"held_down_at_mm,omitempty"`
}

type loadData struct {
	State    string     `json:"state"`
	Moment   figureData `json:"moment_newton_mm"`
	Twist    figureData `json:"twist_newton_mm"`
	Shear    figureData `json:"shear_newton"`
	Stress   figureData `json:"stress_mpa"`
	Strength figureData `json:"strength_mpa"`
	Reserve  figureData `json:"reserve"`
}

type withoutData struct {
	Falls   bool        `json:"falls"`
	Sag     *figureData `json:"sag_mm,omitempty"`
	Reserve *figureData `json:"reserve,omitempty"`
	Worst   string      `json:"worst_tab,omitempty"`
}

type rowData struct {
	Tab     string      `json:"tab"`
	Row     int         `json:"row"` // from 0, as panel.json lists them
	Copies  []string    `json:"copies"`
	At      placeData   `json:"at_mm"`
	Modulus figureData  `json:"section_modulus_mm3"`
	Loads   []loadData  `json:"loads"`
	Least   figureData  `json:"least_reserve"`
	Without withoutData `json:"without_it"`
}

type webLoadData struct {
	State    string     `json:"state"`
	Moment   figureData `json:"moment_newton_mm_each_mm"`
	Stress   figureData `json:"stress_mpa"`
	Strength figureData `json:"strength_mpa"`
	Reserve  figureData `json:"reserve"`
}

type webData struct {
	Score   string        `json:"score"`
	At      placeData     `json:"at_mm"`
	Modulus figureData    `json:"section_modulus_mm3_each_mm"`
	Loads   []webLoadData `json:"loads"`
	Least   figureData    `json:"least_reserve"`
}

type breakData struct {
	Kind    string        `json:"kind"`
	Feature string        `json:"feature"`
	Row     *int          `json:"row,omitempty"` // of a tab, from 0
	Tabs    []string      `json:"tabs,omitempty"`
	Copies  []string      `json:"copies"`
	At      placeData     `json:"at_mm"`
	Moment  [2]figureData `json:"moment_newton_mm"`
	Lever   figureData    `json:"lever_mm"`
	Force   [2]figureData `json:"force_newton"`
	Cut     bool          `json:"cut_by_tool,omitempty"`
}

type strainedData struct {
	Copy     string        `json:"copy"`
	Refdes   string        `json:"refdes"`
	At       placeData     `json:"at_mm"`
	Break    string        `json:"break"`
	Distance lengthData    `json:"distance_mm"`
	Strain   [2]figureData `json:"microstrain"`
}

// dataOf writes what was reckoned as JSON.
func dataOf(name, revision string, r reckoned) ([]byte, error) {
	a := r.Answers
	w := &jsonlines.Object{}
	w.Line("schema", 1)
	w.Line("panel", name)
	w.Line("revision", revision)
	w.Line("says", mechanics.Reckoned+" "+mechanics.Estimated)
	w.Line("holding_reckoned", r.held)
	if r.held {
		c := carriedData{Carried: string(a.Support.Carried), Span: lengthData(mechanics.Rounded(a.Span)), Warp: a.Support.Warp, Mass: figureData(a.Mass)}
		for _, s := range a.Support.Sides {
			c.Sides = append(c.Sides, string(s))
		}
		for _, p := range a.Support.Pins {
			c.Pins = append(c.Pins, placeOf(p))
		}
		for _, p := range a.IdlePins {
			c.Idle = append(c.Idle, placeOf(p))
		}
		w.Line("support", c)
		w.Line("mesh", meshData{lengthData(a.Support.Open), lengthData(a.Support.Fine), a.Nodes, a.Triangles, a.Rows, a.Unknowns})
	}
	jsonlines.List(w, "constants", a.Constants, func(c mechanics.Named) any {
		return constantData{c.Name, json.Number(mechanics.Exact(c.Value)), c.Unit, c.Source}
	})
	jsonlines.List(w, "problems", a.Problems, func(p mechanics.Problem) any {
		return problemData{string(p.Kind), p.Message, placeOf(p.At), p.Feature}
	})
	jsonlines.List(w, "states", a.States, func(s mechanics.State) any {
		x := stateData{State: string(s.Kind), Sag: figureData(s.Sag), Percent: figureData(s.Percent), At: placeOf(mechanics.Place(s.SagAt)), Copy: s.SagCopy, Pressed: s.Pressed}
		if s.Pull > 0 {
			at := placeOf(mechanics.Place(s.PullAt))
			x.Pull, x.PullAt = figureData(s.Pull), &at
		}
		return x
	})
	hertz := []figureData{}
	for _, h := range a.Hertz {
		hertz = append(hertz, figureData(h))
	}
	w.Line("frequencies_hertz", hertz)
	jsonlines.List(w, "tabs", a.Tabs, func(t mechanics.Tab) any {
		x := rowData{Tab: t.Tab, Row: t.Row, Copies: t.Copies, At: placeOf(mechanics.Place(t.At)), Modulus: figureData(t.Modulus), Least: figureData(t.Least), Loads: []loadData{}, Without: withoutData{Falls: t.Without.Falls}}
		for i, l := range t.Loads {
			if i < len(a.States) {
				x.Loads = append(x.Loads, loadData{string(a.States[i].Kind), size(l.Moment), size(l.Twist), size(l.Shear), figureData(l.Stress), figureData(l.Strength), figureData(l.Reserve)})
			}
		}
		if !t.Without.Falls {
			sag, reserve := figureData(t.Without.Sag), figureData(t.Without.Reserve)
			x.Without.Sag, x.Without.Reserve, x.Without.Worst = &sag, &reserve, t.Without.Worst
		}
		return x
	})
	jsonlines.List(w, "score_lines", a.Lines, func(l mechanics.Line) any {
		x := webData{Score: l.Score, At: placeOf(mechanics.Place(l.At)), Modulus: figureData(l.Modulus), Least: figureData(l.Least), Loads: []webLoadData{}}
		for i, y := range l.Loads {
			if i < len(a.States) {
				x.Loads = append(x.Loads, webLoadData{string(a.States[i].Kind), size(y.Moment), figureData(y.Stress), figureData(y.Strength), figureData(y.Reserve)})
			}
		}
		return x
	})
	jsonlines.List(w, "breaks", a.Breaks, func(b mechanics.Break) any {
		x := breakData{Kind: string(b.Kind), Feature: b.Feature, Copies: b.Copies, At: placeOf(b.At), Moment: [2]figureData{figureData(b.Moment[0]), figureData(b.Moment[1])},
			Lever: figureData(b.Lever), Force: [2]figureData{figureData(b.Force[0]), figureData(b.Force[1])}, Cut: b.Cut}
		switch b.Kind {
		case mechanics.OneTab:
			x.Row = &b.Row
		case mechanics.BoardEdge:
			x.Tabs = b.Tabs
		}
		return x
	})
	jsonlines.List(w, "parts", a.Parts, func(s mechanics.Strained) any {
		return strainedData{s.Copy, s.Refdes, placeOf(s.At), s.Break, lengthData(s.Distance), [2]figureData{figureData(s.Least), figureData(s.Strain)}}
	})
	return w.Done()
}
