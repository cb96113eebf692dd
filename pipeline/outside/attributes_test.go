package outside

import (
	"bytes"
	"context"
	"encoding/json"
	"fmt"
	"maps"
	"os"
	"os/exec"
	"path/filepath"
	"regexp"
	"slices"
	"strings"
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"panelwright/pipeline/internal/shared"
)

// Attributes are read by gerbis (npm, 1.0.3, MIT), a parser made from the grammar of the layer format's specification:
// it knows the commands TF, TA, TO and TD and the standard's attribute names. testdata/outside/read-attributes.mjs
// says what it cannot read. Tried besides, and not taken: gerbv 2.9.6 (Debian) passes over TF and TA and calls TD an
// unknown extension; gerber-parser 4.2.7 (npm) skips all four; @tracespace/parser 5.0.0-next.0 (npm) makes one node
// "unimplemented" of each, with its text. No Go module and no other package of Debian that reads
// attributes was found, but for board-design suites.

// attributesRead is what the attribute reader understands of one file; lengths in mm.
type attributesRead struct {
	File       string
	Attributes map[string][]string
	Tools      []struct {
		ID, Shape  string
		Size       float64
		Attributes map[string][]string
	}
	Flashes []struct {
		Tool   string
		X, Y   float64
		Object map[string][]string
	}
	Strokes []struct {
		Tool           string
		X1, Y1, X2, Y2 float64
		Object         map[string][]string
	}
	Unread []string
}

// readAttributes reads files with the readers in testdata/outside.
func readAttributes(t *testing.T, files ...string) []attributesRead {
	t.Helper()
	dir := filepath.Join(root(t), "testdata", "outside")
	node, err := exec.LookPath("node")
	if err != nil {
		shared.Missing(t, "node, which runs the reader of attributes, is not here")
	}
	if _, err := os.Stat(filepath.Join(dir, "node_modules", "gerbis")); err != nil {
		shared.Missing(t, "the reader of attributes is not here: run npm ci in testdata/outside")
	}
	ctx, stop := context.WithTimeout(context.Background(), 5*time.Minute)
	defer stop()
	cmd := exec.CommandContext(ctx, node, append([]string{filepath.Join(dir, "read-attributes.mjs")}, files...)...)
	var out, said bytes.Buffer
	cmd.Stdout, cmd.Stderr = &out, &said
	require.NoError(t, cmd.Run(), said.String())
	var got []attributesRead
	require.NoError(t, json.Unmarshal(out.Bytes(), &got))
	require.Len(t, got, len(files))
	return got
}

// marksPlan is what panel.json says of the panel's own marks.
type marksPlan struct {
	Marks []struct {
		Kind     string
		At       [2]float64 `json:"at_mm"`
		Diameter float64    `json:"diameter_mm"`
		Sides    []string
	}
	Perforations []struct {
		At       [2]float64 `json:"at_mm"`
		Diameter float64    `json:"diameter_mm"`
	}
	Scores []struct {
		From [2]float64 `json:"from_mm"`
		To   [2]float64 `json:"to_mm"`
	}
	Prints []struct {
		Use    string
		Layers []string
		Dots   []struct {
			Diameter float64      `json:"diameter_mm"`
			At       [][2]float64 `json:"at_mm"`
		}
		Lines []struct {
			Width float64 `json:"width_mm"`
			Path  []struct {
				From, To [2]float64
			} `json:"path_mm"`
		}
	}
}

// mayBeUnread is what the reader is known not to read: at most these commands, and no other.
var mayBeUnread = regexp.MustCompile(`^(%TD\*%|%AM|%ADD\d+[A-Z][A-Za-z_0-9]{3,}\*%)`)

// fileFunctions is what each file of a panel must say that it is, by the specification, chapter 5.6.3. The words that
// a name ends in settle it; %d is the number of copper layers.
var fileFunctions = []struct{ name, function string }{
	{`copper-1-top`, "Copper,L1,Top"}, {`copper-(\d+)-inner`, "Copper,L$1,Inr"}, {`copper-(\d+)-bottom`, "Copper,L$1,Bot"},
	{`mask-top`, "Soldermask,Top"}, {`mask-bottom`, "Soldermask,Bot"}, {`legend-top`, "Legend,Top"}, {`legend-bottom`, "Legend,Bot"},
	{`paste-top`, "Paste,Top"}, {`paste-bottom`, "Paste,Bot"}, {`profile`, "Profile,NP"}, {`score`, "Vcut"}, {`array-drawing`, "ArrayDrawing"},
	{`drill-plated-(\d+)-(\d+)`, "Plated,$1,$2,PTH"}, {`drill-nonplated-(\d+)-(\d+)`, "NonPlated,$1,$2,NPTH"}, {`drill-breakoff`, "NonPlated,1,%d,NPTH"},
}

// attributeProblems holds what the reader understood of a panel's files against what panel.json plans.
func attributeProblems(name string, layers int, p marksPlan, reads []attributesRead) (problems []string, checked int) {
	bad := func(r attributesRead, format string, a ...any) {
		problems = append(problems, filepath.Base(r.File)+": "+fmt.Sprintf(format, a...))
	}
	for _, r := range reads {
		for _, u := range r.Unread {
			if !mayBeUnread.MatchString(u) {
				bad(r, "the reader does not understand %.60s", u)
			}
		}
		key, ext, _ := strings.Cut(strings.TrimPrefix(filepath.Base(r.File), name+"-"), ".")
		want := ""
		for _, f := range fileFunctions {
			if re := regexp.MustCompile("^" + f.name + "$"); re.MatchString(key) {
				want = strings.ReplaceAll(re.ReplaceAllString(key, f.function), "%d", fmt.Sprint(layers))
			}
		}
		attribute := func(name, want string) {
			if got := strings.Join(r.Attributes[name], ","); got != want {
				bad(r, "%s is %q, and %q is planned", name, got, want)
			}
			checked++
		}
		if want == "" {
			bad(r, "nobody says what its function must be")
		}
		attribute(".FileFunction", want)
		attribute(".Part", "Array")
		attribute(".SameCoordinates", name)
		if ext == "gbr" && key != "array-drawing" { // a drawing is no image
			polarity := "Positive"
			if strings.HasPrefix(key, "mask") {
				polarity = "Negative"
			}
			attribute(".FilePolarity", polarity)
		}
		// What is planned on this file, by the function that it must have: place and size of every flash, ends and
		// width of every stroke.
		wantFlash, wantStroke := map[string][]tuple{}, map[string][]tuple{}
		flash := func(function string, at [2]float64, d float64) {
			wantFlash[function] = append(wantFlash[function], tuple{at[0], at[1], d})
		}
		side := key[strings.LastIndex(key, "-")+1:]
		copper, mask := strings.HasPrefix(key, "copper-"), strings.HasPrefix(key, "mask-")
		for _, m := range p.Marks {
			if m.Kind == "fiducial" && copper && slices.Contains(m.Sides, side) {
				flash("FiducialPad,Panel", m.At, m.Diameter)
			}
			if m.Kind == "tooling_hole" && strings.HasPrefix(key, "drill-nonplated-1-") {
				flash("MechanicalDrill,Tooling", m.At, m.Diameter)
			}
		}
		if key == "drill-breakoff" {
			for _, h := range p.Perforations {
				flash("MechanicalDrill,Breakout", h.At, h.Diameter)
			}
		}
		for _, x := range p.Prints {
			if !slices.Contains(x.Layers, key) || !copper && !mask {
				continue
			}
			function := map[bool]string{true: "NonConductor", false: "Material"}[copper]
			if copper && x.Use == "thieving" {
				function = "CopperBalancing"
			}
			if mask {
				continue // fiducials, marks and boards open the mask alike: by function they are one
			}
			for _, d := range x.Dots {
				for _, at := range d.At {
					flash(function, at, d.Diameter)
				}
			}
			for _, l := range x.Lines {
				for _, e := range l.Path {
					wantStroke[function] = append(wantStroke[function], tuple{e.From[0], e.From[1], e.To[0], e.To[1], l.Width})
				}
			}
		}
		if key == "score" {
			for _, s := range p.Scores {
				wantStroke["Other,Score"] = append(wantStroke["Other,Score"], tuple{s.From[0], s.From[1], s.To[0], s.To[1], 0})
			}
		}
		haveFlash, haveStroke := map[string][]tuple{}, map[string][]tuple{}
		sizes, functions := map[string]float64{}, map[string]string{}
		for _, tool := range r.Tools {
			sizes[tool.ID], functions[tool.ID] = tool.Size, strings.Join(tool.Attributes[".AperFunction"], ",")
		}
		for _, f := range r.Flashes {
			if own[functions[f.Tool]] {
				haveFlash[functions[f.Tool]] = append(haveFlash[functions[f.Tool]], tuple{f.X, f.Y, sizes[f.Tool]})
				if len(f.Object) > 0 {
					bad(r, "a flash of function %s at (%v, %v) has attributes of a board's object: %v", functions[f.Tool], f.X, f.Y, f.Object)
				}
			}
		}
		for _, f := range r.Strokes {
			width := sizes[f.Tool]
			if functions[f.Tool] == "Other,Score" {
				width = 0 // lines of a drawing have no width
			}
			if own[functions[f.Tool]] {
				haveStroke[functions[f.Tool]] = append(haveStroke[functions[f.Tool]], tuple{f.X1, f.Y1, f.X2, f.Y2, width})
			}
		}
		for _, kind := range []struct {
			what       string
			want, have map[string][]tuple
		}{{"flashes", wantFlash, haveFlash}, {"strokes", wantStroke, haveStroke}} {
			for _, function := range slices.Sorted(maps.Keys(own)) {
				missing, left := pairUp(kind.want[function], kind.have[function])
				if len(missing)+len(left) > 0 {
					bad(r, "of the %s of function %s, %d planned ones are not understood as such, and %d others are", kind.what, function, len(missing), len(left))
				}
				checked += len(kind.want[function])
			}
		}
	}
	return problems, checked
}

// own are the functions that the panel's own features have; the demo's boards have none of these.
var own = map[string]bool{"FiducialPad,Panel": true, "CopperBalancing": true, "NonConductor": true, "MechanicalDrill,Tooling": true,
	"MechanicalDrill,Breakout": true, "Other,Score": true}

// demo builds recipes of the demo and gives the folder that the panels are in.
func demo(t *testing.T, recipes ...string) string {
	t.Helper()
	dir := t.TempDir()
	run := func(name string, args ...string) {
		ctx, stop := context.WithTimeout(context.Background(), 5*time.Minute)
		defer stop()
		cmd := exec.CommandContext(ctx, name, args...)
		cmd.Dir = root(t)
		out, err := cmd.CombinedOutput()
		require.NoError(t, err, string(out))
	}
	run("go", "run", "./testdata/demoboards", "-o", filepath.Join(dir, "testdata", "boards"))
	require.NoError(t, os.CopyFS(filepath.Join(dir, "recipes"), os.DirFS(filepath.Join(root(t), "recipes"))))
	args := []string{"build", "-o", filepath.Join(dir, "build")}
	for _, r := range recipes {
		args = append(args, filepath.Join(dir, "recipes", r+".panel.hcl"))
	}
	run(program(t), args...)
	return filepath.Join(dir, "build")
}

// TestAttributesAreUnderstood: an outside reader of attributes takes the written files of a panel with tabs and of one
// with score lines for what they are: a part type Array, each file's function, and of the panel's own features
// fiducials, tooling holes, perforations, thieving, bad-board marks and score lines, each just where it is planned.
// Attributes that are planted wrong are noticed.
func TestAttributesAreUnderstood(t *testing.T) {
	build := demo(t, "probe", "modem")
	plans := map[string]marksPlan{}
	for _, name := range []string{"probe-6up", "modem-24up"} {
		text, err := os.ReadFile(filepath.Join(build, name, "panel.json"))
		require.NoError(t, err)
		var p marksPlan
		require.NoError(t, json.Unmarshal(text, &p))
		plans[name] = p
	}
	for name, c := range map[string]struct {
		layers int
		files  []string // unless all: the reader is slow
		least  int
	}{
		"probe-6up":  {layers: 2, least: 1500},
		"modem-24up": {layers: 4, least: 280, files: []string{"copper-2-inner.gbr", "mask-top.gbr", "score.gbr", "profile.gbr", "array-drawing.gbr", "drill-nonplated-1-4.drl"}},
	} {
		t.Run(name, func(t *testing.T) {
			fab := filepath.Join(build, name, "fab")
			var files []string
			for _, f := range c.files {
				files = append(files, filepath.Join(fab, name+"-"+f))
			}
			if files == nil {
				for _, ending := range []string{"*.gbr", "*.drl"} {
					some, err := filepath.Glob(filepath.Join(fab, ending))
					require.NoError(t, err)
					files = append(files, some...)
				}
				require.GreaterOrEqual(t, len(files), 12)
			}
			problems, checked := attributeProblems(name, c.layers, plans[name], readAttributes(t, files...))
			require.Empty(t, problems)
			require.Greater(t, checked, c.least, "so little was checked that it proves nothing")
			shared.Ran(t, "attributes: "+name)
		})
	}
	for _, fault := range []struct{ file, from, to, want string }{
		{"probe-6up-profile.gbr", "TF.Part,Array*", "TF.Part,Single*", `.Part is "Single"`},
		{"probe-6up-mask-top.gbr", "TF.FileFunction,Soldermask,Top*", "TF.FileFunction,Soldermask,Bot*", `.FileFunction is "Soldermask,Bot"`},
		{"probe-6up-mask-top.gbr", "FilePolarity,Negative", "FilePolarity,Positive", `.FilePolarity is "Positive"`},
		{"probe-6up-copper-2-bottom.gbr", "FiducialPad,Panel", "FiducialPad,Local", "function FiducialPad,Panel, 3 planned ones are not understood"},
		{"probe-6up-copper-2-bottom.gbr", "%TA.AperFunction,FiducialPad,Panel*%", "%TA.AperFunctoin,FiducialPad,Panel*%", "the reader does not understand"},
		{"probe-6up-copper-2-bottom.gbr", "TA.AperFunction,CopperBalancing*", "TA.AperFunction,Conductor*", "function CopperBalancing"},
		{"probe-6up-copper-2-bottom.gbr", "TA.AperFunction,NonConductor*", "TA.AperFunction,CopperBalancing*", "function CopperBalancing, 0 planned ones are not understood as such, and 6 others are"},
		{"probe-6up-drill-nonplated-1-2.drl", "MechanicalDrill,Tooling", "MechanicalDrill", "function MechanicalDrill,Tooling, 4 planned ones"},
		{"probe-6up-drill-nonplated-1-2.drl", "; #@! TF.Part,Array", "; TF.Part,Array", `.Part is ""`},
		{"probe-6up-drill-breakoff.drl", "MechanicalDrill,Breakout", "MechanicalDrill,Tooling", "function MechanicalDrill,Breakout"},
		{"modem-24up-score.gbr", "TF.FileFunction,Vcut*", "TF.FileFunction,Profile,NP*", `.FileFunction is "Profile,NP"`},
		{"modem-24up-score.gbr", "TA.AperFunction,Other,Score*", "TA.AperFunction,Other,Line*", "function Other,Score, 10 planned ones"},
	} {
		t.Run("planted "+fault.file+" "+fault.to, func(t *testing.T) {
			name := fault.file[:strings.Index(fault.file, "up-")+2]
			p := plans[name]
			text, err := os.ReadFile(filepath.Join(build, name, "fab", fault.file))
			require.NoError(t, err)
			require.Contains(t, string(text), fault.from)
			file := filepath.Join(t.TempDir(), fault.file)
			require.NoError(t, os.WriteFile(file, bytes.Replace(text, []byte(fault.from), []byte(fault.to), 1), 0o644))
			problems, _ := attributeProblems(name, 2, p, readAttributes(t, file))
			require.Contains(t, strings.Join(problems, "\n"), fault.want)
			shared.Ran(t, "attributes: planted "+fault.file+" "+fault.to)
		})
	}
}
