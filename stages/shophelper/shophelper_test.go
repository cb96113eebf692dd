package shophelper

import (
	"encoding/json"
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"github.com/zclconf/go-cty/cty"

	"panelwright/pipeline"
	"panelwright/pipeline/geom"
	"panelwright/pipeline/panel"
	"panelwright/pipeline/stagetest"
)

// Whatever ends otherwise than well is an error that says what happened and what to do.
func TestFaultyHelpers(t *testing.T) {
	quick := "time_limit = \"300 ms\"\n"
	for _, c := range []struct{ name, script, options, want string }{
		{"crash", `echo "no such table" >&2; exit 3`, "",
			"helper x: ended with exit code 3\nit said on standard error:\nno such table\nmend the helper: it must end with 0, and tell what is wrong with the panel as findings"},
		{"crash after a good answer", `echo '{"contract":1}'; exit 1`, "",
			"helper x: ended with exit code 1\nmend the helper: it must end with 0, and tell what is wrong with the panel as findings"},
		{"signal", `kill -SEGV $$`, "", "helper x: was ended by signal 11 (segmentation fault)\nmend the helper; the system ends programs so that fault, or that take more than it has"},
		{"hang", `exec sleep 600`, quick, "helper x: took longer than 300 ms and was ended\nmend the helper, or raise time_limit"},
		{"hang that takes no hint", `trap '' TERM INT HUP; sleep 600; sleep 600`, quick, "helper x: took longer than 300 ms and was ended\nmend the helper, or raise time_limit"},
		{"nothing", `:`, "", "helper x: printed nothing\na helper that has nothing to say prints {\"contract\": 1}"},
		{"garbage", `echo "Hello there"`, "",
			"helper x: its output is no JSON that can be read\nline 1, column 1: has the word \"Hello\" where a value should stand; texts stand in double quotes\n" +
				"print the answer and nothing else on standard output; words for people go to standard error"},
		{"truncated", `printf '{"contract":1,\n "log": ["a", "b'`, "",
			"helper x: its output is no JSON that can be read\nline 2, column 15: has a text that does not end\nprint the answer and nothing else on standard output; words for people go to standard error"},
		{"over-long", `exec yes`, "output_limit = \"64 KiB\"\n", "helper x: printed more than 64 KiB and was ended\nmend the helper, or raise output_limit"},
		{"endless standard error", `exec yes more >&2`, "output_limit = \"64 KiB\"\n",
			"helper x: said more than 64 KiB on standard error and was ended\nit said on standard error:\nmore\nmore\nmore\nmore\n…\nmend the helper, or raise output_limit"},
		{"full folder", `head -c 100000 /dev/zero >big || exit 0; head -c 100000 /dev/zero >more; echo '{"contract":1}'`, "output_limit = \"128 KiB\"\n",
			"helper x: left more than 128 KiB, or too many files, in its working folder and was ended\nmend the helper, or raise output_limit"},
		{"output missing", `echo '{"contract":1}'`, "role = \"write\"\noutputs = [\"labels.csv\"]\n",
			"helper x: has left no file labels.csv\nit must write that file into its working folder, or outputs must not name it"},
		{"output is a link", `echo secret >s; ln -s /etc/passwd labels.csv; echo '{"contract":1}'`, "role = \"write\"\noutputs = [\"labels.csv\"]\n",
			"helper x: labels.csv is a link\nit must be an ordinary file, with its content in it"},
		{"output is a folder", `mkdir labels.csv; echo '{"contract":1}'`, "role = \"write\"\noutputs = [\"labels.csv\"]\n", "helper x: labels.csv is not an ordinary file"},
		{"output is a pipe", `mkfifo labels.csv; echo '{"contract":1}'`, "role = \"write\"\noutputs = [\"labels.csv\"]\n", "helper x: labels.csv is not an ordinary file"},
		{"output is handed over", `echo '{"contract":1}'`, "role = \"write\"\noutputs = [\"HELPER.sh\"]\n",
			"outputs: HELPER.sh is handed to the helper already, by files (h/helper.sh): give the output another name"},
	} {
		t.Run(c.name, func(t *testing.T) {
			assert.Equal(t, c.want, fails(t, c.script, c.options))
		})
	}
}

// What cannot even be started.
func TestHelpersThatDoNotStart(t *testing.T) {
	options, _ := scripted(t, "", "")
	for name, c := range map[string]struct{ content, want string }{
		"missing interpreter": {"#!/no/such/interpreter\n", "helper x: could not be started: no such file or directory\n" +
			"its first line, #!…, may ask for an interpreter that is not here: install it, or name another first in command"},
		"no program": {"just text\n", "helper x: could not be started: exec format error\n" +
			"what command names must be a program of this system, or a script whose first line says with what to run it: #!/usr/bin/env python3; else name the interpreter first"},
	} {
		err := stagetest.Fails(t, Kind(), options, twoGauges(t), map[string]string{"h/helper.sh": c.content})
		assert.Equal(t, c.want, saidOf(err), name)
	}
	err := stagetest.Fails(t, Kind(), "name = \"x\"\ncommand = [\"no-such-program-anywhere\"]", twoGauges(t), nil)
	assert.Equal(t, "command: there is no program no-such-program-anywhere where the system looks for programs, and none of files is called so\n"+
		"install it, or list the shop's own program in files", saidOf(err))
	err = stagetest.Fails(t, Kind(), "name = \"x\"\ncommand = [\"a\"]\nfiles = [\"h\", \"k/a\"]", twoGauges(t), map[string]string{"h/a": "", "k/a": ""})
	assert.Equal(t, "files: h/a and k/a would have one name in the working folder, which knows no folders: rename one of them", saidOf(err))
}

// A helper need not be executable in the recipe's folder, need not read what it is handed, may leave things behind, and may close
// its folder to itself: the build goes on, and nothing of it stays.
func TestHelpersThatDoWell(t *testing.T) {
	temp := t.TempDir()
	t.Setenv("TMPDIR", temp)
	for name, script := range map[string]string{
		"reads nothing":      `echo '{"contract":1}'`,
		"closes its input":   `exec <&-; echo '{"contract":1}'`,
		"leaves a child":     `sleep 600 & echo '{"contract":1}'`,
		"closes its folder":  `mkdir -p a/b; echo >a/b/c; chmod 0 a/b a; echo '{"contract":1}'; chmod 500 .`,
		"talks beside it":    `echo "it goes well" >&2; echo '{"contract":1}'`,
		"prints with spaces": `printf '\n\n {\n"contract" : 1.0e0 } \n\n'`,
	} {
		got := runs(t, script, "")
		assert.Equal(t, stagetest.Fingerprint(twoGauges(t)), stagetest.Fingerprint(got.Panel), name)
		assert.Empty(t, got.Findings, name)
		assert.Contains(t, got.Inputs, "h/helper.sh", name)
	}
	entries, err := os.ReadDir(temp)
	require.NoError(t, err)
	for _, e := range entries {
		assert.NotContains(t, e.Name(), "scratch", "a working folder stayed")
	}
}

// The environment is what the documentation says and nothing else; variables that are asked for are handed through.
func TestEnvironment(t *testing.T) {
	t.Setenv("SHOP_SECRET", "no")
	t.Setenv("SHOP_TOKEN", "yes: $HOME `id`")
	got := runs(t, `
for n in HOME TMPDIR; do eval "v=\$$n"; [ "$v" = "$(pwd -P)" ] || [ "$(cd "$v" && pwd -P)" = "$(pwd -P)" ] || exit 4; done
[ "$LC_ALL $TZ" = "C.UTF-8 UTC" ] || exit 5
[ -z "$SHOP_SECRET" ] || exit 6
[ -z "$SOURCE_DATE_EPOCH" ] || exit 7
printf '{"contract":1,"log":["%s"]}' "$SHOP_TOKEN"`, "environment = [\"SHOP_TOKEN\", \"SHOP_MISSING\"]\n")
	assert.Contains(t, got.Log, "yes: $HOME `id`")
}

// Words of the command reach the helper as they stand in the recipe.
func TestNothingIsExpanded(t *testing.T) {
	options, files := scripted(t, `printf '{"contract":1,"log":["%s %s %s"]}' "$#" "$1" "$2"`, "")
	options = strings.Replace(options, `["helper.sh"]`, `["helper.sh", "$HOME; exit 9 | *", ""]`, 1)
	got := stagetest.Run(t, Kind(), options, twoGauges(t), files)
	assert.Contains(t, got.Log, `"2 $HOME; exit 9 | * "`)
}

// What the helper is handed fits its schema, says what the recipe says, and holds all of panel.json.
func TestWhatIsHandedOver(t *testing.T) {
	got := runs(t, `cat >asked.json; echo '{"contract":1}'`, `role = "write"
outputs = ["asked.json"]
with = ["parts", "outlines"]
setting "pitch" { value = mm(2.54) }
setting "names" { value = ["a", "b"] }
`)
	text := got.Outputs["shop/x/asked.json"]
	fitsQuestion(t, text)
	var asked struct {
		Contract         int
		Helper, Role     string
		Name, Revision   string
		Date             string
		Settings         map[string]any
		Outputs, Layers  []string
		Panel            json.RawMessage
		Findings         []any
		Outlines, Parts  []map[string]any
		Supplier, Absent string
	}
	require.NoError(t, json.Unmarshal(text, &asked))
	assert.Equal(t, pipeline.Contract, asked.Contract)
	assert.Equal(t, []string{"x", "write", stagetest.Name, "A"}, []string{asked.Helper, asked.Role, asked.Name, asked.Revision})
	assert.Equal(t, map[string]any{"pitch": 2.54, "names": []any{"a", "b"}}, asked.Settings)
	assert.Equal(t, []string{"copper-1-top", "copper-2-bottom", "mask-top", "legend-top"}, asked.Layers)
	data, err := got.Panel.Data(stagetest.Name, "A")
	require.NoError(t, err)
	assert.JSONEq(t, string(data), string(asked.Panel))
	require.Len(t, asked.Parts, 2)
	assert.Equal(t, map[string]any{"copy": "A1", "refdes": "C7", "side": "top", "x_mm": 10.0, "y_mm": 32.0, "rotation_deg": 90.0, "package": "0805", "value": "100n", "part_number": "P-1"}, asked.Parts[0])
	// B1 is turned about its middle, (60, 27) on the panel.
	assert.Equal(t, []any{"B1", 70.0, 22.0, 270.0}, []any{asked.Parts[1]["copy"], asked.Parts[1]["x_mm"], asked.Parts[1]["y_mm"], asked.Parts[1]["rotation_deg"]})
	require.Len(t, asked.Outlines, 1)
	assert.Equal(t, "gauge", asked.Outlines[0]["board"])
}

// A helper that adds something of every kind.
func TestAdditions(t *testing.T) {
	got := takes(t, `{"contract":1,
"additions":{
 "prints":[
  {"id":"text","use":"lettering","layers":["legend-top"],"letters":[{"text":"LOT 25\n31","at_mm":[2,2],"letter_height_mm":2}]},
  {"id":"sign","use":"lettering","layers":["copper-2-bottom"],"text":"ours","strokes":[{"width_mm":0.3,"points_mm":[[60,2],[62,2],[62,4]]}],"circles":[{"at_mm":[64,3],"diameter_mm":1}]},
  {"id":"code","use":"code","layers":["legend-bottom"],"text":"X","symbology":"data_matrix","square_mm":1,"polygons":[{"points_mm":[[30,2],[30,3],[31,3],[31,2]]}],"area_mm":[[32,4],[29,1]]},
  {"id":"label","use":"label_area","layers":["legend-top"],"area_mm":[[40,1],[50,6]]},
  {"id":"opening","use":"rail_mask","layers":["mask-top"],"polygons":[{"points_mm":[[70,1],[75,1],[75,5]]}]},
  {"id":"fill","use":"thieving","layers":["copper-1-top","copper-2-bottom"],"circles":[{"at_mm":[20,48],"diameter_mm":1},{"at_mm":[22,48],"diameter_mm":1}]},
  {"id":"A1","use":"on_board","layers":["legend-top"],"copy":"A1","letters":[{"text":"42","at_mm":[25,30],"letter_height_mm":1.5,"align":"centre","turn_deg":90}]},
  {"id":"bad/A1","use":"bad_board","layers":["legend-top"],"copy":"A1","circles":[{"at_mm":[5,50],"diameter_mm":2}]}],
 "tooling_holes":[{"id":"hole/1","at_mm":[78,51],"diameter_mm":1.5}],
 "fiducials":[{"id":"f","at_mm":[70,50],"copper_diameter_mm":1,"mask_diameter_mm":2,"clear_diameter_mm":3,"sides":["bottom","top"]}]},
"findings":[{"rule":"x-y","severity":"warning","message":"so","at_mm":[1.5,-2],"feature":"rail/upper","copies":["A1","B1"],"measured":1.25,"limit":2,"unit":"mm","source":"the shop"}],
"log":["one","two"],
"values":{"next":7.5,"name":"a","ok":true}}`, `adds = ["prints", "tooling_holes", "fiducials"]
settles "next" { type = "number" }
settles "name" { type = "text" }
settles "ok" { type = "yes_no" }
`)
	prints := got.Panel.Prints()
	require.Len(t, prints, 8)
	byID := map[string]panel.Print{}
	for _, p := range prints {
		byID[p.ID] = p
	}
	text := byID["x/text"]
	assert.Equal(t, "LOT 25\n31", text.Text)
	assert.Equal(t, 2*geom.MM, text.LetterHeight)
	assert.Equal(t, 200*geom.UM, text.Lines[0].Width)
	sign := byID["x/sign"]
	assert.Equal(t, []panel.Function{{Kind: panel.Copper, Side: panel.Bottom, Index: 2}}, sign.Layers)
	assert.Equal(t, geom.Box{Min: mmPt(59.85, 1.85), Max: mmPt(64.5, 4.15)}, sign.Area)
	code := byID["x/code"]
	assert.Equal(t, geom.Box{Min: mmPt(29, 1), Max: mmPt(32, 4)}, code.Area)
	assert.Positive(t, code.Areas[0].Area(), "areas run counter-clockwise, however they were given")
	assert.Equal(t, [2]any{"data_matrix", geom.MM}, [2]any{code.Symbology, code.Square})
	assert.Equal(t, geom.Box{Min: mmPt(40, 1), Max: mmPt(50, 6)}, byID["x/label"].Area)
	assert.Len(t, byID["x/fill"].Layers, 2)
	assert.Equal(t, "A1", byID["x/A1"].Copy)
	marks := got.Panel.Marks()
	require.Len(t, marks, 2)
	assert.Equal(t, panel.Mark{ID: "x/hole/1", Kind: panel.ToolingHole, At: mmPt(78, 51), Diameter: 1500 * geom.UM}, marks[0])
	assert.Equal(t, panel.Mark{ID: "x/f", Kind: panel.Fiducial, At: mmPt(70, 50), Diameter: geom.MM, Mask: 2 * geom.MM, Clear: 3 * geom.MM, Sides: []panel.Side{panel.Top, panel.Bottom}}, marks[1])
	require.Len(t, got.Findings, 1)
	f := got.Findings[0]
	assert.Equal(t, "x-y", f.Rule)
	assert.Equal(t, mmPt(1.5, -2), *f.At)
	assert.Equal(t, [2]float64{1.25, 2}, [2]float64{*f.Measured, *f.Limit})
	assert.Equal(t, "shop_helper", f.Stage)
	assert.Equal(t, cty.ObjectVal(map[string]cty.Value{"next": cty.NumberFloatVal(7.5), "name": cty.StringVal("a"), "ok": cty.True}), got.Values["helpers.x"])
	assert.Contains(t, got.Log, `"message":"two"`)
}

// What touches a board without reaching into it is taken.
func TestBesideABoard(t *testing.T) {
	got := takes(t, added("prints", `{"id":"a","use":"rail_mask","layers":["mask-top"],"polygons":[{"points_mm":[[0,10],[80,10],[80,12],[0,12]]}]},
		{"id":"b","use":"lettering","layers":["copper-1-top"],"circles":[{"at_mm":[20,11.5],"diameter_mm":1}]},
		{"id":"c","use":"on_board","layers":["legend-top"],"copy":"A1","circles":[{"at_mm":[8.1,17],"diameter_mm":2}]}`), "")
	assert.Len(t, got.Panel.Prints(), 3)
}

// Two of the answers that TestRefusedAnswers has, and that of another contract, as a build meets them.
func TestRefusedAnswersOfABuild(t *testing.T) {
	assert.Equal(t, "helper x: its output is not as the contract has it\nline 2, column 3: /addtions is not known here; known are contract, additions, findings, log, values\n"+
		"see what it may be: stagetest options --schema shop_helper out", refuses(t, "{\"contract\":1,\n  \"addtions\":{}}", ""))
	assert.Equal(t, "helper x: its output cannot be taken\nline 1, column 45: /additions/tooling_holes/0 lies on A1: a helper changes nothing of the boards",
		refuses(t, added("tooling_holes", `{"id":"a","at_mm":[20,11.5],"diameter_mm":2}`), `adds = ["tooling_holes"]`))
	assert.Equal(t, "helper x: its output is written for contract 2, and this program serves contract 1\nline 1, column 13: /contract\nuse a helper and a program that go together",
		refuses(t, `{"contract":2,"new":1}`, ""))
	assert.Equal(t, "helper x: gives no value a, which the recipe says that it settles\nprint it: {\"contract\": 1, \"values\": {\"a\": …}}",
		refuses(t, `{"contract":1}`, `settles "a" { type = "number" }`))
}

// Options that cannot be meant are refused before anything runs.
func TestRefusedOptions(t *testing.T) {
	for _, c := range []struct{ options, want string }{
		{"name = \"X y\"\ncommand = [\"sh\"]", `option name must be lower-case words and figures joined by underscores, 60 characters at most; "X y" is not`},
		{"name = \"x\"\ncommand = [\"/bin/sh\"]", `option command begins with "/bin/sh": name a program without folders, and where it is the shop's own list it in files`},
		{"name = \"x\"\ncommand = [\"sh\"]\noutputs = [\"a\"]", `option outputs are for role = "write": say so, or leave them out`},
		{"name = \"x\"\ncommand = [\"sh\"]\nrole = \"write\"", `option role is "write", and outputs names no file: name those that it leaves, or say role = "judge"`},
		{"name = \"x\"\ncommand = [\"sh\"]\nrole = \"write\"\noutputs = [\"../a\"]", `option outputs holds "../a": a name of letters, digits, points, underscores and hyphens is wanted, without folders`},
		{"name = \"x\"\ncommand = [\"sh\"]\nrole = \"write\"\noutputs = [\"a\", \"A\"]", `option outputs holds "A" twice`},
		{"name = \"x\"\ncommand = [\"sh\"]\nenvironment = [\"A=1\"]", `option environment holds "A=1": names of variables are wanted, not their values`},
		{"name = \"x\"\ncommand = [\"sh\"]\nenvironment = [\"TZ\"]", `option environment holds TZ, which the program itself sets`},
		{"name = \"x\"\ncommand = [\"sh\"]\ntime_limit = \"2 h\"", `option time_limit is 2 h; it must lie between 0.1 s and 1 h`},
		{"name = \"x\"\ncommand = [\"sh\"]\ntime_limit = \"2 mm\"", `option time_limit has the unit "mm"; it takes s, ms, min, h, as in "30 s"`},
		{"name = \"x\"\ncommand = [\"sh\"]\noutput_limit = \"1 GiB\"", `option output_limit has the unit "GiB"; it takes MiB, KiB, as in "16 MiB"`},
		{"name = \"x\"\ncommand = [\"sh\"]\nmemory_limit = 8", `option memory_limit is 8; it must lie between 16 MiB and 64 GiB`},
		{"name = \"x\"\ncommand = [\"sh\"]\nsettles \"A\" { type = \"text\" }", `option settles A is no name that expressions can read: lower-case words joined by underscores are wanted`},
	} {
		err := stagetest.Fails(t, kindOf(c.options), c.options, twoGauges(t), nil)
		assert.Contains(t, err.Error(), c.want)
	}
}

// The example in Python: what a shop would write.
func TestPythonExample(t *testing.T) {
	python, err := exec.LookPath("python3")
	if err != nil {
		t.Skip("there is no python3 here")
	}
	where, err := exec.Command(python, "-c", "import sys; print(sys.executable)").Output() // not a stand-in that looks for it each time
	require.NoError(t, err)
	t.Setenv("PATH", filepath.Dir(strings.TrimSpace(string(where)))+string(os.PathListSeparator)+os.Getenv("PATH"))
	files := map[string]string{}
	for _, name := range []string{"serial.py", "prefixes.csv"} {
		text, err := os.ReadFile(filepath.Join("testdata", "helpers", name))
		require.NoError(t, err)
		files["h/"+name] = string(text)
	}
	options := `name = "serial"
command = ["python3", "serial.py"]
files = ["h/*"]
setting "first" { value = 41 }
setting "last" { value = 41 }
setting "letter_height" { value = "1.5 mm" }
settles "next" { type = "number" }
`
	err = stagetest.Fails(t, Kind(), options, twoGauges(t), files) // the text "1.5 mm" is no number
	assert.Contains(t, err.Error(), "TypeError")
	options = strings.Replace(options, `"1.5 mm"`, `mm(1.5)`, 1)
	got := stagetest.Run(t, Kind(), options, twoGauges(t), files)
	prints := got.Panel.Prints()
	require.Len(t, prints, 2)
	assert.Equal(t, []string{"serial/number/A1", "RG00041", "RG00042"}, []string{prints[0].ID, prints[0].Text, prints[1].Text})
	require.Len(t, got.Findings, 1)
	assert.Equal(t, "serial-used-up", got.Findings[0].Rule)
	assert.Equal(t, []string{"A1", "B1"}, got.Findings[0].Copies)
	assert.True(t, got.Values["helpers.serial"].RawEquals(cty.ObjectVal(map[string]cty.Value{"next": cty.NumberIntVal(43)})))
	assert.Contains(t, got.Inputs, "h/prefixes.csv")
}

// The example in shell: it leaves a table.
func TestShellExample(t *testing.T) {
	_, _ = scripted(t, "", "")
	text, err := os.ReadFile(filepath.Join("testdata", "helpers", "labels.sh"))
	require.NoError(t, err)
	options := "name = \"labels\"\nrole = \"write\"\ncommand = [\"labels.sh\", \"2531\"]\nfiles = [\"labels.sh\"]\noutputs = [\"labels.csv\"]\n"
	got := stagetest.Run(t, kindOf(options), options, twoGauges(t), map[string]string{"labels.sh": string(text)})
	assert.Equal(t, "copy,board,lot\nA1,gauge,2531\nB1,gauge,2531\n", string(got.Outputs["shop/labels/labels.csv"]))
}
