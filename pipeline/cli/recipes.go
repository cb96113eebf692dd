package cli

import (
	"errors"
	"fmt"
	"io/fs"
	"os"
	"path/filepath"
	"slices"
	"strings"

	"panelwright/pipeline"
	"panelwright/pipeline/recipe"
	"panelwright/pipeline/run"
)

// recipeEnds are what names of recipes end in.
var recipeEnds = []string{".panel.hcl", ".panel.json"}

// findRecipes gives the recipes that the arguments mean, each once: a file itself, all recipes of a
// folder by name. What is not there comes back as an error in its place.
func findRecipes(args []string) (paths []string, missing map[string]error) {
	seen := map[string]bool{}
	missing = map[string]error{}
	add := func(path string, err error) {
		key, absErr := filepath.Abs(path)
		if absErr != nil {
			key = path
		}
		if !seen[key] {
			seen[key] = true
			paths = append(paths, path)
		}
		if err != nil {
			missing[path] = err
		}
	}
	for _, arg := range args {
		info, err := os.Stat(arg)
		switch {
		case errors.Is(err, fs.ErrNotExist):
			add(arg, notThere(arg))
		case err != nil:
			add(arg, &run.MachineError{Err: fmt.Errorf("%s: cannot be read: %w", arg, errors.Unwrap(err))})
		case !info.IsDir():
			add(arg, nil)
		default:
			found, err := recipesIn(arg)
			if err != nil {
				add(arg, err)
			}
			for _, path := range found {
				add(path, nil)
			}
		}
	}
	return paths, missing
}

// notThere says that a path leads nowhere, and which one it may have meant.
func notThere(path string) error {
	text := path + ": there is no such file or folder"
	if near := pipeline.NearestPath("", filepath.ToSlash(path)); near != "" {
		text += "; nearest: " + filepath.FromSlash(near)
	}
	return errors.New(text)
}

// recipesIn gives the recipes of a folder and the folders in it, by name. Folders that are hidden, and links to folders, are
// passed over.
func recipesIn(dir string) ([]string, error) {
	var found []string
	err := filepath.WalkDir(dir, func(at string, e fs.DirEntry, err error) error {
		name := e.Name()
		switch {
		case err != nil:
			return &run.MachineError{Err: fmt.Errorf("%s: cannot be read: %w", filepath.ToSlash(at), errors.Unwrap(err))}
		case at == dir:
		case strings.HasPrefix(name, "."):
			if e.IsDir() {
				return fs.SkipDir
			}
		case !e.IsDir() && slices.ContainsFunc(recipeEnds, func(end string) bool { return strings.HasSuffix(name, end) }):
			found = append(found, at)
		}
		return nil
	})
	if err != nil {
		return found, err
	}
	if len(found) == 0 {
		return nil, fmt.Errorf("%s: holds no recipes; their names end in %s", dir, strings.Join(recipeEnds, " or "))
	}
	return found, nil
}

// givens reads --given k=v.
func givens(texts []string) (map[string]string, error) {
	m := map[string]string{}
	for _, t := range texts {
		k, v, ok := strings.Cut(t, "=")
		if !ok || k == "" {
			return nil, misuse("option --given does not take %q: write it as name=value", t)
		}
		if _, twice := m[k]; twice {
			return nil, misuse("option --given sets %s twice", k)
		}
		m[k] = v
	}
	return m, nil
}

// load loads a recipe. Mistakes name files from where the program was started.
func (a *app) load(path, supplier string, given map[string]string) (*recipe.Plan, error) {
	plan, err := a.loadPlain(path, supplier, given)
	return plan, placed(err, path)
}

// loadPlain loads a recipe. Mistakes name files from the recipe's folder.
func (a *app) loadPlain(path, supplier string, given map[string]string) (*recipe.Plan, error) {
	return a.loadWith(path, recipe.Settings{Given: given, Supplier: supplier})
}

// loadWith loads a recipe as the settings say, by the program's stages and rules.
func (a *app) loadWith(path string, s recipe.Settings) (*recipe.Plan, error) {
	s.Kinds, s.Rules, s.ProgramVersion = a.Stages, a.Rules, a.Version
	plan, err := recipe.Load(path, s)
	return plan, faultIfOurs(err)
}

const supplierHelp = "build for this `NAME` of the recipe's supplier blocks, or for all of them (all)"
