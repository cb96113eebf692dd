package cli

import (
	"fmt"
	"strings"

	"github.com/spf13/cobra"
	"github.com/spf13/pflag"
)

// overview says what the program does and which commands it has.
func (a *app) overview(root *cobra.Command) string {
	var b strings.Builder
	fmt.Fprintf(&b, "%s lays boards out on an assembly panel by a recipe, judges the panel,\n"+
		"and writes the files that fabricator and assembler need.\n\n", a.Name)
	var rows [][]string
	for _, c := range root.Commands() {
		if !c.Hidden {
			rows = append(rows, []string{c.Name(), c.Short})
		}
	}
	b.WriteString(table(rows, "  "))
	fmt.Fprintf(&b, "\nEach takes --json. More on one of them: %s help COMMAND\n\n", a.Name)
	b.WriteString("Exit codes: 0 good, 1 findings that close the release gate, 2 the recipe or an input is\n" +
		"wrong, 3 the machine failed, 130 interrupted.\n")
	return b.String()
}

func (a *app) helpFor(c *cobra.Command) string {
	if !c.HasParent() {
		return a.overview(c)
	}
	var b strings.Builder
	fmt.Fprintf(&b, "%s\n\n%s\n\n", c.UseLine(), c.Long)
	var rows [][]string
	add := func(f *pflag.Flag) {
		name := "--" + f.Name
		if f.Shorthand != "" {
			name = "-" + f.Shorthand + ", " + name
		}
		value, help := pflag.UnquoteUsage(f)
		if f.Value.Type() != "bool" {
			name += " " + value
		}
		rows = append(rows, []string{name, help})
	}
	c.LocalNonPersistentFlags().VisitAll(add)
	c.InheritedFlags().VisitAll(add)
	b.WriteString("options\n")
	b.WriteString(table(rows, "  "))
	return b.String()
}

func (a *app) helpCommand() *cobra.Command {
	return &cobra.Command{
		Use:    "help [COMMAND]",
		Hidden: true,
		Args:   takes(0, 1, "the name of a command"),
		RunE: func(c *cobra.Command, args []string) error {
			root := c.Root()
			if len(args) == 0 {
				fmt.Fprint(a.out, a.overview(root))
				return nil
			}
			for _, x := range root.Commands() {
				if x.Name() == args[0] && !x.Hidden {
					fmt.Fprint(a.out, a.helpFor(x))
					return nil
				}
			}
			return a.unknownCommand(root, args[0])
		},
	}
}
