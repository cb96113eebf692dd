package cli

import (
	"fmt"
	"runtime"
	"strings"

	"github.com/spf13/cobra"

	"panelwright/pipeline"
	"panelwright/pipeline/run"
)

func (a *app) optionsCommand() *cobra.Command {
	var asSchema bool
	c := &cobra.Command{
		Use:   "options [STAGE]",
		Short: "the stages that recipes can name, and the options of one",
		Long: "Lists the stages that recipes can name, in the order of their roles. With STAGE it lists that\n" +
			"stage's options: what they take, what they are when a recipe does not say, and what they mean.\n\n" +
			"With --schema it writes a JSON Schema for editors: of recipes (*.panel.json), of standards\n" +
			"(options --schema standard), of one stage's block (options --schema STAGE), or of JSON that the\n" +
			"stage reads or writes (options --schema STAGE WORD).",
		Args: func(c *cobra.Command, args []string) error {
			if asSchema {
				return takes(0, 2, "at most a stage and one word")(c, args)
			}
			return takes(0, 1, "the name of one stage")(c, args)
		},
		RunE: func(_ *cobra.Command, args []string) error {
			if asSchema {
				return a.schema(args)
			}
			return a.options(args)
		},
	}
	c.Flags().BoolVar(&asSchema, "schema", false, "a JSON Schema of recipes, or of what the arguments name")
	return c
}

// stageInfo is one stage, for --json.
type stageInfo struct {
	Name    string            `json:"name"`
	Summary string            `json:"summary"`
	Role    string            `json:"role"`
	Needs   []string          `json:"needs,omitempty"` // with options at their defaults
	Gives   []string          `json:"gives,omitempty"`
	Options []pipeline.Option `json:"options"`
	JSON    []string          `json:"json,omitempty"` // the words for options --schema STAGE WORD
}

func (a *app) options(args []string) error {
	kinds := a.Stages
	if len(args) > 0 {
		kinds = nil
		for _, k := range a.Stages {
			if k.Name == args[0] {
				kinds = []pipeline.Kind{k}
			}
		}
		if kinds == nil {
			return a.unknownStage(args[0])
		}
	}
	infos := []stageInfo{}
	for _, role := range []pipeline.Role{pipeline.Source, pipeline.Shape, pipeline.Judge, pipeline.Write} {
		for _, k := range kinds {
			if k.Role != role {
				continue
			}
			s := k.New()
			list, err := pipeline.OptionsOf(s)
			if err != nil {
				return &run.FaultError{Where: "stage " + k.Name, What: err.Error()}
			}
			i := stageInfo{Name: k.Name, Summary: k.Summary, Role: role.String(), Options: list}
			if i.Options == nil {
				i.Options = []pipeline.Option{}
			}
			if p, ok := s.(pipeline.Parter); ok {
				i.Needs, i.Gives = p.Parts().Needs, p.Parts().Gives
			}
			i.JSON = formsOf(s)
			infos = append(infos, i)
		}
	}
	if a.asJSON {
		return a.printJSON(struct {
			Schema int         `json:"schema"`
			Stages []stageInfo `json:"stages"`
		}{1, infos})
	}
	if len(args) > 0 {
		fmt.Fprint(a.out, stageText(infos[0])+a.formsText(args[0], infos[0].JSON))
		return nil
	}
	rows := [][]string{{"stage", "role", "options", ""}}
	for _, i := range infos {
		rows = append(rows, []string{i.Name, i.Role, fmt.Sprint(len(i.Options)), i.Summary})
	}
	fmt.Fprint(a.out, table(rows, ""))
	return nil
}

func stageText(i stageInfo) string {
	rows := optionRows(i.Options, "")
	head := fmt.Sprintf("stage %s (%s): %s\n", i.Name, i.Role, i.Summary)
	if len(rows) == 0 {
		return head + "  It has no options.\n"
	}
	return head + table(append([][]string{{"option", "takes", "default", "meaning"}}, rows...), "  ")
}

func optionRows(list []pipeline.Option, indent string) [][]string {
	var rows [][]string
	for _, o := range list {
		name := indent + o.Name
		if o.Block {
			for _, l := range o.Labels {
				name += fmt.Sprintf(" %q", strings.ToUpper(l))
			}
			rows = append(rows, []string{name + " { }", o.Takes(), "", o.Help})
			rows = append(rows, optionRows(o.Options, indent+"  ")...)
			continue
		}
		preset := o.Default
		if o.Required {
			preset = "required"
		}
		rows = append(rows, []string{name, o.Takes(), preset, o.Help})
	}
	return rows
}

func nearest(word string, known []string) string {
	if n := pipeline.Nearest(word, known); n != "" {
		return "; nearest: " + n
	}
	return ""
}

func (a *app) versionCommand() *cobra.Command {
	return &cobra.Command{
		Use:   "version",
		Short: "the program's version",
		Long:  "Prints the version that files state, and what the program was compiled with and for.",
		Args:  takesNothing,
		RunE: func(*cobra.Command, []string) error {
			if a.asJSON {
				return a.printJSON(map[string]any{"schema": 1, "name": a.Name, "version": a.Version,
					"go": runtime.Version(), "system": runtime.GOOS + "/" + runtime.GOARCH})
			}
			fmt.Fprintf(a.out, "%s %s (%s, %s/%s)\n", a.Name, a.Version, runtime.Version(), runtime.GOOS, runtime.GOARCH)
			return nil
		},
	}
}

// number writes a figure with up to four decimals, as people read it.
func number(x float64) string { return pipeline.FigureText(x) }
