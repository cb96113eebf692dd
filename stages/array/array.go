// Package array repeats one board in columns and rows.
package array

import (
	"context"
	"errors"
	"fmt"
	"strconv"

	"github.com/zclconf/go-cty/cty"

	"panelwright/pipeline"
	"panelwright/pipeline/geom"
	"panelwright/pipeline/panel"
)

// Kind is stage "array".
func Kind() pipeline.Kind {
	return pipeline.Kind{
		Name:     "array",
		Summary:  "Repeats one board in columns and rows.",
		Role:     pipeline.Shape,
		Contract: pipeline.Contract,
		New:      func() pipeline.Stage { return &Array{} },
	}
}

// Array is the options of stage "array".
type Array struct {
	Board           string        `option:"board" required:"true" help:"name of the board to repeat"`
	Name            string        `option:"name" help:"put in front of the copies' names (left.A1) where there are several arrays"`
	Columns         *int          `option:"columns" range:"1..500" help:"copies side by side"`
	Rows            *int          `option:"rows" range:"1..500" help:"copies one above the other"`
	Gap             *geom.Length  `option:"gap" range:"0..500" help:"board edge to board edge, by the bounding boxes, where nothing below says otherwise; 0 unless given"`
	GapX            *geom.Length  `option:"gap_x" range:"0..500" help:"gap between columns, instead of gap"`
	GapY            *geom.Length  `option:"gap_y" range:"0..500" help:"gap between rows, instead of gap"`
	PitchX          *geom.Length  `option:"pitch_x" range:"0.1..1000" help:"column to column, instead of a gap; may be less than the board's width"`
	PitchY          *geom.Length  `option:"pitch_y" range:"0.1..1000" help:"row to row, instead of a gap; may be less than the board's height"`
	Turn            geom.Angle    `option:"turn" range:"-360..360" help:"turn of every copy, counter-clockwise seen from the top"`
	TurnEverySecond string        `option:"turn_every_second" choice:"row|column" help:"turn every second row or column by another 180 degrees"`
	FitWithin       []geom.Length `option:"fit_within" count:"2" range:"0.1..1000" help:"width and height that the copies must fit in, rails not included; gives columns and rows that are not set"`
	Beside          string        `option:"beside" choice:"right|above" help:"where this array lies relative to what is already placed; right unless given"`
	BesideGap       *geom.Length  `option:"beside_gap" range:"0..500" help:"gap to what is already placed (the array's own gap unless given)"`
}

// Check refuses options that contradict each other.
func (a *Array) Check() error {
	var errs []error
	bad := func(o, why string) { errs = append(errs, &pipeline.BadOption{Option: o, Reason: why}) }
	if a.Columns == nil && a.FitWithin == nil {
		bad("columns", "is missing: give columns and rows, or fit_within")
	}
	if a.Rows == nil && a.FitWithin == nil {
		bad("rows", "is missing: give columns and rows, or fit_within")
	}
	if a.Columns != nil && a.Rows != nil && a.FitWithin != nil {
		bad("fit_within", "has nothing to settle when columns and rows are both given: leave one of them out")
	}
	if a.PitchX != nil && a.GapX != nil {
		bad("pitch_x", "contradicts gap_x: give a pitch or a gap")
	}
	if a.PitchY != nil && a.GapY != nil {
		bad("pitch_y", "contradicts gap_y: give a pitch or a gap")
	}
	if a.BesideGap != nil && a.Beside == "" {
		bad("beside_gap", `needs beside = "right" or "above"`)
	}
	return errors.Join(errs...)
}

// Parts tells what the array needs and gives.
func (a *Array) Parts() pipeline.Parts {
	return pipeline.Parts{Needs: []string{"boards." + a.Board}, Gives: []string{"copies"}}
}

func (a *Array) valuePath() string {
	if a.Name == "" {
		return "array"
	}
	return "arrays." + a.Name
}

// ValueTypes tells what later stages may read: array.columns, or arrays.<name>.columns.
func (a *Array) ValueTypes() map[string]cty.Type {
	return map[string]cty.Type{a.valuePath(): cty.Object(map[string]cty.Type{
		"columns": cty.Number, "rows": cty.Number, "count": cty.Number, "width": cty.Number, "height": cty.Number,
	})}
}

// Run places the copies.
func (a *Array) Run(ctx context.Context, env *pipeline.Env, in panel.Panel) (pipeline.Result, error) {
	board := in.Board(a.Board)
	if board == nil {
		return pipeline.Result{}, fmt.Errorf("there is no board %q", a.Board)
	}
	size := geom.Transform{Turn: a.Turn}.Path(board.Outline.Outer).Box()
	px, py := a.pitch(size)
	columns, rows, err := a.counts(env, size, px, py)
	if err != nil {
		return pipeline.Result{}, err
	}
	if columns*rows > 10_000 {
		return pipeline.Result{}, fmt.Errorf("%d columns of %d rows are %d copies; at most 10,000 go on a panel", columns, rows, columns*rows)
	}
	origin := a.origin(in, px-size.Width(), py-size.Height())
	b := in.Edit()
	for row := range rows {
		for column := range columns {
			turn := a.Turn
			if a.TurnEverySecond == "row" && row%2 == 1 || a.TurnEverySecond == "column" && column%2 == 1 {
				turn += geom.Half
			}
			at := origin.Add(geom.Pt(geom.Length(column)*px, geom.Length(row)*py))
			b.AddCopy(panel.Copy{
				ID: a.copyName(column, row), Board: board, Column: column, Row: row, Array: a.Name,
				Place: panel.Settle(board, turn, at),
			})
		}
	}
	out, err := b.FitOutline().Build()
	if err != nil {
		return pipeline.Result{}, err
	}
	width := geom.Length(columns-1)*px + size.Width()
	height := geom.Length(rows-1)*py + size.Height()
	env.Log.Info().Str("board", a.Board).Int("columns", columns).Int("rows", rows).
		Str("width", width.String()).Str("height", height.String()).Msg("array placed")
	return pipeline.Result{Panel: out, Values: map[string]cty.Value{
		a.valuePath(): cty.ObjectVal(map[string]cty.Value{
			"columns": cty.NumberIntVal(int64(columns)), "rows": cty.NumberIntVal(int64(rows)),
			"count": cty.NumberIntVal(int64(columns * rows)),
			"width": cty.MustParseNumberVal(width.Decimal()), "height": cty.MustParseNumberVal(height.Decimal()),
		}),
	}}, nil
}

// pitch settles the distance from copy to copy both ways.
func (a *Array) pitch(size geom.Box) (x, y geom.Length) {
	settle := func(pitch, own, both *geom.Length, extent geom.Length) geom.Length {
		switch {
		case pitch != nil:
			return *pitch
		case own != nil:
			return extent + *own
		case both != nil:
			return extent + *both
		}
		return extent
	}
	return settle(a.PitchX, a.GapX, a.Gap, size.Width()), settle(a.PitchY, a.GapY, a.Gap, size.Height())
}

// counts settles columns and rows, by fit_within where they are not given, and logs what was tried.
func (a *Array) counts(env *pipeline.Env, size geom.Box, px, py geom.Length) (columns, rows int, err error) {
	fit := func(name string, given *int, within int, extent, pitch geom.Length) (int, error) {
		if given != nil {
			if a.FitWithin != nil {
				if need := geom.Length(*given-1)*pitch + extent; need > a.FitWithin[within] {
					return 0, fmt.Errorf("%d %s need %v, which is more than fit_within allows (%v)", *given, name, need, a.FitWithin[within])
				}
			}
			return *given, nil
		}
		n := 0
		for {
			need := geom.Length(n)*pitch + extent
			fits := need <= a.FitWithin[within]
			env.Log.Info().Int(name, n+1).Str("needs", need.String()).Str("within", a.FitWithin[within].String()).
				Bool("fits", fits).Msg("count tried")
			if !fits || n == 500 {
				break
			}
			n++
		}
		if n == 0 {
			return 0, fmt.Errorf("not one copy fits: the board needs %v and fit_within allows %v", extent, a.FitWithin[within])
		}
		return n, nil
	}
	if columns, err = fit("columns", a.Columns, 0, size.Width(), px); err != nil {
		return 0, 0, err
	}
	rows, err = fit("rows", a.Rows, 1, size.Height(), py)
	return columns, rows, err
}

// origin is where the lower left corner of the first copy's box goes.
func (a *Array) origin(in panel.Panel, gapX, gapY geom.Length) geom.Point {
	placed := geom.EmptyBox()
	for _, c := range in.Copies() {
		placed = placed.Union(c.Box())
	}
	if placed.Empty() {
		return geom.Point{}
	}
	if a.BesideGap != nil {
		gapX, gapY = *a.BesideGap, *a.BesideGap
	}
	if a.Beside == "above" {
		return geom.Pt(placed.Min.X, placed.Max.Y+gapY)
	}
	return geom.Pt(placed.Max.X+gapX, placed.Min.Y)
}

func (a *Array) copyName(column, row int) string {
	name := ColumnLetters(column) + strconv.Itoa(row+1)
	if a.Name != "" {
		name = a.Name + "." + name
	}
	return name
}

// ColumnLetters names a column: A … Z, AA, AB …
func ColumnLetters(column int) string {
	s := ""
	for column++; column > 0; column = (column - 1) / 26 {
		s = string(rune('A'+(column-1)%26)) + s
	}
	return s
}
