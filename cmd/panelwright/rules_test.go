package main

import (
	"go/ast"
	"go/parser"
	"go/token"
	"io/fs"
	"path/filepath"
	"strconv"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"panelwright/pipeline/rule"
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
