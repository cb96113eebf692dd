// Package shophelper runs a shop's own program, in whatever language, on a panel: it hands the program the panel as JSON on
// standard input and takes what it adds, finds or writes.
//
// The program runs without a shell, in an empty folder of its own with copies of the files that the recipe names, with an
// environment of a few fixed variables, and within limits (child). What it prints is held against a description
// (answer.go) that is printed as JSON Schema, too, and then against the panel (add.go): it may print on the panel and
// add holes and fiducials to its waste, and changes nothing that is there. Rules and proof judge all of it like anything that
// a stage has added.
package shophelper

import (
	"context"
	"encoding/json"
	"errors"
	"fmt"
	"regexp"
	"slices"
	"strings"
	"time"

	"github.com/zclconf/go-cty/cty"

	"panelwright/pipeline"
	"panelwright/pipeline/panel"
	"panelwright/stages/shophelper/child"
)

// The roles as a recipe writes them.
var roles = map[string]pipeline.Role{"shape": pipeline.Shape, "judge": pipeline.Judge, "write": pipeline.Write}

// Kind is stage "shop_helper".
func Kind() pipeline.Kind {
	return pipeline.Kind{
		Name: "shop_helper",
		Summary: "Runs a shop's own program, in any language, without a shell: hands it the panel as JSON and takes prints, marks, findings, values or files; " +
			"its role is what option role says.",
		Role:     pipeline.Shape,
		Contract: pipeline.Contract,
		New: func() pipeline.Stage {
			return &ShopHelper{
				As: "shape", Adds: []string{prints},
				// Common practice, no published source: a script of a page takes well below a second and some 20 MiB.
				TimeLimit: pipeline.Quantity{Value: 30, Unit: "s"}, OutputLimit: pipeline.Quantity{Value: 16, Unit: "MiB"}, MemoryLimit: pipeline.Quantity{Value: 512, Unit: "MiB"},
			}
		},
	}
}

// What a helper may add.
const (
	prints       = "prints"
	toolingHoles = "tooling_holes"
	fiducials    = "fiducials"
)

// ShopHelper is the options of stage "shop_helper".
type ShopHelper struct {
	Name        string            `option:"name" required:"true" early:"true" help:"what findings, the log and the ids of what it adds begin with; lower-case words joined by underscores"`
	Command     []string          `option:"command" required:"true" help:"the program and its arguments, handed over as they are: no shell, nothing expanded. The program is one of files, by its name without folders, or one that is found where the system looks for programs"`
	Files       []pipeline.InPath `option:"files" help:"files, folders or globs that are copied into its working folder, by their names without folders; the build hangs on them"`
	As          string            `option:"role" choice:"shape|judge|write" early:"true" help:"shape: it adds to the panel; judge: it finds what is wrong; write: it leaves files"`
	Adds        []string          `option:"adds" choice:"prints|tooling_holes|fiducials" early:"true" help:"what it may add, for role = \"shape\": stages that must come after such things come after it"`
	Outputs     []string          `option:"outputs" early:"true" help:"files that it must leave in its working folder, for role = \"write\"; they become shop/<name>/<file> of the build folder"`
	With        []string          `option:"with" choice:"outlines|parts" help:"what it is handed besides the panel: the boards' outlines, the parts of all copies"`
	Environment []string          `option:"environment" help:"names of variables that are handed through, such as PATH; the build hangs on their values. All others are cleared"`
	Settings    []Setting         `block:"setting" labels:"1" help:"a value that it is handed"`
	Settles     []Settled         `block:"settles" labels:"1" help:"a value that it gives and later stages read, as helpers.<name>.<value>"`
	TimeLimit   pipeline.Quantity `option:"time_limit" help:"0.1 s to 1 h, in s, ms, min or h"`
	OutputLimit pipeline.Quantity `option:"output_limit" help:"1 KiB to 256 MiB, in KiB or MiB: of what it prints, and of what it leaves in its working folder"`
	MemoryLimit pipeline.Quantity `option:"memory_limit" help:"16 MiB to 64 GiB, in MiB or GiB: of each of its processes and of all together; kept on Linux and Windows"`
}

// Setting is a setting block.
type Setting struct {
	Name  string        `label:"0"`
	Value pipeline.Free `option:"value" required:"true" help:"of any kind; lengths are handed over in mm, angles in degrees"`
}

// Settled is a settles block.
type Settled struct {
	Value string `label:"0"`
	Type  string `option:"type" choice:"number|text|yes_no" required:"true" early:"true" help:"of the value"`
}

var (
	nameRule   = regexp.MustCompile(`^[a-z][a-z0-9]*(_[a-z0-9]+)*$`)
	fileRule   = regexp.MustCompile(`^[A-Za-z0-9_][A-Za-z0-9_.-]{0,99}$`)
	envRule    = regexp.MustCompile(`^[A-Za-z_][A-Za-z0-9_]*$`)
	fixedNames = []string{"HOME", "LC_ALL", "SOURCE_DATE_EPOCH", "TEMP", "TMP", "TMPDIR", "TZ", "USERPROFILE"}
)

// Check refuses options that cannot be meant.
func (h *ShopHelper) Check() error {
	var errs []error
	bad := func(o, format string, a ...any) {
		errs = append(errs, &pipeline.BadOption{Option: o, Reason: fmt.Sprintf(format, a...)})
	}
	if h.Name != "" && (!nameRule.MatchString(h.Name) || len(h.Name) > 60) {
		bad("name", "must be lower-case words and figures joined by underscores, 60 characters at most; %q is not", h.Name)
	}
	for i, w := range h.Command {
		switch {
		case strings.ContainsRune(w, 0):
			bad("command", "holds a zero character, which no argument can")
		case i == 0 && (w == "" || strings.ContainsAny(w, `/\`) || w == "." || w == ".."):
			bad("command", "begins with %q: name a program without folders, and where it is the shop's own list it in files", w)
		}
	}
	if h.As != "write" && len(h.Outputs) > 0 {
		bad("outputs", `are for role = "write": say so, or leave them out`)
	}
	if h.As == "write" && len(h.Outputs) == 0 {
		bad("role", `is "write", and outputs names no file: name those that it leaves, or say role = "judge"`)
	}
	seen := map[string]bool{}
	for _, o := range h.Outputs {
		switch low := strings.ToLower(o); {
		case !fileRule.MatchString(o) || strings.HasSuffix(o, "."):
			bad("outputs", "holds %q: a name of letters, digits, points, underscores and hyphens is wanted, without folders", o)
		case seen[low]:
			bad("outputs", "holds %q twice", o)
		default:
			seen[low] = true
		}
	}
	for i, name := range h.Environment {
		switch {
		case !envRule.MatchString(name):
			bad("environment", "holds %q: names of variables are wanted, not their values", name)
		case slices.Contains(fixedNames, strings.ToUpper(name)):
			bad("environment", "holds %s, which the program itself sets", name)
		case slices.Contains(h.Environment[:i], name):
			bad("environment", "holds %s twice", name)
		}
	}
	for _, s := range h.Settles {
		if !nameRule.MatchString(s.Value) {
			bad("settles "+s.Value, "is no name that expressions can read: lower-case words joined by underscores are wanted")
		}
	}
	if _, err := h.limits(); err != nil {
		errs = append(errs, err)
	}
	return errors.Join(errs...)
}

// Role is what the recipe says.
func (h *ShopHelper) Role() pipeline.Role { return roles[h.As] }

// own is what only one helper gives.
func (h *ShopHelper) own() string { return "helpers." + h.Name }

// Parts tells what it needs and gives: what it may add counts as given by it.
func (h *ShopHelper) Parts() pipeline.Parts {
	if h.Name == "" {
		return pipeline.Parts{}
	}
	p := pipeline.Parts{Gives: []string{h.own()}}
	if h.As != "shape" {
		return p
	}
	p.Needs = []string{"copies"}
	for _, a := range h.Adds {
		if a == prints {
			a = "legend"
		}
		p.Gives = append(p.Gives, a)
	}
	return p
}

// ValueTypes tells what later stages may read.
func (h *ShopHelper) ValueTypes() map[string]cty.Type {
	if h.Name == "" || len(h.Settles) == 0 {
		return nil
	}
	fields := map[string]cty.Type{}
	for _, s := range h.Settles {
		fields[s.Value] = map[string]cty.Type{"number": cty.Number, "text": cty.String, "yes_no": cty.Bool}[s.Type]
		if fields[s.Value] == cty.NilType {
			fields[s.Value] = cty.DynamicPseudoType // its mistake is told
		}
	}
	return map[string]cty.Type{h.own(): cty.Object(fields)}
}

// rulePrefix is what the rules of its findings begin with.
func (h *ShopHelper) rulePrefix() string { return strings.ReplaceAll(h.Name, "_", "-") + "-" }

// title names the helper in messages.
func (h *ShopHelper) title() string { return "helper " + h.Name }

// Run runs the helper.
func (h *ShopHelper) Run(ctx context.Context, env *pipeline.Env, in panel.Panel) (pipeline.Result, error) {
	limits, err := h.limits()
	if err != nil {
		return pipeline.Result{}, err
	}
	f, err := h.layOut(ctx, env)
	if err != nil {
		return pipeline.Result{}, err
	}
	defer f.clear()
	input, err := h.input(env, in)
	if err != nil {
		return pipeline.Result{}, err
	}
	path, err := h.program(env, f)
	if err != nil {
		return pipeline.Result{}, err
	}
	text, err := child.Run(ctx, child.Command{Path: path, Args: h.Command[1:], Dir: f.dir, Env: h.variables(env, f.dir), Input: input, Limits: limits})
	if err != nil {
		return pipeline.Result{}, h.failed(err)
	}
	said, err := h.read(text, env.Program.Name)
	if err != nil {
		return pipeline.Result{}, err
	}
	out := in
	if !said.additions.none() {
		if out, err = h.add(ctx, in, said.additions); err != nil {
			return pipeline.Result{}, err
		}
	}
	values, err := h.values(said.values)
	if err != nil {
		return pipeline.Result{}, err
	}
	found, err := h.findings(in, said.findings)
	if err != nil {
		return pipeline.Result{}, err
	}
	if h.As == "write" {
		if err := f.collect(env, h); err != nil {
			return pipeline.Result{}, err
		}
	}
	for _, x := range found {
		env.Report(x)
	}
	for _, line := range said.log {
		env.Log.Info().Str("helper", h.Name).Msg(line)
	}
	a := said.additions
	env.Log.Info().Str("helper", h.Name).Int("prints", len(a.prints)).Int("tooling_holes", len(a.holes)).Int("fiducials", len(a.fiducials)).
		Int("findings", len(found)).Int("outputs", len(h.Outputs)).Msg("helper has answered")
	return pipeline.Result{Panel: out, Values: values}, nil
}

// variables are all that the helper's environment holds.
func (h *ShopHelper) variables(env *pipeline.Env, dir string) []string {
	out := []string{"LC_ALL=C.UTF-8", "TZ=UTC", "HOME=" + dir, "TMPDIR=" + dir}
	out = append(out, systemVariables(dir)...)
	if t, err := time.Parse(time.RFC3339, env.Date); err == nil {
		out = append(out, fmt.Sprintf("SOURCE_DATE_EPOCH=%d", t.Unix()))
	}
	for _, name := range h.Environment {
		if value, set := env.Variable(name); set {
			out = append(out, name+"="+value)
		}
	}
	return out
}

// values gives what later stages may read.
func (h *ShopHelper) values(said map[string]value) (map[string]cty.Value, error) {
	types := h.ValueTypes()
	fields := map[string]cty.Value{}
	for name, v := range said {
		i := slices.IndexFunc(h.Settles, func(s Settled) bool { return s.Value == name })
		if i < 0 {
			return nil, h.wrong(v.place, fmt.Sprintf("gives a value that the recipe does not name: add settles %q { type = … }, or leave it out", name))
		}
		if want := types[h.own()].AttributeType(name); !v.is.Type().Equals(want) {
			return nil, h.wrong(v.place, fmt.Sprintf("is not of the type that settles %q says, %s", name, h.Settles[i].Type))
		}
		fields[name] = v.is
	}
	for _, s := range h.Settles {
		if _, ok := fields[s.Value]; !ok {
			return nil, fmt.Errorf("%s: gives no value %s, which the recipe says that it settles\n    print it: {\"contract\": %d, \"values\": {%q: …}}", h.title(), s.Value, pipeline.Contract, s.Value)
		}
	}
	if len(fields) == 0 {
		return nil, nil
	}
	return map[string]cty.Value{h.own(): cty.ObjectVal(fields)}, nil
}

// settings gives the setting blocks as JSON.
func (h *ShopHelper) settings() map[string]json.RawMessage {
	out := map[string]json.RawMessage{}
	for _, s := range h.Settings {
		out[s.Name] = json.RawMessage(s.Value.JSON)
	}
	return out
}
