package main

import (
	"context"
	"fmt"
	"go/ast"
	"go/parser"
	"go/token"
	"io/fs"
	"os"
	"path/filepath"
	"strconv"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"panelwright/pipeline"
	"panelwright/pipeline/cli"
	"panelwright/pipeline/panel"
	"panelwright/pipeline/recipe"
	"panelwright/pipeline/rule"
	"panelwright/stages/rules"
)

// Every rule that a stage or the proof reports under stands in the list of rules: so it can be looked up, waived,
// and told of to machines. The names are found in the source, where findings are made.
func TestEveryReportedRuleIsListed(t *testing.T) {
	known := map[string]bool{}
	for _, r := range rule.All() {
		known[r.Name] = true
	}
	found := 0
	for _, dir := range []string{"stages", "pipeline/proof", "pipeline/run"} {
		require.NoError(t, filepath.WalkDir(filepath.Join(root(t), dir), func(path string, d fs.DirEntry, err error) error {
			if err != nil || d.IsDir() || !strings.HasSuffix(path, ".go") || strings.HasSuffix(path, "_test.go") {
				return err
			}
			fset := token.NewFileSet()
			file, err := parser.ParseFile(fset, path, nil, 0)
			if err != nil {
				return err
			}
			names := map[string]string{} // constants of the file
			take := func(e ast.Expr) {
				name := ""
				switch x := e.(type) {
				case *ast.BasicLit:
					name, _ = strconv.Unquote(x.Value)
				case *ast.Ident:
					name = names[x.Name]
				}
				if name == "" {
					return // a rule's own name, handed on
				}
				found++
				assert.True(t, known[name], "%s reports under %q, which is no rule", fset.Position(e.Pos()), name)
			}
			ast.Inspect(file, func(n ast.Node) bool {
				if x, ok := n.(*ast.ValueSpec); ok {
					for i, v := range x.Values {
						if l, ok := v.(*ast.BasicLit); ok && l.Kind == token.STRING && i < len(x.Names) {
							names[x.Names[i].Name], _ = strconv.Unquote(l.Value)
						}
					}
				}
				return true
			})
			ast.Inspect(file, func(n ast.Node) bool {
				switch x := n.(type) {
				case *ast.KeyValueExpr:
					if k, ok := x.Key.(*ast.Ident); ok && k.Name == "Rule" {
						take(x.Value)
					}
				case *ast.CallExpr:
					s, ok := x.Fun.(*ast.SelectorExpr)
					if ok && len(x.Args) > 2 && (s.Sel.Name == "find" || s.Sel.Name == "report") {
						take(x.Args[0])
					}
				}
				return true
			})
			return nil
		}))
	}
	assert.Greater(t, found, 50, "names of rules in the source")
}

// copies gives what stage rules needs.
type copies struct{}

func (copies) Parts() pipeline.Parts { return pipeline.Parts{Gives: []string{"copies"}} }

func (copies) Run(context.Context, *pipeline.Env, panel.Panel) (pipeline.Result, error) {
	return pipeline.Result{}, nil
}

// What the command rule shows of a rule in a recipe can be written in a recipe. A rule without such an example
// cannot be waived, and nothing else of it can be set.
func TestExamplesOfRulesAreGoodRecipes(t *testing.T) {
	settings := recipe.Settings{Rules: rule.All(), Kinds: []pipeline.Kind{rules.Kind(), {Name: "copies", Role: pipeline.Source, New: func() pipeline.Stage { return &copies{} }}}}
	load := func(text string) error {
		at := filepath.Join(t.TempDir(), "a.panel.hcl")
		require.NoError(t, os.WriteFile(at, []byte("panel \"a\" { revision = \"C\" }\nstage \"copies\" {}\n"+text), 0o644))
		_, err := recipe.Load(at, settings)
		return err
	}
	shown := 0
	for _, r := range rule.All() {
		text := cli.RuleExample(r)
		if text != "" {
			shown++
			assert.NoError(t, load(text), r.Name)
			continue
		}
		for _, block := range []string{"limit %q {\n severity = \"note\" }\n", "unchecked %q {\n reason = \"a\" }\n", "waive %q {\n where = \"A1\"\n reason = \"a\"\n revision = \"C\"\n}\n"} {
			assert.Error(t, load("stage \"rules\" {\n"+fmt.Sprintf(block, r.Name)+"}\n"), r.Name)
		}
	}
	assert.Greater(t, shown, 40)
}
