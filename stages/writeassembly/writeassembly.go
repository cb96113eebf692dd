// Package writeassembly writes what the assembly line needs: placement for the whole panel, where the
// copies and fiducials lie, and how many of each part a panel takes.
package writeassembly

import (
	"context"
	"encoding/csv"
	"errors"
	"fmt"
	"io"
	"slices"
	"strings"

	"panelwright/pipeline"
	"panelwright/pipeline/format/centroid"
	"panelwright/pipeline/geom"
	"panelwright/pipeline/panel"
)

// Kind is stage "write_assembly".
func Kind() pipeline.Kind {
	return pipeline.Kind{
		Name:     "write_assembly",
		Summary:  "Writes the assembler's files: placement, copies, fiducials, bad-board marks, prints and label areas, parts count, notes.",
		Role:     pipeline.Write,
		Contract: pipeline.Contract,
		New: func() pipeline.Stage {
			return &WriteAssembly{Units: "mm", Origin: lowerLeft, PlacesSeenFrom: "top", Rotation: "counter_clockwise", RotationSeenFrom: "top",
				Files: "one", Separator: "comma", Remarks: true}
		},
	}
}

// lowerLeft is the origin at the panel's corner.
const lowerLeft = "lower_left"

// WriteAssembly is the options of stage "write_assembly". What they mean for each file, the file says in its first lines, and the
// notes say for all.
type WriteAssembly struct {
	Columns          []string   `option:"columns" help:"columns of the placement files, in order: copy, refdes, side, x, y, rotation, package, value, part_number; all of them unless given. In the file x, y and rotation have their unit behind them"`
	Units            string     `option:"units" choice:"mm|inch" help:"unit of all lengths"`
	Origin           string     `option:"origin" help:"where places are counted from: lower_left, the corner of the panel's outline, or the id of a fiducial, such as fiducial/1"`
	PlacesSeenFrom   string     `option:"places_seen_from" choice:"top|own_side" help:"own_side: x of what lies on the bottom is counted as the bottom is seen, from the origin the other way"`
	Rotation         string     `option:"rotation" choice:"counter_clockwise|clockwise" help:"which way rotations of parts count"`
	RotationSeenFrom string     `option:"rotation_seen_from" choice:"top|own_side" help:"from where rotations of parts on the bottom are seen"`
	BottomZero       geom.Angle `option:"bottom_zero" range:"0..360" help:"what a part on the bottom reads that is at zero in the board's own placement file"`
	Files            string     `option:"files" choice:"one|each_side" help:"placement in one file, or in one for each side"`
	Separator        string     `option:"separator" choice:"comma|semicolon|tab" help:"what stands between columns"`
	Remarks          bool       `option:"remarks" help:"lines that begin with # above the columns' names, which state units, origin and rotation; the notes state them in any case"`
}

// Parts tells that writing needs copies.
func (w *WriteAssembly) Parts() pipeline.Parts { return pipeline.Parts{Needs: []string{"copies"}} }

// Check refuses columns that are not known, are there twice or leave a part without its place.
func (w *WriteAssembly) Check() error {
	columns, err := w.columns()
	if err != nil || len(w.Columns) == 0 {
		return err
	}
	needed := []string{"refdes", "x", "y", "rotation"}
	if w.Files != "each_side" {
		needed = append(needed, "side")
	}
	var errs []error
	for _, c := range needed {
		if !slices.Contains(columns, c) {
			why := "must name " + c + ": without it a part can be placed wrongly"
			if c == "side" {
				why = `must name side, unless files = "each_side"`
			}
			errs = append(errs, &pipeline.BadOption{Option: "columns", Reason: why})
		}
	}
	return errors.Join(errs...)
}

// columns gives the columns without units. Names with the unit that the file is in mean the same.
func (w *WriteAssembly) columns() ([]string, error) {
	if len(w.Columns) == 0 {
		return centroid.PanelColumns, nil
	}
	var out []string
	var errs []error
	bad := func(format string, a ...any) {
		errs = append(errs, &pipeline.BadOption{Option: "columns", Reason: fmt.Sprintf(format, a...)})
	}
	for _, name := range w.Columns {
		column := name
		for _, c := range centroid.PanelColumns {
			if centroid.ColumnName(c, w.Units) == name {
				column = c
			}
		}
		switch {
		case !slices.Contains(centroid.PanelColumns, column):
			why := fmt.Sprintf("does not take %q", name)
			if base, unit, _ := cutUnit(name); base != "" {
				why = fmt.Sprintf("does not take %q: units = %q, and %s is in %s", name, w.Units, name, unit)
			} else if n := pipeline.Nearest(name, centroid.PanelColumns); n != "" {
				why += "; nearest: " + n
			}
			bad("%s; the columns are %s", why, strings.Join(centroid.PanelColumns, ", "))
		case slices.Contains(out, column):
			bad("names %s twice", column)
		default:
			out = append(out, column)
		}
	}
	return out, errors.Join(errs...)
}

// cutUnit takes the unit off a column's name: x_mm is x in mm.
func cutUnit(name string) (base, unit string, ok bool) {
	for _, c := range []string{"x", "y"} {
		for _, u := range []string{"mm", "inch"} {
			if centroid.ColumnName(c, u) == name {
				return c, u, true
			}
		}
	}
	return "", "", false
}

// Run writes the files.
func (w *WriteAssembly) Run(_ context.Context, env *pipeline.Env, in panel.Panel) (pipeline.Result, error) {
	for _, b := range in.Boards() {
		if b.PartsElsewhere {
			env.Log.Warn().Str("board", b.Name).Msg("its placement is not in the board's coordinates and is left out")
		}
	}
	s, err := w.papers(env, in)
	if err != nil {
		return pipeline.Result{}, err
	}
	placed, err := s.placementFiles()
	if err != nil {
		return pipeline.Result{}, err
	}
	if placed == 0 {
		env.Report(pipeline.Finding{Rule: "no-placement", Severity: pipeline.Note,
			Message: "no board has placement data that can be used: no placement file is written for the assembler"})
	}
	for _, t := range []table{s.copies(), s.fiducials(), s.badBoardMarks(), s.prints(), s.parts()} {
		if err := s.write(t); err != nil {
			return pipeline.Result{}, err
		}
	}
	if err := s.notes(); err != nil {
		return pipeline.Result{}, err
	}
	env.Log.Info().Int("placements", placed).Msg("assembly files written")
	return pipeline.Result{Panel: in}, nil
}

// papers is one set of assembly files in the making.
type papers struct {
	env       *pipeline.Env
	panel     panel.Panel
	box       geom.Box // the panel's
	columns   []string
	separator rune
	extension string
	bare      bool // no remarks
	eachSide  bool
	convention
	written []written
}

// written is a file and what it is, for the notes.
type written struct{ name, what string }

// papers settles the options for a panel.
func (w *WriteAssembly) papers(env *pipeline.Env, in panel.Panel) (*papers, error) {
	columns, err := w.columns()
	if err != nil {
		return nil, err
	}
	s := &papers{env: env, panel: in, box: in.Outline().Box(), columns: columns, separator: ',', extension: ".csv", bare: !w.Remarks, eachSide: w.Files == "each_side"}
	switch w.Separator {
	case "semicolon":
		s.separator = ';'
	case "tab":
		s.separator, s.extension = '\t', ".tsv"
	}
	s.convention = convention{box: s.box, Convention: centroid.Convention{Unit: w.Units, PlacesOwnSide: w.PlacesSeenFrom == "own_side",
		RotationOwnSide: w.RotationSeenFrom == "own_side", Clockwise: w.Rotation == "clockwise", BottomZero: w.BottomZero.Normal()}}
	if w.Origin != lowerLeft {
		s.convention.Origin, err = originAt(in, w.Origin)
	}
	return s, err
}

// originAt finds the fiducial that is the origin. A machine that looks at the bottom must see it too.
func originAt(p panel.Panel, id string) (centroid.Origin, error) {
	known := []string{lowerLeft}
	for _, m := range p.Marks() {
		if m.Kind != panel.Fiducial {
			continue
		}
		known = append(known, m.ID)
		if m.ID != id {
			continue
		}
		for _, c := range p.Copies() {
			for _, x := range c.Board.Parts {
				if !c.Board.PartsElsewhere && !slices.Contains(m.Sides, x.Side) {
					return centroid.Origin{}, &pipeline.BadOption{Option: "origin", Reason: fmt.Sprintf("is %s, which is not on the %s, and parts are: %s of %s is one", id, x.Side, x.Refdes, c.ID)}
				}
			}
		}
		return centroid.Origin{Mark: m.ID, At: m.At}, nil
	}
	why := fmt.Sprintf("is %q, which the panel does not have", id)
	if n := pipeline.Nearest(id, known); n != "" {
		why += "; nearest: " + n
	}
	return centroid.Origin{}, &pipeline.BadOption{Option: "origin", Reason: why + "; it can be " + strings.Join(known, ", ")}
}

// table is one of the files beside the placement. rows begin with the names of the columns.
type table struct {
	name, title, what string
	remarks           []string
	rows              [][]string
}

// write writes a table that has more than its heading.
func (s *papers) write(t table) error {
	if len(t.rows) < 2 {
		return nil
	}
	return s.create(t.name, s.extension, t.what, func(f io.Writer) error {
		if !s.bare {
			for _, r := range slices.Concat([]string{s.title(t.title)}, t.remarks) {
				if _, err := fmt.Fprintf(f, "# %s\n", centroid.OneLine(r)); err != nil {
					return err
				}
			}
		}
		w := csv.NewWriter(f)
		w.Comma = s.separator
		return w.WriteAll(t.rows)
	})
}

// title heads a file.
func (s *papers) title(what string) string {
	t := what + " of panel " + s.env.Panel
	if s.env.Revision != "" {
		t += ", revision " + s.env.Revision
	}
	if s.env.Supplier != "" {
		t += ", for supplier " + s.env.Supplier
	}
	return t
}

// create makes a file of the folder and lists it for the notes.
func (s *papers) create(name, extension, what string, fill func(io.Writer) error) error {
	name = s.env.Panel + "-" + name + extension
	f, err := s.env.Files.Create("assembly/" + name)
	if err != nil {
		return err
	}
	if err := fill(f); err != nil {
		f.Close()
		return err
	}
	s.written = append(s.written, written{name, what})
	return f.Close()
}
