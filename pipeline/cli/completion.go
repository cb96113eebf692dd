package cli

import (
	"os"
	"path/filepath"
	"slices"
	"strings"

	"github.com/spf13/cobra"

	"panelwright/pipeline"
	"panelwright/pipeline/recipe"
)

// shells are those that there are scripts for, in the order in which help names them.
var shells = []string{"bash", "zsh", "fish", "powershell"}

func (a *app) completionCommand() *cobra.Command {
	return &cobra.Command{
		Use:   "completion SHELL",
		Short: "a script that completes commands, recipes and names in a shell",
		Long: "Writes the script that has SHELL complete the program's commands and their options, recipes, build\n" +
			"folders, suppliers, and the names of stages and rules. SHELL is " + shells[0] + ", " + strings.Join(shells[1:3], ", ") + " or " + shells[3] + ".\n\n" +
			"For bash, with its package bash-completion, in ~/.bashrc:\n" +
			"    source <(" + a.Name + " completion bash)\n" +
			"For zsh, into a folder of its fpath:\n" +
			"    " + a.Name + " completion zsh > \"${fpath[1]}/_" + a.Name + "\"\n" +
			"For fish:\n" +
			"    " + a.Name + " completion fish > ~/.config/fish/completions/" + a.Name + ".fish\n" +
			"For PowerShell, in its profile:\n" +
			"    " + a.Name + " completion powershell | Out-String | Invoke-Expression",
		Args: takes(1, 1, "the name of one shell: "+strings.Join(shells, ", ")),
		RunE: func(c *cobra.Command, args []string) error {
			root := c.Root()
			switch args[0] {
			case "bash":
				return root.GenBashCompletionV2(a.out, true)
			case "zsh":
				return root.GenZshCompletion(a.out)
			case "fish":
				return root.GenFishCompletion(a.out, true)
			case "powershell":
				return root.GenPowerShellCompletionWithDesc(a.out)
			}
			return misuse("%s knows no shell %q%s\n    it knows %s", c.CommandPath(), args[0], nearest(args[0], shells), strings.Join(shells, ", "))
		},
	}
}

// completer gives what a word may become: the words, each with what it means behind a tab.
type completer func(c *cobra.Command, args []string, word string) []string

// completions tells every command how its arguments and options are completed. Those that are not named here take files.
func (a *app) completions(root *cobra.Command) {
	arguments := map[string]completer{
		"build": recipes, "check": recipes, "values": first(recipes), "tidy": tidyFiles,
		"readback": buildFolders, "compare": buildFolders,
		"options": a.stageNames, "rule": first(a.ruleNames),
		"completion": first(func(*cobra.Command, []string, string) []string { return shells }),
		"version":    nothing, "man": nothing,
	}
	options := map[string]completer{
		"supplier": suppliersOf, "given": givensOf,
		"reject": func(*cobra.Command, []string, string) []string {
			return []string{string(pipeline.Error), string(pipeline.Warning)}
		},
	}
	for _, c := range root.Commands() {
		if f := arguments[c.Name()]; f != nil {
			c.ValidArgsFunction = f.cobra
		}
		for name, f := range options {
			if c.Flags().Lookup(name) != nil {
				// The library refuses a name that there is not and one that was told of before; neither can be.
				_ = c.RegisterFlagCompletionFunc(name, f.cobra)
			}
		}
	}
}

// cobra gives a completer the form that the library wants.
func (f completer) cobra(c *cobra.Command, args []string, word string) ([]string, cobra.ShellCompDirective) {
	var out []string
	for _, x := range f(c, args, word) {
		if strings.HasPrefix(x, word) {
			out = append(out, x)
		}
	}
	directive := cobra.ShellCompDirectiveNoFileComp | cobra.ShellCompDirectiveKeepOrder
	if len(out) == 1 && (strings.HasSuffix(out[0], "/") || strings.HasSuffix(out[0], "=")) {
		directive |= cobra.ShellCompDirectiveNoSpace // it goes on
	}
	return out, directive
}

// first completes the first argument alone.
func first(f completer) completer {
	return func(c *cobra.Command, args []string, word string) []string {
		if len(args) > 0 {
			return nil
		}
		return f(c, args, word)
	}
}

func nothing(*cobra.Command, []string, string) []string { return nil }

// recipes gives recipes and folders.
func recipes(_ *cobra.Command, _ []string, word string) []string {
	return paths(word, func(path string, folder bool) (string, bool) {
		if folder {
			return path + "/", true
		}
		return path, isRecipe(path)
	})
}

// tidyFiles gives recipes, standards and folders.
func tidyFiles(_ *cobra.Command, _ []string, word string) []string {
	return paths(word, func(path string, folder bool) (string, bool) {
		if folder {
			return path + "/", true
		}
		return path, isRecipe(path) || strings.HasSuffix(path, ".standard.hcl") || strings.HasSuffix(path, ".standard.json")
	})
}

func isRecipe(path string) bool {
	return slices.ContainsFunc(recipeEnds, func(end string) bool { return strings.HasSuffix(path, end) })
}

// buildFolders gives build folders, and folders that may hold some.
func buildFolders(_ *cobra.Command, _ []string, word string) []string {
	return paths(word, func(path string, folder bool) (string, bool) {
		if !folder {
			return "", false
		}
		if _, err := os.Stat(filepath.Join(path, "manifest.json")); err == nil {
			return path, true
		}
		return path + "/", true
	})
}

// paths lists what the word may become as a path: take says how it is written, and whether it is wanted. What begins with a
// dot is given to those who ask for it.
func paths(word string, take func(path string, folder bool) (string, bool)) []string {
	dir, begin := "", word
	if i := strings.LastIndex(filepath.ToSlash(word), "/"); i >= 0 {
		dir, begin = word[:i+1], word[i+1:]
	}
	where := dir
	if where == "" {
		where = "."
	}
	entries, err := os.ReadDir(where)
	if err != nil {
		return nil
	}
	var out []string
	for _, e := range entries {
		name := e.Name()
		if !strings.HasPrefix(name, begin) || strings.HasPrefix(name, ".") && !strings.HasPrefix(begin, ".") {
			continue
		}
		info, err := os.Stat(filepath.Join(where, name)) // a link is what it leads to
		if err != nil {
			continue
		}
		if text, ok := take(dir+name, info.IsDir()); ok {
			out = append(out, text)
		}
	}
	return out
}

// stageNames gives the stages; for a schema, standards, and the words of the stage's own JSON.
func (a *app) stageNames(c *cobra.Command, args []string, _ string) []string {
	asSchema, _ := c.Flags().GetBool("schema")
	var out []string
	for _, k := range a.Stages {
		switch {
		case len(args) == 0:
			out = append(out, k.Name+"\t"+k.Summary)
		case len(args) == 1 && asSchema && k.Name == args[0]:
			out = append(out, formsOf(k.New())...)
		}
	}
	if asSchema && len(args) == 0 {
		out = append(out, "standard\tthe schema of standards")
	}
	return out
}

func (a *app) ruleNames(*cobra.Command, []string, string) []string {
	var out []string
	for _, r := range a.Rules {
		out = append(out, r.Name+"\t"+r.Summary)
	}
	return out
}

// suppliersOf gives the suppliers of the recipes that stand on the line already.
func suppliersOf(_ *cobra.Command, args []string, _ string) []string {
	out := []string{recipe.AllSuppliers + "\tevery one of them"}
	for _, g := range glances(args) {
		out = append(out, g.Suppliers...)
	}
	return distinct(out)
}

// givensOf gives what may be given to the recipes that stand on the line already.
func givensOf(_ *cobra.Command, args []string, _ string) []string {
	var out []string
	for _, g := range glances(args) {
		for _, name := range g.Givens {
			out = append(out, name+"=")
		}
	}
	return distinct(out)
}

// mostGlances bounds how many recipes are looked into while somebody waits for a word.
const mostGlances = 50

func glances(args []string) []recipe.Glance {
	found, _ := findRecipes(args)
	var out []recipe.Glance
	for _, path := range found[:min(len(found), mostGlances)] {
		out = append(out, recipe.GlanceAt(path))
	}
	return out
}

// distinct keeps the first of equal words.
func distinct(words []string) []string {
	var out []string
	for _, w := range words {
		if !slices.Contains(out, w) {
			out = append(out, w)
		}
	}
	return out
}
