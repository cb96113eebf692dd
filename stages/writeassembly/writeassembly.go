// Package writeassembly writes what the assembly line needs: placement for the whole panel, where the
// copies and fiducials lie, and how many of each part a panel takes.
package writeassembly

import (
	"cmp"
	"context"
	"encoding/csv"
	"fmt"
	"slices"
	"strconv"
	"strings"

	"panelwright/pipeline"
	"panelwright/pipeline/format/centroid"
	"panelwright/pipeline/panel"
)

// Kind is stage "write_assembly".
func Kind() pipeline.Kind {
	return pipeline.Kind{
		Name:    "write_assembly",
		Summary: "Writes the assembler's files: placement, copies, fiducials, bad-board marks, prints and label areas, parts count.",
		Role:    pipeline.Write,
		New:     func() pipeline.Stage { return &WriteAssembly{} },
	}
}

// WriteAssembly has no options yet.
type WriteAssembly struct{}

// Parts tells that writing needs copies.
func (w *WriteAssembly) Parts() pipeline.Parts { return pipeline.Parts{Needs: []string{"copies"}} }

// Run writes the files.
func (w *WriteAssembly) Run(_ context.Context, env *pipeline.Env, in panel.Panel) (pipeline.Result, error) {
	for _, b := range in.Boards() {
		if b.PartsElsewhere {
			env.Log.Warn().Str("board", b.Name).Msg("its placement is not in the board's coordinates and is left out")
		}
	}
	rows := placement(in)
	if len(rows) == 0 {
		env.Report(pipeline.Finding{Rule: "no-placement", Severity: pipeline.Note,
			Message: "no board has placement data that can be used: no placement file is written for the assembler"})
	} else {
		f, err := env.Files.Create("assembly/" + env.Panel + "-placement.csv")
		if err != nil {
			return pipeline.Result{}, err
		}
		if err := centroid.Write(f, rows, centroid.WriteOptions{
			Title:    "placement of panel " + env.Panel,
			Rotation: "degrees counter-clockwise, seen from the top, on both sides; zero as the board's own placement file has it",
		}); err != nil {
			f.Close()
			return pipeline.Result{}, err
		}
		if err := f.Close(); err != nil {
			return pipeline.Result{}, err
		}
	}
	for _, t := range []struct {
		name string
		rows [][]string
	}{{"copies", copies(in)}, {"fiducials", fiducials(in)}, {"bad-board-marks", badBoardMarks(in)}, {"prints", prints(in)}, {"parts", parts(in)}} {
		if len(t.rows) < 2 {
			continue // a heading only
		}
		if err := writeTable(env, "assembly/"+env.Panel+"-"+t.name+".csv", remarks(env, in, t.name), t.rows); err != nil {
			return pipeline.Result{}, err
		}
	}
	env.Log.Info().Int("placements", len(rows)).Msg("assembly files written")
	return pipeline.Result{Panel: in}, nil
}

func writeTable(env *pipeline.Env, name string, remarks []string, rows [][]string) error {
	f, err := env.Files.Create(name)
	if err != nil {
		return err
	}
	for _, r := range remarks {
		if _, err := fmt.Fprintf(f, "# %s\n", r); err != nil {
			f.Close()
			return err
		}
	}
	w := csv.NewWriter(f)
	if err := w.WriteAll(rows); err != nil {
		f.Close()
		return err
	}
	return f.Close()
}

// placement lists every part of every copy, in the order of the copies and of the boards' files.
func placement(p panel.Panel) []centroid.PanelRow {
	var out []centroid.PanelRow
	for _, c := range p.Copies() {
		if c.Board.PartsElsewhere {
			continue
		}
		for _, x := range c.Board.Parts {
			at := c.Place.Apply(x.At)
			out = append(out, centroid.PanelRow{
				Copy: c.ID, Refdes: x.Refdes, Side: string(x.Side), X: at.X, Y: at.Y,
				Rotation: (x.Turn + c.Place.Turn).Normal(), Package: x.Package, Value: x.Value, PartNumber: x.PartNumber,
			})
		}
	}
	return out
}

// copies lists where each copy lies: the place of its board's origin and its lower left corner.
func copies(p panel.Panel) [][]string {
	out := [][]string{{"copy", "board", "part_number", "revision", "origin_x_mm", "origin_y_mm", "rotation_deg", "left_mm", "lower_mm", "width_mm", "height_mm"}}
	for _, c := range p.Copies() {
		b := c.Box()
		out = append(out, []string{c.ID, c.Board.Name, c.Board.PartNumber, c.Board.Revision,
			c.Place.Shift.X.Decimal(), c.Place.Shift.Y.Decimal(), c.Place.Turn.Normal().Decimal(),
			b.Min.X.Decimal(), b.Min.Y.Decimal(), b.Width().Decimal(), b.Height().Decimal()})
	}
	return out
}

// fiducials lists the panel's own fiducials, one row a side.
func fiducials(p panel.Panel) [][]string {
	out := [][]string{{"fiducial", "side", "x_mm", "y_mm", "copper_diameter_mm", "mask_diameter_mm"}}
	for _, m := range p.Marks() {
		if m.Kind != panel.Fiducial {
			continue
		}
		for _, s := range m.Sides {
			out = append(out, []string{m.ID, string(s), m.At.X.Decimal(), m.At.Y.Decimal(), m.Diameter.Decimal(), m.Mask.Decimal()})
		}
	}
	return out
}

// parts counts how many of each part a panel takes.
func parts(p panel.Panel) [][]string {
	type key struct{ number, value, pack string }
	type line struct {
		key
		perPanel int
		boards   []string
	}
	at := map[key]*line{}
	var lines []*line
	for _, c := range p.Copies() {
		if c.Board.PartsElsewhere { // such tables hold more than parts, as often as not
			continue
		}
		for _, x := range c.Board.Parts {
			k := key{x.PartNumber, x.Value, x.Package}
			l := at[k]
			if l == nil {
				l = &line{key: k}
				at[k] = l
				lines = append(lines, l)
			}
			l.perPanel++
			if !slices.Contains(l.boards, c.Board.Name) {
				l.boards = append(l.boards, c.Board.Name)
			}
		}
	}
	slices.SortFunc(lines, func(a, b *line) int {
		return cmp.Or(cmp.Compare(a.number, b.number), cmp.Compare(a.value, b.value), cmp.Compare(a.pack, b.pack))
	})
	out := [][]string{{"part_number", "value", "package", "boards", "per_panel"}}
	for _, l := range lines {
		out = append(out, []string{l.number, l.value, l.pack, strings.Join(l.boards, " "), strconv.Itoa(l.perPanel)})
	}
	return out
}
