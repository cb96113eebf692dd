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
	return &cobra.Command{
		Use:   "options [STAGE]",
		Short: "the stages that recipes can name, and the options of one",
		Long: "Lists the stages that recipes can name, in the order of their roles. With STAGE it lists that\n" +
			"stage's options: what they take, what they are when a recipe does not say, and what they mean.",
		Args: takes(0, 1, "the name of one stage"),
		RunE: func(_ *cobra.Command, args []string) error { return a.options(args) },
	}
}

// stageInfo is one stage, for --json.
type stageInfo struct {
	Name    string            `json:"name"`
	Summary string            `json:"summary"`
	Role    string            `json:"role"`
	Needs   []string          `json:"needs,omitempty"` // with options at their defaults
	Gives   []string          `json:"gives,omitempty"`
	Options []pipeline.Option `json:"options"`
}

func (a *app) options(args []string) error {
	kinds := a.Stages
	if len(args) > 0 {
		kinds = nil
		var known []string
		for _, k := range a.Stages {
			known = append(known, k.Name)
			if k.Name == args[0] {
				kinds = []pipeline.Kind{k}
			}
		}
		if kinds == nil {
			return misuse("%s has no stage %q%s\n    see %s options", a.Name, args[0], nearest(args[0], known), a.Name)
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
		fmt.Fprint(a.out, stageText(infos[0]))
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
			rows = append(rows, []string{name + " { }", blockTakes(o), "", o.Help})
			rows = append(rows, optionRows(o.Options, indent+"  ")...)
			continue
		}
		preset := o.Default
		if o.Required {
			preset = "required"
		}
		rows = append(rows, []string{name, optionTakes(o), preset, o.Help})
	}
	return rows
}

func blockTakes(o pipeline.Option) string {
	if o.Required {
		return "blocks, one at least"
	}
	return "blocks, any number"
}

// optionTakes says what an option takes: its type, unit, number of members, range or choices.
func optionTakes(o pipeline.Option) string {
	s := o.Type
	if o.Count > 0 {
		s = strings.Replace(s, "list of", fmt.Sprintf("list of %d", o.Count), 1)
	}
	if o.Range != "" {
		low, high, _ := strings.Cut(o.Range, "..")
		switch {
		case high == "":
			s += ", from " + low
		case low == "":
			s += ", up to " + high
		default:
			s += ", " + low + " to " + high
		}
		if o.Unit != "" {
			s += " " + o.Unit
		}
	} else if o.Unit != "" {
		s += ", " + o.Unit
	}
	if len(o.Choices) > 0 {
		s += ": " + strings.Join(o.Choices, ", ")
	}
	return s
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
