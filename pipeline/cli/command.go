package cli

import (
	"context"
	"errors"
	"fmt"
	"slices"
	"strings"

	"github.com/spf13/cobra"
	"github.com/spf13/pflag"

	"panelwright/pipeline"
)

// usage is a mistake on the command line.
type usage struct{ text string }

func (u *usage) Error() string { return u.text }

func misuse(format string, a ...any) error { return &usage{fmt.Sprintf(format, a...)} }

// execute finds and runs the command.
func (a *app) execute(ctx context.Context, args []string) int {
	cobra.MousetrapHelpText = "" // a program started by a double click behaves as any other
	if err := a.fitting(); err != nil {
		if slices.Contains(args, "--json") {
			a.printJSON(map[string]any{"schema": 1, "error": err.Error(), "exit": exitCode(err)})
		}
		return a.fail(err)
	}
	root := a.root()
	// The library's own commands are not ours, but for the one that its scripts for shells ask.
	if len(args) > 0 && strings.HasPrefix(args[0], "__") && args[0] != cobra.ShellCompRequestCmd {
		return a.fail(a.unknownCommand(root, args[0]))
	}
	root.SetArgs(args)
	root.SetOut(a.out)
	root.SetErr(a.err)
	if err := root.ExecuteContext(ctx); err != nil {
		if a.out.err != nil && errors.Is(err, a.out.err) {
			return a.code // Main tells
		}
		if a.asJSON && !a.out.used {
			a.printJSON(map[string]any{"schema": 1, "error": a.wording(err), "exit": exitCode(err)})
		}
		return a.fail(err)
	}
	return a.code
}

func (a *app) root() *cobra.Command {
	root := &cobra.Command{
		Use:               a.Name,
		SilenceErrors:     true,
		SilenceUsage:      true,
		CompletionOptions: cobra.CompletionOptions{DisableDefaultCmd: true, HiddenDefaultCmd: true},
		Args:              cobra.ArbitraryArgs,
		RunE: func(c *cobra.Command, args []string) error {
			if len(args) > 0 {
				return a.unknownCommand(c, args[0])
			}
			fmt.Fprint(a.err, a.overview(c))
			a.count(exitInput)
			return nil
		},
	}
	root.DisableSuggestions = true
	root.PersistentFlags().BoolVar(&a.asJSON, "json", false, "results as JSON, for machines")
	commands := []*cobra.Command{a.buildCommand(), a.checkCommand()}
	if a.Prove != nil && a.ReadPanelData != nil {
		commands = append(commands, a.readbackCommand())
	}
	if a.Survey != nil {
		commands = append(commands, a.surveyCommand())
	}
	if a.Start != nil {
		commands = append(commands, a.startCommand())
	}
	commands = append(commands, a.compareCommand(), a.mergeSummaryCommand())
	commands = append(commands, a.optionsCommand(), a.ruleCommand(), a.valuesCommand(), a.tidyCommand(), a.completionCommand(), a.manCommand(), a.versionCommand())
	cobra.EnableCommandSorting = false
	root.AddCommand(commands...)
	root.SetHelpCommand(a.helpCommand())
	root.SetHelpFunc(func(c *cobra.Command, _ []string) { fmt.Fprint(a.out, a.helpFor(c)) })
	root.SetFlagErrorFunc(flagError)
	for _, c := range append(commands, root) {
		c.Flags().BoolP("help", "h", false, "what this command does")
		c.Flags().SortFlags = false
		c.DisableFlagsInUseLine = true
	}
	a.completions(root)
	return root
}

func names(root *cobra.Command) []string {
	var n []string
	for _, c := range root.Commands() {
		if !c.Hidden {
			n = append(n, c.Name())
		}
	}
	return n
}

func (a *app) unknownCommand(root *cobra.Command, word string) error {
	known := names(root)
	text := fmt.Sprintf("%s has no command %q", a.Name, word)
	if n := pipeline.Nearest(word, known); n != "" {
		text += "; nearest: " + n
	}
	return misuse("%s\n    its commands are %s", text, strings.Join(known, ", "))
}

// flagError says in our own words what is wrong with an option of a command.
func flagError(c *cobra.Command, err error) error {
	var none *pflag.NotExistError
	var bare *pflag.ValueRequiredError
	var invalid *pflag.InvalidValueError
	var syntax *pflag.InvalidSyntaxError
	var known []string
	c.Flags().VisitAll(func(f *pflag.Flag) { known = append(known, f.Name) })
	slices.Sort(known)
	see := fmt.Sprintf("\n    see %s --help", c.CommandPath())
	switch {
	case errors.As(err, &none):
		word := none.GetSpecifiedName()
		text := fmt.Sprintf("%s has no option %s", c.CommandPath(), dashed(word))
		if n := pipeline.Nearest(word, known); n != "" {
			text += "; nearest: --" + n
		}
		return misuse("%s%s", text, see)
	case errors.As(err, &bare):
		return misuse("%s: option %s needs a value%s", c.CommandPath(), dashed(bare.GetSpecifiedName()), see)
	case errors.As(err, &invalid):
		return misuse("%s: option --%s does not take %q: %s is wanted%s", c.CommandPath(), invalid.GetFlag().Name,
			invalid.GetValue(), wanted(invalid.GetFlag().Value.Type()), see)
	case errors.As(err, &syntax):
		return misuse("%s: %q is no option%s", c.CommandPath(), syntax.GetSpecifiedFlag(), see)
	}
	return misuse("%s: an option is wrong%s", c.CommandPath(), see)
}

func dashed(name string) string {
	if len(name) == 1 {
		return "-" + name
	}
	return "--" + name
}

func wanted(kind string) string {
	switch kind {
	case "int":
		return "a whole number"
	case "bool":
		return "true or false"
	case "duration":
		return "a time, such as 2s or 500ms,"
	}
	return "another value"
}

// takes refuses a wrong number of arguments. most 0 means any.
func takes(least, most int, what string) cobra.PositionalArgs {
	return func(c *cobra.Command, args []string) error {
		see := fmt.Sprintf("\n    see %s --help", c.CommandPath())
		switch {
		case len(args) < least:
			return misuse("%s needs %s%s", c.CommandPath(), what, see)
		case most > 0 && len(args) > most:
			return misuse("%s takes %s and nothing more: %q is too much%s", c.CommandPath(), what, args[most], see)
		}
		return nil
	}
}

func takesNothing(c *cobra.Command, args []string) error {
	if len(args) > 0 {
		return misuse("%s takes no arguments: %q is too much", c.CommandPath(), args[0])
	}
	return nil
}
