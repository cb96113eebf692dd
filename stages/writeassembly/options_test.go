package writeassembly_test

import (
	"bytes"
	"errors"
	"fmt"
	"io"
	"maps"
	"math"
	"regexp"
	"slices"
	"strings"
	"testing"

	"github.com/rs/zerolog"
	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"panelwright/pipeline"
	"panelwright/pipeline/format/centroid"
	"panelwright/pipeline/geom"
	"panelwright/pipeline/panel"
	"panelwright/pipeline/panel/artwork"
	"panelwright/pipeline/proof"
	"panelwright/pipeline/stagetest"
	"panelwright/stages/writeassembly"
)

// kept is a build folder in memory.
type kept struct {
	pipeline.Files
	files map[string][]byte
}

type keeping struct {
	bytes.Buffer
	done func([]byte)
}

func (k *keeping) Close() error { k.done(k.Bytes()); return nil }

func (k *kept) Create(name string) (io.WriteCloser, error) {
	return &keeping{done: func(b []byte) { k.files[name] = b }}, nil
}

// written runs the stage and gives what it has written.
func written(t *testing.T, w *writeassembly.WriteAssembly, p panel.Panel) map[string][]byte {
	t.Helper()
	k := &kept{files: map[string][]byte{}}
	require.NoError(t, w.Check())
	_, err := w.Run(t.Context(), pipeline.NewEnv(pipeline.Env{Log: zerolog.Nop(), Panel: "weir-2up", Revision: "B", Files: k}, func(pipeline.Finding) {}, nil), p)
	require.NoError(t, err)
	return k.files
}

// proved holds written files against boards and plan.
func proved(t *testing.T, files map[string][]byte, p panel.Panel) []pipeline.Finding {
	t.Helper()
	found, err := proof.Prove(t.Context(), pipeline.Written{Panel: p, Name: "weir-2up", Outputs: slices.Sorted(maps.Keys(files)), Workers: 1,
		Read: func(name string) ([]byte, error) {
			data, ok := files[name]
			if !ok {
				return nil, errors.New("no such file")
			}
			return data, nil
		}})
	require.NoError(t, err)
	return found
}

// turned is a panel whose copies are turned by no, one, two and three quarters and by 30°, with parts on both sides.
func turned(t *testing.T) panel.Panel {
	t.Helper()
	const mm = geom.MM
	b := &panel.Board{Name: "weir", PartNumber: "RG-7", Revision: "B",
		Outline: geom.Outline{Outer: geom.Rectangle(geom.Box{Max: geom.Pt(40*mm, 30*mm)})},
		Parts: []panel.Part{
			{Refdes: "R1", Value: "10k, 1 %", Package: "0603", PartNumber: "RES-1", Side: panel.Top, At: geom.Pt(10*mm+1, 5*mm), Turn: geom.Quarter},
			{Refdes: "#D1", Value: "5V6\r\n2 %", Package: "SOD; 123", PartNumber: "#\"D\"\t1", Side: panel.Bottom, At: geom.Pt(30*mm, 7*mm+3), Turn: 37_500_000},
			{Refdes: "U1", Value: "MCU", Package: "QFN", PartNumber: "U-1", Side: panel.Bottom, At: geom.Pt(12*mm, 25*mm), Turn: 0},
		}}
	e := panel.Panel{}.Edit().AddBoard(b)
	for i, turn := range []geom.Angle{0, geom.Quarter, geom.Half, 3 * geom.Quarter, 30 * geom.Degree} {
		e.AddCopy(panel.Copy{ID: string(rune('A'+i)) + "1", Board: b, Place: panel.Settle(b, turn, geom.Pt(geom.Length(i)*60*mm, 3*mm))})
	}
	both := []panel.Side{panel.Top, panel.Bottom}
	p, err := e.FitOutline().
		AddMark(panel.Mark{ID: "fiducial/1", Kind: panel.Fiducial, At: geom.Pt(45*mm+7, 2*mm), Diameter: mm, Mask: 2 * mm, Clear: 3 * mm, Sides: both}).
		AddMark(panel.Mark{ID: "fiducial/2", Kind: panel.Fiducial, At: geom.Pt(200*mm, 2*mm), Diameter: mm, Mask: 2 * mm, Clear: 3 * mm, Sides: both[:1]}).
		AddPrint(panel.Print{ID: "bad_board_mark/A1", Use: panel.BadBoard, Copy: "A1", Area: geom.Box{Min: geom.Pt(50*mm, 0), Max: geom.Pt(54*mm, 4*mm)},
			Layers: []panel.Function{{Kind: panel.Copper, Side: panel.Bottom, Index: 2}}, Dots: []panel.Dot{{At: geom.Pt(52*mm, 2*mm), Diameter: 2 * mm}}}).
		Build()
	require.NoError(t, err)
	return p
}

func every() (all []*writeassembly.WriteAssembly) {
	for _, units := range []string{"mm", "inch"} {
		for _, origin := range []string{"lower_left", "fiducial/1"} {
			for _, places := range []string{"top", "own_side"} {
				for _, rotation := range []string{"counter_clockwise", "clockwise"} {
					for _, seen := range []string{"top", "own_side"} {
						for _, zero := range []geom.Angle{0, geom.Half, 37_500_001} {
							for _, files := range []string{"one", "each_side"} {
								for _, separator := range []string{"comma", "semicolon", "tab"} {
									for _, remarks := range []bool{true, false} {
										for _, columns := range [][]string{nil, {"rotation", "refdes", "y", "x", "copy", "side"}} {
											all = append(all, &writeassembly.WriteAssembly{Columns: columns, Units: units, Origin: origin, PlacesSeenFrom: places, Rotation: rotation,
												RotationSeenFrom: seen, BottomZero: zero, Files: files, Separator: separator, Remarks: remarks})
										}
									}
								}
							}
						}
					}
				}
			}
		}
	}
	return all
}

// seen reckons what a part's row must say by looking: the part's own upright direction is drawn on the panel, the
// panel is turned over where it is to be seen so, and place and angle are measured.
func seen(w *writeassembly.WriteAssembly, p panel.Panel, c panel.Copy, x panel.Part) (atX, atY geom.Length, rotation float64) {
	bottom := x.Side == panel.Bottom
	look := func(own bool, q geom.Point) geom.Point {
		if own && bottom {
			q.X = -q.X
		}
		return q
	}
	box := p.Outline().Box()
	origin := look(w.PlacesSeenFrom == "own_side", box.Min)
	if w.PlacesSeenFrom == "own_side" && bottom {
		origin = geom.Pt(-box.Max.X, box.Min.Y) // the left end of what is seen
	}
	if w.Origin != "lower_left" {
		origin = look(w.PlacesSeenFrom == "own_side", p.Marks()[0].At)
	}
	at := look(w.PlacesSeenFrom == "own_side", c.Place.Apply(x.At)).Sub(origin)
	// A part's upright direction stays upright when it is mirrored left to right for the bottom.
	up := geom.Transform{Turn: x.Turn + c.Place.Turn}.Apply(geom.Pt(0, geom.Limit/2))
	up = look(w.RotationSeenFrom == "own_side", up)
	deg := math.Atan2(-float64(up.X), float64(up.Y)) * 180 / math.Pi // from upright, counter-clockwise
	if w.Rotation == "clockwise" {
		deg = -deg
	}
	if bottom {
		deg += w.BottomZero.Degrees()
	}
	return at.X, at.Y, math.Mod(deg+720, 360)
}

// In every combination of options: rows say what one sees, the reader of boards' tables finds the same numbers, and
// the proof brings all parts and fiducials back to their places.
func TestEveryCombinationOfOptions(t *testing.T) {
	p := turned(t)
	for _, w := range every() {
		name := fmt.Sprintf("%+v", *w)
		files := written(t, w, p)
		for _, f := range proved(t, files, p) {
			t.Errorf("%s: %s: %s", name, f.Rule, f.Message)
		}
		ext := map[string]string{"comma": ".csv", "semicolon": ".csv", "tab": ".tsv"}[w.Separator]
		var rows []centroid.PanelRow
		for _, n := range map[string][]string{"one": {""}, "each_side": {"-top", "-bottom"}}[w.Files] {
			file := "assembly/weir-2up-placement" + n + ext
			require.Contains(t, files, file, name)
			got, err := centroid.ReadPanel(file, files[file])
			require.NoError(t, err, name)
			require.Equal(t, w.Remarks, len(got.Remarks) > 0)
			require.Equal(t, w.Remarks, files[file][0] == '#')
			other, err := centroid.Read(file, files[file])
			require.NoError(t, err, name)
			require.Len(t, other.Rows, len(got.Rows))
			for i, r := range got.Rows {
				o := other.Rows[i]
				require.Equal(t, []any{r.Refdes, r.Side, r.X, r.Y, r.Rotation}, []any{o.Refdes, o.Side, o.X, o.Y, o.Rotation}, name)
			}
			rows = append(rows, got.Rows...)
		}
		n := 0
		for _, c := range p.Copies() {
			for _, x := range c.Board.Parts {
				i := slices.IndexFunc(rows, func(r centroid.PanelRow) bool { return r.Copy == c.ID && r.Refdes == x.Refdes })
				require.GreaterOrEqual(t, i, 0, name)
				atX, atY, rotation := seen(w, p, c, x)
				require.Equal(t, []any{atX, atY, string(x.Side)}, []any{rows[i].X, rows[i].Y, rows[i].Side}, "%s: %s %s", name, c.ID, x.Refdes)
				off := math.Abs(rows[i].Rotation.Degrees() - rotation)
				require.Less(t, min(off, 360-off), 2e-6, "%s: %s %s reads %v, one sees %v", name, c.ID, x.Refdes, rows[i].Rotation, rotation)
				n++
			}
		}
		require.Len(t, rows, n, name)
	}
}

// By hand. The board is 40 mm x 30 mm; B1 is turned by 90° and lies at x 60 to 90, y 3 to 43: its origin is at (90, 3), so
// that U1 at (12, 25), on the bottom, lies at (90 - 25, 3 + 12) = (65, 15), turned by 90°. The panel reaches from A1's left
// edge at 0 to E1's right edge. Seen from the bottom, what was turned counter-clockwise is turned clockwise: 270°.
func TestBottomPartsOnTurnedCopies(t *testing.T) {
	p := turned(t)
	width := p.Outline().Box().Max.X.MM()
	low := p.Outline().Box().Min.Y.MM() // the panel begins with its lowest copy: at 0
	require.Zero(t, p.Outline().Box().Min.X)
	at := p.Copies()[1].Box().Min
	dx, dy := at.X.MM()-60, at.Y.MM()-3-low // where FitOutline has moved everything
	for _, x := range []struct {
		options  string
		x, y     float64
		rotation string
	}{
		{``, 65 + dx, 15 + dy, "90"},
		{`rotation_seen_from = "own_side"`, 65 + dx, 15 + dy, "270"},
		{`rotation = "clockwise"`, 65 + dx, 15 + dy, "270"},
		{"rotation = \"clockwise\"\nrotation_seen_from = \"own_side\"", 65 + dx, 15 + dy, "90"},
		{`bottom_zero = 180`, 65 + dx, 15 + dy, "270"},
		{"rotation_seen_from = \"own_side\"\nbottom_zero = \"180 deg\"", 65 + dx, 15 + dy, "90"},
		{`places_seen_from = "own_side"`, width - 65 - dx, 15 + dy, "90"},
		{`origin = "fiducial/1"`, 65 + dx - 45.000007, 13 + dy, "90"},
		{"origin = \"fiducial/1\"\nplaces_seen_from = \"own_side\"", 45.000007 - 65 - dx, 13 + dy, "90"},
	} {
		got := stagetest.Run(t, writeassembly.Kind(), x.options, p, nil)
		_, rows := table(t, got.Outputs["assembly/stage-test-placement.csv"])
		row := rows[slices.IndexFunc(rows, func(r []string) bool { return r[0] == "B1" && r[1] == "U1" })]
		assert.Equal(t, []string{"B1", "U1", "bottom", geom.FromMM(x.x).Decimal(), geom.FromMM(x.y).Decimal(), x.rotation, "QFN", "MCU", "U-1"}, row, x.options)
	}
}

// Every file is in the unit that is asked for and says so in its columns; the bottom's rows count as the placement's do.
func TestTablesFollowTheOptions(t *testing.T) {
	p := turned(t)
	w := &writeassembly.WriteAssembly{Units: "inch", Origin: "fiducial/1", PlacesSeenFrom: "own_side", Rotation: "counter_clockwise", RotationSeenFrom: "top", Files: "one", Separator: "semicolon", Remarks: true}
	files := written(t, w, p)
	for name, data := range files {
		assert.NotContains(t, string(data), "_mm", name)
	}
	assert.Contains(t, string(files["assembly/weir-2up-fiducials.csv"]), "\nfiducial/1;;bottom;0;0;0.03937008;0.07874016;0.11811024\nfiducial/2;;top;6.10236193;0;")
	// 45.000007 - 52 mm, and 0: counted the other way on the bottom
	assert.Contains(t, string(files["assembly/weir-2up-bad-board-marks.csv"]), "\nA1;bad_board_mark/A1;bottom;-0.27559028;0;0.07874016;copper\n")
	assert.Contains(t, string(files["assembly/weir-2up-copies.csv"]), "copy;board;part_number;revision;origin_x_inch;origin_y_inch;rotation_deg;left_inch;")
	notes := string(files["assembly/weir-2up-assembly-notes.txt"])
	for _, want := range []string{"Assembly of panel weir-2up, revision B\n", "\nunit: inch\n", "\nseparator: semicolon\n", "weir-2up-placement.csv", "weir-2up-fiducials.csv",
		"check sum: 15 parts on a panel, as many as the placement has rows: 5 on the top and 10 on the bottom; 5 x weir of 3\n", "The last word is the assembler's."} {
		assert.Contains(t, notes, want)
	}
}

// Options that would leave parts without a place, or that nothing on the panel answers, are refused with what to do.
func TestOptionsAreRefused(t *testing.T) {
	p := turned(t)
	for options, want := range map[string]string{
		`columns = ["refdes", "x", "y", "side"]`:                     "must name rotation: without it a part can be placed wrongly",
		`columns = ["refdes", "x", "y", "rotation"]`:                 `must name side, unless files = "each_side"`,
		`columns = ["refdes", "x", "y", "rotation", "side", "x_mm"]`: "names x twice",
		`columns = ["refdes", "x_inch", "y", "rotation", "side"]`:    `does not take "x_inch": units = "mm", and x_inch is in inch`,
		`columns = ["refds", "x", "y", "rotation", "side"]`:          `does not take "refds"; nearest: refdes; the columns are copy, refdes,`,
		`origin = "fiducial/9"`:                                      `is "fiducial/9", which the panel does not have; nearest: fiducial/1; it can be lower_left, fiducial/1, fiducial/2`,
		`origin = "fiducial/2"`:                                      "is fiducial/2, which is not on the bottom, and parts are: #D1 of A1 is one",
		`units = "cubit"`:                                            "cubit",
		`bottom_zero = 400`:                                          "400",
	} {
		assert.Contains(t, stagetest.Fails(t, writeassembly.Kind(), options, p, nil).Error(), want, options)
	}
	got := stagetest.Run(t, writeassembly.Kind(), "units = \"inch\"\ncolumns = [\"refdes\", \"x_inch\", \"y_inch\", \"rotation_deg\"]\nfiles = \"each_side\"", p, nil)
	assert.Contains(t, string(got.Outputs["assembly/stage-test-placement-bottom.csv"]), "\nrefdes,x_inch,y_inch,rotation_deg\n")
	assert.Contains(t, string(got.Outputs["assembly/stage-test-placement-bottom.csv"]), "\n# side: bottom\n")
	assert.NotContains(t, got.Outputs, "assembly/stage-test-placement.csv")
}

// The boards' own fiducials are told by their aperture function, copy by copy.
func TestLocalFiducials(t *testing.T) {
	p := withLocal(t)
	files := written(t, writeassembly.Kind().New().(*writeassembly.WriteAssembly), p)
	_, rows := table(t, files["assembly/weir-2up-fiducials.csv"])
	assert.Equal(t, [][]string{
		{"fiducial", "copy", "side", "x_mm", "y_mm", "copper_diameter_mm", "mask_diameter_mm", "clear_diameter_mm"},
		{"A1/fiducial/top/1", "A1", "top", "3", "4", "1", "2", ""},
		{"A1/fiducial/bottom/1", "A1", "bottom", "5", "6", "", "", ""}, // square, and no mask there
		{"B1/fiducial/top/1", "B1", "top", "46", "3", "1", "2", ""},    // turned by 90° about the origin at (50, 0)
		{"B1/fiducial/bottom/1", "B1", "bottom", "44", "5", "", "", ""},
	}, rows)
}

// Faults planted in the written files are each found under the rule, in files of every form.
func TestPlantedFaults(t *testing.T) {
	p := turned(t)
	u1 := regexp.MustCompile(`(?m)^B1([,;\t])U1[,;\t](.*)\n`)
	cell := func(n int, change func(string) string) func(s string) string {
		return func(s string) string {
			return u1.ReplaceAllStringFunc(s, func(row string) string {
				sep := u1.FindStringSubmatch(row)[1]
				cells := strings.Split(strings.TrimSuffix(row, "\n"), sep)
				cells[n] = change(cells[n])
				return strings.Join(cells, sep) + "\n"
			})
		}
	}
	moved := func(s string) string { // by less than a unit
		whole, part, ok := strings.Cut(s, ".")
		if !ok {
			return s + ".1"
		}
		return whole + "." + string('0'+(part[0]-'0'+1)%10) + part[1:]
	}
	to := func(text string) func(string) string { return func(string) string { return text } }
	first := func(form, by string) func(string) string {
		return func(s string) string {
			at := regexp.MustCompile(form).FindStringSubmatchIndex(s)
			if at == nil {
				return s
			}
			return s[:at[0]] + string(regexp.MustCompile(form).ExpandString(nil, by, s, at)) + s[at[1]:]
		}
	}
	swap := func(a, b string) func(string) string {
		return func(s string) string { return strings.Replace(s, a, b, 1) }
	}
	for _, fault := range []struct {
		name, file string // the file that is changed, without panel and extension; placement is the one with the bottom's parts
		change     func(string) string
		rule, want string
	}{
		{"x moved", "placement", cell(3, moved), "written-placement", "B1 U1"},
		{"y moved", "placement", cell(4, moved), "written-placement", "B1 U1"},
		{"x in another unit", "placement", cell(3, func(s string) string { return s + "mil" }), "written-placement", "cannot be read back"},
		{"rotation", "placement", cell(5, to("45")), "written-placement", "turned by"},
		{"side", "placement", cell(2, to("top")), "written-placement", "on the top instead of the bottom"},
		{"value", "placement", cell(7, to("MCV")), "written-placement", `value is "MCV" instead of "MCU"`},
		{"package", "placement", cell(6, to("QFP")), "written-placement", "its package"},
		{"part number", "placement", cell(8, to("U-2")), "written-placement", "its part number"},
		{"row lost", "placement", func(s string) string { return u1.ReplaceAllString(s, "") }, "written-placement", "B1 U1 is missing"},
		{"row twice", "placement", func(s string) string { return u1.ReplaceAllStringFunc(s, func(r string) string { return r + r }) }, "written-placement", "no such part"},
		{"of another copy", "placement", cell(0, to("Z9")), "written-placement", "B1 U1 is missing"},
		{"unit of the columns", "placement", func(s string) string {
			return strings.NewReplacer("x_mm", "x_inch", "y_mm", "y_inch", "x_inch", "x_mm", "y_inch", "y_mm").Replace(s)
		}, "written-placement", ""},
		{"a column lost", "placement", swap("rotation_deg", "rotation"), "written-placement", "cannot be read back"},
		{"notes: rotation", "assembly-notes", func(s string) string {
			return strings.NewReplacer("degrees clockwise", "degrees counter-clockwise", "degrees counter-clockwise", "degrees clockwise").Replace(s)
		}, "written-placement", "turned by"},
		{"notes: unit", "assembly-notes", func(s string) string {
			return strings.NewReplacer("unit: mm", "unit: inch", "unit: inch", "unit: mm").Replace(s)
		}, "written-placement", ""},
		{"notes: places", "assembly-notes", swap("\nplaces: x right", "\nplaces: x left"), "written-placement", "is not known as the places"},
		{"notes: origin", "assembly-notes", func(s string) string {
			if strings.Contains(s, "origin: lower") {
				return strings.Replace(s, "origin: lower", "origin: upper", 1)
			}
			return strings.Replace(s, "origin: fiducial/1", "origin: fiducial/2", 1)
		}, "written-placement", ""},
		{"notes: sum", "assembly-notes", swap("15 parts", "16 parts"), "written-placement", "check sum"},
		{"notes: separator", "assembly-notes", swap("separator:", "separators:"), "written-placement", "what separates"},
		{"fiducial moved", "fiducials", func(s string) string {
			return regexp.MustCompile(`(?m)^(fiducial/1.{2}bottom.)`).ReplaceAllString(s, "${1}1")
		}, "written-placement", "the row of fiducial/1 on the bottom"},
		{"fiducial's copper", "fiducials", func(s string) string {
			return strings.NewReplacer("0.03937008", "0.04", ",1,2,3\n", ",1.1,2,3\n", ";1;2;3\n", ";1.1;2;3\n", "\t1\t2\t3\n", "\t1.1\t2\t3\n").Replace(s)
		}, "written-placement", "other diameters"},
		{"fiducial lost", "fiducials", func(s string) string { return regexp.MustCompile(`(?m)^fiducial/2.*\n`).ReplaceAllString(s, "") }, "written-placement", "fiducial/2 on the top is missing"},
		{"fiducial more", "fiducials", func(s string) string {
			return regexp.MustCompile(`(?m)^fiducial/2(.*\n)`).ReplaceAllString(s, "fiducial/2${1}fiducial/3${1}")
		}, "written-placement", "no such fiducial"},
		{"a copy moved", "copies", first(`(?m)^(A1.weir.RG-7.B.)`, "${1}1"), "written-placement", "its board's origin lies at"},
		{"a copy turned", "copies", first(`(?m)^(B1(?:[,;\t][^,;\t\n]*){5}[,;\t])90`, "${1}180"), "written-placement", "turned by 180 deg"},
		{"a copy's revision", "copies", first(`(?m)^(C1.weir.RG-7.)B`, "${1}A"), "written-placement", "another board, part number or revision"},
		{"a copy's box", "copies", first(`(?m)^(C1.*[,;\t])([0-9.]+)$`, "${1}1${2}"), "written-placement", "the box of C1"},
		{"a copy lost", "copies", first(`(?m)^D1.*\n`, ""), "written-placement", "D1 is missing"},
		{"a copy more", "copies", first(`(?m)^D1(.*\n)`, "D1${1}Z1${1}"), "written-placement", "no such copy"},
		{"a copy twice", "copies", first(`(?m)^(D1.*\n)`, "${1}${1}"), "written-placement", "has D1 twice"},
		{"a bad-board mark moved", "bad-board-marks", first(`(?m)^(A1.*bottom.)`, "${1}1"), "written-placement", "none is planned so"},
		{"a bad-board mark of another copy", "bad-board-marks", first(`(?m)^A1(.*bottom)`, "B1${1}"), "written-placement", "is missing in"},
		{"a bad-board mark lost", "bad-board-marks", first(`(?m)^A1.*\n`, ""), "written-placement", "is missing in"},
		{"parts miscounted", "parts", first(`(?m)^(RES-1.*0603.)5`, "${1}6"), "written-placement", `per_panel of "RES-1"`},
		{"parts of another value", "parts", first(`(?m)^(RES-1.*)10k`, "${1}11k"), "written-placement", "has no row for"},
		{"parts lost", "parts", first(`(?m)^U-1.*\n`, ""), "written-placement", `has no row for "U-1"`},
		{"parts twice", "parts", first(`(?m)^(U-1.*\n)`, "${1}${1}"), "written-placement", "or a second one"},
		{"no copies", "copies", nil, "written-file", "was not written"},
		{"no parts", "parts", nil, "written-file", "was not written"},
		{"no bad-board marks", "bad-board-marks", nil, "written-file", "was not written"},
		{"no notes", "assembly-notes", nil, "written-file", "nothing says how the placement is counted"},
		{"no placement", "placement", nil, "written-file", "was not written"},
		{"no fiducials", "fiducials", nil, "written-file", "was not written"},
	} {
		for i, w := range every() {
			if len(w.Columns) > 0 || i%31 != 0 { // a part of those with all columns: each value of each option is among them
				continue
			}
			files := written(t, w, p)
			ext := map[string]string{"comma": ".csv", "semicolon": ".csv", "tab": ".tsv"}[w.Separator]
			name := "assembly/weir-2up-" + fault.file + ext
			if fault.file == "assembly-notes" {
				name = "assembly/weir-2up-assembly-notes.txt"
			} else if fault.file == "placement" && w.Files == "each_side" {
				name = "assembly/weir-2up-placement-bottom" + ext
			}
			require.Contains(t, files, name)
			if fault.change == nil {
				delete(files, name)
			} else {
				was := string(files[name])
				now := fault.change(was)
				require.NotEqual(t, was, now, "%s: nothing was planted in %s of %+v", fault.name, name, *w)
				files[name] = []byte(now)
			}
			found := proved(t, files, p)
			ok := slices.ContainsFunc(found, func(f pipeline.Finding) bool {
				return f.Rule == fault.rule && f.Severity == pipeline.Error && strings.Contains(f.Message, fault.want)
			})
			if !ok {
				t.Errorf("%s in %+v was not found; found was %v", fault.name, *w, found)
				break
			}
		}
	}
	files := written(t, every()[0], p)
	files["assembly/weir-2up-placement-old.csv"] = []byte("x")
	found := proved(t, files, p)
	require.Len(t, found, 1)
	assert.Equal(t, "written-file", found[0].Rule)
}

// withLocal is a panel of two copies of a board with fiducials of its own, one of them square and without mask.
func withLocal(t *testing.T) panel.Panel {
	t.Helper()
	const mm = geom.MM
	function := func(values ...string) artwork.Attributes {
		return artwork.Attributes{{Name: ".AperFunction", Values: values}}
	}
	flash := func(aperture int32, x, y geom.Length) artwork.Object {
		return artwork.Object{Kind: artwork.Flash, Aperture: aperture, Region: -1, Edge: geom.Line(geom.Pt(x, y), geom.Pt(x, y))}
	}
	sets := []artwork.Attributes{nil, function("FiducialPad", "Local"), function("SMDPad", "CuDef")}
	top := &artwork.Image{Sets: sets, Apertures: []artwork.Aperture{{Shape: artwork.Circle, Width: mm, Set: 1}, {Shape: artwork.Circle, Width: mm, Set: 2}},
		Objects: []artwork.Object{flash(0, 3*mm, 4*mm), flash(1, 9*mm, 9*mm)}}
	bottom := &artwork.Image{Sets: sets, Apertures: []artwork.Aperture{{Shape: artwork.Rectangle, Width: mm, Height: mm, Set: 1}}, Objects: []artwork.Object{flash(0, 5*mm, 6*mm)}}
	mask := &artwork.Image{Sets: sets, Apertures: []artwork.Aperture{{Shape: artwork.Circle, Width: 2 * mm}}, Objects: []artwork.Object{flash(0, 3*mm, 4*mm)}}
	b := &panel.Board{Name: "weir", CopperCount: 2, Outline: geom.Outline{Outer: geom.Rectangle(geom.Box{Max: geom.Pt(20*mm, 10*mm)})},
		Layers: []panel.Layer{{Function: panel.Function{Kind: panel.Copper, Side: panel.Top, Index: 1}, Image: top},
			{Function: panel.Function{Kind: panel.Copper, Side: panel.Bottom, Index: 2}, Image: bottom}, {Function: panel.Function{Kind: panel.Soldermask, Side: panel.Top}, Image: mask}}}
	p, err := panel.Panel{}.Edit().AddBoard(b).AddCopy(panel.Copy{ID: "A1", Board: b}).
		AddCopy(panel.Copy{ID: "B1", Board: b, Place: geom.Transform{Turn: geom.Quarter, Shift: geom.Pt(50*mm, 0)}}).FitOutline().Build()
	require.NoError(t, err)
	return p
}
