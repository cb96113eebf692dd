package cli

import (
	"fmt"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"time"

	"github.com/spf13/cobra"
	"github.com/spf13/pflag"

	"panelwright/pipeline"
	"panelwright/pipeline/format/roff"
	"panelwright/pipeline/run"
)

func (a *app) manCommand() *cobra.Command {
	out := ""
	c := &cobra.Command{
		Use:   "man [-o DIR]",
		Short: "manual pages: of every command, and of recipes with all stages and rules",
		Long: "Writes a manual page for the program, one for each command, and " + a.Name + "-recipes(5), which tells how recipes\n" +
			"are written and lists every stage with its options, and every rule with its limit. They go to man1 and man5\n" +
			"in DIR, as man looks for them:\n" +
			"    " + a.Name + " man -o ~/.local/share/man\n" +
			"    man " + a.Name + "-build\n\n" +
			"Pages state a date where SOURCE_DATE_EPOCH does.",
		Args: takesNothing,
		RunE: func(c *cobra.Command, _ []string) error { return a.man(c.Root(), out) },
	}
	c.Flags().StringVarP(&out, "out", "o", "man", "the folder `DIR` that the pages go to (man)")
	return c
}

// manPage is a manual page: its file in a folder that man looks into, and what it holds.
type manPage struct {
	name string
	text []byte
}

// man writes the manual's pages.
func (a *app) man(root *cobra.Command, dir string) error {
	pages, err := a.manual(root)
	if err != nil {
		return err
	}
	var written []string
	for _, p := range pages {
		at := filepath.Join(dir, filepath.FromSlash(p.name))
		err := os.MkdirAll(filepath.Dir(at), 0o777)
		if err == nil {
			err = os.WriteFile(at, p.text, 0o666)
		}
		if err != nil {
			return &run.MachineError{Err: fmt.Errorf("the manual cannot be written: %w", err)}
		}
		written = append(written, filepath.ToSlash(at))
	}
	if a.asJSON {
		return a.printJSON(map[string]any{"schema": 1, "pages": written})
	}
	for _, at := range written {
		fmt.Fprintln(a.out, at)
	}
	return nil
}

// manual gives all pages.
func (a *app) manual(root *cobra.Command) ([]manPage, error) {
	epoch, err := run.EpochFromEnvironment()
	if err != nil {
		return nil, err
	}
	date := ""
	if epoch != nil {
		date = time.Unix(*epoch, 0).UTC().Format(time.DateOnly)
	}
	page := func(name string, section int) *roff.Page {
		return roff.New(name, section, date, a.Name+" "+a.Version, "Manual of "+a.Name)
	}
	var pages []manPage
	add := func(name string, section int, fill func(*roff.Page) error) error {
		p := page(name, section)
		if err := fill(p); err != nil {
			return err
		}
		pages = append(pages, manPage{fmt.Sprintf("man%d/%s.%[1]d", section, name), p.Bytes()})
		return nil
	}
	var commands []*cobra.Command
	for _, c := range root.Commands() {
		if !c.Hidden {
			commands = append(commands, c)
		}
	}
	err = add(a.Name, 1, func(p *roff.Page) error { a.programPage(p, root, commands); return nil })
	for _, c := range commands {
		if err == nil {
			err = add(a.Name+"-"+c.Name(), 1, func(p *roff.Page) error { a.commandPage(p, c); return nil })
		}
	}
	if err == nil {
		err = add(a.Name+"-recipes", 5, a.recipesPage)
	}
	return pages, err
}

const exitTexts = "0\tgood\n1\tfindings that close the release gate\n2\tthe recipe, an input or the command line is wrong\n" +
	"3\tthe machine failed (disk, permission), or the program\n130\tinterrupted"

func (a *app) programPage(p *roff.Page, root *cobra.Command, commands []*cobra.Command) {
	p.Name(a.Name, "panels of boards by recipe: laid out, judged, written and proved")
	p.Section("Synopsis").ItemTaking(a.Name, "COMMAND [OPTION]... [ARGUMENT]...", "")
	p.Section("Description").Text(a.Name + " lays finished boards out on an assembly panel by a recipe that is kept as a text, judges the panel by the " +
		"rules of the shop and of its suppliers, and writes the files that fabricator and assembler need: the same bytes for the same recipe and " +
		"inputs, every time. How recipes are written is told in " + a.Name + "-recipes(5).")
	p.Section("Commands")
	for _, c := range commands {
		p.Item(c.Name(), c.Short)
	}
	p.Section("Options")
	options(p, root)
	p.Section("Exit status")
	for line := range strings.Lines(exitTexts) {
		code, what, _ := strings.Cut(strings.TrimSpace(line), "\t")
		p.Item(code, what)
	}
	p.Text("Some commands give them a meaning of their own, which their pages tell.")
	p.Section("Environment").Item("SOURCE_DATE_EPOCH", "when what is written counts as made, in seconds since 1970: there is no clock. Without it nothing states a date.")
	var names []string
	for _, c := range commands {
		names = append(names, a.Name+"-"+c.Name()+"(1)")
	}
	p.Section("See also").Text(strings.Join(append(names, a.Name+"-recipes(5)"), ", "))
}

func (a *app) commandPage(p *roff.Page, c *cobra.Command) {
	p.Name(a.Name+"-"+c.Name(), c.Short)
	p.Section("Synopsis").ItemTaking(a.Name+" "+c.Name(), strings.TrimPrefix(c.Use, c.Name()+" "), "")
	p.Section("Description").Text(c.Long)
	p.Section("Options")
	options(p, c)
	p.Section("See also").Text(a.Name + "(1), " + a.Name + "-recipes(5)")
}

// options lists a command's options.
func options(p *roff.Page, c *cobra.Command) {
	add := func(f *pflag.Flag) {
		name := "--" + f.Name
		if f.Shorthand != "" {
			name = "-" + f.Shorthand + ", " + name
		}
		takes, help := pflag.UnquoteUsage(f)
		if f.Value.Type() == "bool" {
			takes = ""
		}
		p.ItemTaking(name, takes, help)
	}
	c.LocalFlags().VisitAll(add)
	c.InheritedFlags().VisitAll(add)
}

const recipeText = `A recipe is a file NAME.panel.hcl, in HCL's own syntax, or NAME.panel.json, in its JSON syntax. It names a panel and
the stages that make it, in the order in which they run: those that read boards, those that shape the panel, those that judge it,
and those that write. Where stages write, stage rules must stand before them.

    panel "gauge-12up" {
      revision = "C"
      built_to = ["standards/hand-break.standard.hcl"]
    }
    stage "board" {
      name  = "gauge"
      files = "boards/gauge"
    }
    stage "array" {
      board   = "gauge"
      columns = given.columns
      rows    = 3
      gap     = "2 mm"
    }

Paths are relative to the file that says them, and never absolute.`

// topBlocks tells of what stands in recipes besides stages.
var topBlocks = [][2]string{
	{`panel "NAME" { revision, built_to }`, "names the panel: lower-case letters, digits and hyphens. revision is the panel's own; built_to lists the standards that hold."},
	{`given "NAME" { value, help }`, "a value from outside: --given NAME=VALUE. value is what it is unless another is given. Expressions read it as given.NAME."},
	{`let { NAME = VALUE ... }`, "values by names, which expressions read as let.NAME."},
	{`supplier "NAME" { built_to }`, "a supplier that the panel is built for, into a folder of its own: --supplier NAME. What its standards say counts before the panel's."},
	{`stage "NAME" { ... }`, "one step; the stages are told of below."},
}

const valueText = `A length is a number of millimetres, or a text with its unit: "2 mm", "70 mil", "0.25 in", "35 um". An angle is a number of
degrees, or a text: "45 deg". A list of one may be written without brackets. Expressions know + - * / and comparisons,
conditions (A ? B : C), lists, the functions mm(), mil() and inch(), which make lengths, and what earlier stages settled, such
as boards.gauge.width.

A standard is a file NAME.standard.hcl or NAME.standard.json. It holds blocks standard "STAGE" { ... } with values of that stage's
options, let blocks, and built_to, which names standards that it is built to itself. What a recipe says counts before what
standards say, and a nearer standard before one further away. Two standards side by side that disagree are a mistake until the recipe
decides.`

// recipesPage tells of recipes, of every stage and of every rule.
func (a *app) recipesPage(p *roff.Page) error {
	p.Name(a.Name+"-recipes", "recipes and standards of "+a.Name+", their stages and rules")
	p.Section("Description").Text(recipeText)
	p.Section("Blocks")
	for _, b := range topBlocks {
		p.Item(b[0], b[1])
	}
	p.Section("Values and standards").Text(valueText)
	p.Section("Stages")
	for _, role := range []pipeline.Role{pipeline.Source, pipeline.Shape, pipeline.Judge, pipeline.Write} {
		for _, k := range a.Stages {
			if k.Role != role {
				continue
			}
			list, err := pipeline.OptionsOf(k.New())
			if err != nil {
				return &run.FaultError{Where: "stage " + k.Name, What: err.Error()}
			}
			p.Part(fmt.Sprintf("stage \"%s\" (%s)", k.Name, role)).Text(k.Summary)
			stageOptions(p, list)
		}
	}
	p.Section("Rules").Text("Recipes set limits in stage rules, and standards in standard \"rules\". In full each is told of by " + a.Name + " rule NAME.")
	var infos []ruleInfo
	for _, r := range a.Rules {
		infos = append(infos, ruleInfoOf(r))
	}
	slices.SortStableFunc(infos, func(a, b ruleInfo) int { return compareFamilies(a.Family, b.Family) })
	for i, r := range infos {
		if i == 0 || r.Family != infos[i-1].Family {
			p.Part(familyName(r.Family))
		}
		p.ItemTaking(r.Name, ruleLimit(r)+", "+string(r.Severity), r.Summary)
	}
	p.Section("See also").Text(a.Name + "(1), " + a.Name + "-options(1), " + a.Name + "-rule(1), " + a.Name + "-values(1)")
	return nil
}

func stageOptions(p *roff.Page, list []pipeline.Option) {
	for _, o := range list {
		name, takes := o.Name, o.Takes()
		switch {
		case o.Block:
			for _, l := range o.Labels {
				name += fmt.Sprintf(" %q", strings.ToUpper(l))
			}
			name += " { }"
		case o.Required:
			takes += "; required"
		case o.Default != "":
			takes += "; " + o.Default
		}
		p.ItemTaking(name, "("+takes+")", o.Help)
		if o.Block {
			p.In()
			stageOptions(p, o.Options)
			p.Out()
		}
	}
}
