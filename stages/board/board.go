// Package board reads one board's fabrication data, and surveys such data for people.
package board

import (
	"context"
	"encoding/json"
	"errors"
	"fmt"
	"path/filepath"
	"slices"
	"strings"

	"github.com/zclconf/go-cty/cty"

	"panelwright/pipeline"
	"panelwright/pipeline/geom"
	"panelwright/pipeline/panel"
	"panelwright/stages/board/intake"
)

// Kind is stage "board".
func Kind() pipeline.Kind {
	return pipeline.Kind{
		Name:     "board",
		Summary:  "Reads one board's fabrication data: layers, drill files, outline, placement, netlist.",
		Role:     pipeline.Source,
		Contract: pipeline.Contract,
		New:      func() pipeline.Stage { return &Board{OutlineTolerance: intake.DefaultTolerance} },
	}
}

// Board is the options of stage "board".
type Board struct {
	Name             string            `option:"name" required:"true" help:"what the recipe calls the board: lower-case letters, digits and underscores"`
	Files            []pipeline.InPath `option:"files" required:"true" help:"the folder, zip or files (globs) that hold the board's fabrication data"`
	PartNumber       string            `option:"part_number" help:"held against the project's name in the files"`
	Revision         string            `option:"revision" help:"held against the revision in the files"`
	Thickness        *geom.Length      `option:"thickness" range:"0.1..10" help:"of the finished board; unless given, what the job file says, else 1.6 mm"`
	CopperLayers     *int              `option:"copper_layers" range:"1..100" help:"how many copper layers the board has; with it, layers may be missing from the files"`
	Finish           string            `option:"finish" help:"surface finish, in the fabricator's words"`
	MaskColor        string            `option:"mask_color" help:"colour of the soldermask"`
	OutlineTolerance geom.Length       `option:"outline_tolerance" range:"0..1" help:"how far apart two ends of the outline's strokes may be and still be one corner"`
	Outline          []Outline         `block:"outline" help:"which file, layer or loop draws the board's edge, or its size, where the files do not say it"`
	Packages         pipeline.InPath   `option:"packages" help:"the shop's table of parts' bodies, by package: length, width, height, underside, mass, overhang, fragile, class"`
	Layers           []Layer           `block:"layer" labels:"1" help:"what a layer file is for, where the file does not say it"`
	Drills           []Drill           `block:"drill" labels:"1" help:"how a drill file is to be read, where the file does not say it"`
	Placements       []Placement       `block:"placement" labels:"1" help:"how a placement file is to be read, where the file does not say it"`
}

// Layer is a layer block.
type Layer struct {
	Files    string `label:"0"`
	Function string `option:"function" help:"copper-1-top, copper-2-inner, mask-top, paste-bottom, legend-top, profile …, or ignore"`
	Reason   string `option:"reason" help:"why the file is ignored"`
	Unit     string `option:"unit" choice:"mm|in|inch" help:"the unit, in a file that does not state it"`
	Zeros    string `option:"zeros" choice:"leading|trailing|all" help:"which zeros are kept, in a file that does not state its number format"`
	Digits   []int  `option:"digits" count:"2" range:"0..7" help:"digits before and after the implied decimal point, in a file that does not state its number format"`

	Negative     bool        `option:"negative" help:"the layer draws where there is no copper, and does not say so"`
	ArcTolerance geom.Length `option:"arc_tolerance" range:"0..1" help:"how far the radii at an arc's two ends may disagree; unless given, 5 um and two steps of the file's coordinates"`
	MostObjects  *int        `option:"most_objects" range:"1..50000000" help:"how many objects the file may draw, copies counted; unless given, 2000000"`
}

// Outline is the outline block.
type Outline struct {
	File         string       `option:"file" help:"the file that draws the outline: a layer or a DXF drawing"`
	Layer        string       `option:"layer" help:"which layer of a drawing"`
	Unit         string       `option:"unit" choice:"mm|in|inch|mil|um" help:"the unit of a drawing that does not state it, or states a wrong one"`
	ShiftX       geom.Length  `option:"shift_x" range:"-1000..1000" help:"from the drawing's coordinates to those of the layers"`
	ShiftY       geom.Length  `option:"shift_y" range:"-1000..1000" help:"from the drawing's coordinates to those of the layers"`
	Loop         string       `option:"loop" help:"which closed loop is the board's edge, by the name that the survey gives it"`
	NotCutOuts   []string     `option:"not_cut_outs" help:"closed loops within the board that are marks, by the names that the survey gives them"`
	IgnoreOpen   bool         `option:"ignore_open" help:"chains of strokes that nearly close are marks"`
	Width        *geom.Length `option:"width" range:"1..1000" help:"of the board, a rectangle that no file draws"`
	Height       *geom.Length `option:"height" range:"1..1000" help:"of the board, a rectangle that no file draws"`
	CornerRadius geom.Length  `option:"corner_radius" range:"0..500" help:"of that rectangle"`
	X            geom.Length  `option:"x" range:"-1000..1000" help:"left edge of that rectangle, in the coordinates of the layers"`
	Y            geom.Length  `option:"y" range:"-1000..1000" help:"lower edge of that rectangle, in the coordinates of the layers"`
}

// Drill is a drill block.
type Drill struct {
	Files   string `label:"0"`
	Plating string `option:"plating" choice:"plated|nonplated" help:"whether the holes' walls carry copper"`
	From    *int   `option:"from" range:"1..100" help:"the layer at which the holes begin, 1 = top"`
	To      *int   `option:"to" range:"2..100" help:"the layer at which the holes end"`
	Unit    string `option:"unit" choice:"mm|in|inch" help:"the unit, in a file that does not state it"`
	Zeros   string `option:"zeros" choice:"leading|trailing" help:"which zeros are kept, in a file that does not state it"`
	Digits  []int  `option:"digits" count:"2" range:"0..7" help:"digits before and after the implied decimal point, in a file that does not state them"`

	Override  bool   `option:"override" help:"take unit, zeros and digits from this block even where the file states others"`
	ToolList  string `option:"tool_list" help:"the file beside it that lists its tools, in a file that has no diameters"`
	MostHoles *int   `option:"most_holes" range:"1..20000000" help:"how many holes, and how many edges of slots, the file may have; unless given, 1000000"`
}

// Placement is a placement block.
type Placement struct {
	Files       string        `label:"0"`
	Unit        string        `option:"unit" choice:"mm|mil|in|inch|um" help:"the unit, in a file that does not state it"`
	Side        string        `option:"side" choice:"top|bottom" help:"the side of the parts, in a file that does not state it"`
	Columns     []string      `option:"columns" choice:"refdes|value|package|part_number|x|y|rotation|side|mirrored|unplaced|-" help:"what the columns are, in order, in a file that does not name them; \"-\" is not read"`
	Shift       []geom.Length `option:"shift" count:"2" help:"x and y to add to the file's places to get the board's; unless given, found by the pads"`
	BottomX     string        `option:"bottom_x" choice:"as_top|mirrored" help:"whether x of parts on the bottom runs as on the top or mirrored; unless given, found by the pads"`
	BottomTurns string        `option:"bottom_turns" choice:"counter_clockwise|clockwise" help:"how rotations of parts on the bottom count, seen from the top; counter-clockwise unless given"`
}

// Check refuses options that cannot be meant.
func (b *Board) Check() error {
	var errs []error
	bad := func(o, why string) { errs = append(errs, &pipeline.BadOption{Option: o, Reason: why}) }
	if b.Name != "" && !isName(b.Name) {
		bad("name", fmt.Sprintf("must be lower-case letters, digits and underscores, a letter first; %q is not", b.Name))
	}
	for _, l := range b.Layers {
		if err := intake.CheckPattern(l.Files); err != nil {
			bad("layer "+l.Files, err.Error())
		}
		_, ok := intake.ParseFunction(l.Function)
		switch {
		case l.Function == "" && l.Unit == "" && l.Zeros == "" && l.Digits == nil && l.ArcTolerance == 0 && l.MostObjects == nil && !l.Negative:
			bad("layer "+l.Files+" function", "is missing: say what the file is for, or how its numbers are written")
		case l.Function == "" || ok:
		case l.Function == "ignore" && l.Reason == "":
			bad("layer "+l.Files+" reason", "is missing: say why the file is ignored")
		case l.Function == "ignore":
		default:
			near := pipeline.Nearest(l.Function, intake.FunctionNames(b.CopperLayers))
			if near != "" {
				near = "; nearest: " + near
			}
			bad("layer "+l.Files+" function", fmt.Sprintf("must be %s; %q is none of them%s", intake.FunctionWords, l.Function, near))
		}
		if l.Reason != "" && l.Function != "ignore" {
			bad("layer "+l.Files+" reason", `is only for function = "ignore"`)
		}
	}
	for i, o := range b.Outline {
		if i > 0 {
			bad("outline", "is there twice: a board has one")
		}
		sized := o.Width != nil || o.Height != nil
		switch {
		case sized && (o.Width == nil || o.Height == nil):
			bad("outline width", "and height belong together: give both or neither")
		case sized && (o.File != "" || o.Layer != "" || o.Loop != "" || len(o.NotCutOuts) > 0 || o.ShiftX != 0 || o.ShiftY != 0):
			bad("outline width", "is for a rectangle that no file draws: leave out file, layer, loop, not_cut_outs and shift, or the size")
		case !sized && (o.CornerRadius != 0 || o.X != 0 || o.Y != 0):
			bad("outline corner_radius", "and x and y are for a rectangle: give its width and height")
		}
		if err := intake.CheckPattern(o.File); o.File != "" && err != nil {
			bad("outline file", err.Error())
		}
	}
	for _, d := range b.Drills {
		if err := intake.CheckPattern(d.Files); err != nil {
			bad("drill "+d.Files, err.Error())
		}
		if d.ToolList != "" {
			if err := intake.CheckPattern(d.ToolList); err != nil {
				bad("drill "+d.Files+" tool_list", err.Error())
			}
		}
		if d.Override && d.Unit == "" && d.Zeros == "" && len(d.Digits) == 0 {
			bad("drill "+d.Files+" override", "needs unit, zeros or digits beside it")
		}
		switch {
		case (d.From == nil) != (d.To == nil):
			bad("drill "+d.Files+" from", "and to belong together: give both or neither")
		case d.From != nil && *d.From >= *d.To:
			bad("drill "+d.Files+" from", "must be above to: layers are counted from the top")
		}
	}
	for _, p := range b.Placements {
		if err := intake.CheckPattern(p.Files); err != nil {
			bad("placement "+p.Files, err.Error())
		}
		if err := intake.CheckColumns(p.Columns); err != nil {
			bad("placement "+p.Files+" columns", err.Error())
		}
	}
	return errors.Join(errs...)
}

func isName(s string) bool {
	for i, c := range []byte(s) {
		switch {
		case c >= 'a' && c <= 'z':
		case i > 0 && (c >= '0' && c <= '9' || c == '_'):
		default:
			return false
		}
	}
	return true
}

// Parts tells what the stage gives.
func (b *Board) Parts() pipeline.Parts { return pipeline.Parts{Gives: []string{"boards." + b.Name}} }

// ValueTypes tells the type of boards.<name>.
func (b *Board) ValueTypes() map[string]cty.Type {
	return map[string]cty.Type{"boards." + b.Name: cty.Object(map[string]cty.Type{
		"width": cty.Number, "height": cty.Number, "copper_layers": cty.Number, "thickness": cty.Number, "part_count": cty.Number,
		"part_number": cty.String, "revision": cty.String,
	})}
}

// Run reads the board and adds it to the panel.
func (b *Board) Run(ctx context.Context, env *pipeline.Env, in panel.Panel) (pipeline.Result, error) {
	key, err := b.key()
	if err != nil {
		return pipeline.Result{}, err
	}
	read, err := env.Once(ctx, key, func(files pipeline.Files) (any, error) {
		got, err := intake.Read(ctx, files, b.request(env.Workers))
		if err == nil && len(got.Problems) > 0 {
			err = errors.Join(got.Problems...)
		}
		return got, err
	})
	if err != nil {
		return pipeline.Result{}, err
	}
	got := read.(*intake.Result)
	for _, f := range got.Findings {
		env.Report(f)
	}
	ignored := 0
	for _, f := range got.Files {
		if f.Ignored != "" {
			ignored++
			env.Log.Debug().Str("board", b.Name).Str("file", f.Name).Msg("ignored: " + f.Ignored)
			continue
		}
		env.Log.Debug().Str("board", b.Name).Str("file", f.Name).Msg(f.Use)
	}
	size := got.Board.Outline.Box()
	env.Log.Info().Str("board", b.Name).Str("size", size.Width().Decimal()+" x "+size.Height().String()).
		Int("copper_layers", got.Board.CopperCount).Int("parts", len(got.Board.Parts)).Int("files", len(got.Files)).Int("ignored", ignored).
		Msg("board read")
	p, err := in.Edit().AddBoard(got.Board).Build()
	if err != nil {
		return pipeline.Result{}, err
	}
	return pipeline.Result{Panel: p, Values: b.values(got.Board)}, nil
}

// key says all that the board hangs on but its files' contents: the options, with paths as places, since recipes in several
// folders may mean one board.
func (b *Board) key() (string, error) {
	all := *b
	place := func(p pipeline.InPath) pipeline.InPath {
		if p.Text == "" || strings.ContainsAny(p.Text, "*?[{") {
			return p
		}
		return pipeline.InPath{Text: filepath.ToSlash(filepath.Join(p.Dir, filepath.FromSlash(p.Text)))}
	}
	all.Files = slices.Clone(b.Files)
	for i, p := range all.Files {
		all.Files[i] = place(p)
	}
	all.Packages = place(b.Packages)
	text, err := json.Marshal(all)
	return "board " + string(text), err
}

func (b *Board) request(workers int) intake.Request {
	q := intake.Request{
		Name: b.Name, Paths: b.Files, PartNumber: b.PartNumber, Revision: b.Revision,
		Finish: b.Finish, MaskColor: b.MaskColor, Packages: b.Packages, Tolerance: b.OutlineTolerance, Workers: workers,
	}
	if b.Thickness != nil {
		q.Thickness = *b.Thickness
	}
	if b.CopperLayers != nil {
		q.CopperCount = *b.CopperLayers
	}
	if len(b.Outline) > 0 {
		q.Outline = b.Outline[0].rule()
	}
	for _, l := range b.Layers {
		is, _ := intake.ParseFunction(l.Function)
		q.Layers = append(q.Layers, intake.LayerRule{Files: l.Files, Ignore: l.Function == "ignore", Reason: l.Reason, Is: is, Format: l.format(), Negative: l.Negative})
	}
	for _, d := range b.Drills {
		q.Drills = append(q.Drills, d.rule())
	}
	for _, p := range b.Placements {
		q.Placements = append(q.Placements, p.rule())
	}
	return q
}

func (p Placement) rule() intake.PlacementRule {
	out := intake.PlacementRule{Files: p.Files, Unit: unitWord(p.Unit), Side: panel.Side(p.Side), Columns: p.Columns, BottomClockwise: p.BottomTurns == "clockwise"}
	if len(p.Shift) == 2 {
		s := geom.Pt(p.Shift[0], p.Shift[1])
		out.Shift = &s
	}
	if p.BottomX != "" {
		m := p.BottomX == "mirrored"
		out.Mirrored = &m
	}
	return out
}

func (b *Board) values(x *panel.Board) map[string]cty.Value {
	box := x.Outline.Box()
	mm := func(l geom.Length) cty.Value { return cty.MustParseNumberVal(l.Decimal()) }
	return map[string]cty.Value{"boards." + b.Name: cty.ObjectVal(map[string]cty.Value{
		"width":         mm(box.Width()),
		"height":        mm(box.Height()),
		"copper_layers": cty.NumberIntVal(int64(x.CopperCount)),
		"thickness":     mm(x.Thickness),
		"part_count":    cty.NumberIntVal(int64(len(x.Parts))),
		"part_number":   cty.StringVal(x.PartNumber),
		"revision":      cty.StringVal(x.Revision),
	})}
}

// unitWord is the reader's word for a unit: recipes may write the inch either way.
func unitWord(unit string) string {
	if unit == "in" {
		return "inch"
	}
	return unit
}
