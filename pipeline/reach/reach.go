// Package reach tells by names alone what a recipe's path means, be it there or not, and where links lead.
package reach

import (
	"fmt"
	"slices"
	"strings"

	"github.com/bmatcuk/doublestar/v4"

	"panelwright/pipeline"
	"panelwright/pipeline/run"
)

// Reach is what a path means: a file, or what lies in a folder.
type Reach struct {
	Base string // absolute: the file or folder
	// Pattern is the glob that names in the folder fit. Without one it is the file itself, or the folder with all that
	// is not hidden.
	Pattern string
}

// Of gives what the path of a recipe in the absolute folder base may mean: what has just its name, and what it means as a glob.
// Errors are those that a build ends with.
func Of(base string, p pipeline.InPath) ([]Reach, error) {
	abs, err := run.PlaceOf(base, p)
	if err != nil {
		return nil, err
	}
	all := []Reach{{Base: abs}}
	if !run.MayBeGlob(p) {
		return all, nil
	}
	if !doublestar.ValidatePattern(p.Text) {
		return all, fmt.Errorf("%s is not a well-formed glob", p.Text)
	}
	folder, pattern := doublestar.SplitPattern(p.Text)
	if abs, err = run.PlaceOf(base, pipeline.InPath{Text: folder, Dir: p.Dir}); err != nil {
		return all, err
	}
	return append(all, Reach{abs, pattern}), nil
}

// hidden tells whether hidden names are meant as well.
func (r Reach) hidden() bool { return strings.Contains("/"+r.Pattern, "/.") }

// Wants tells whether the file of this name in the folder is meant; with slashes.
func (r Reach) Wants(name string) bool {
	if !r.hidden() && isHidden(name) {
		return false
	}
	if r.Pattern == "" {
		return true
	}
	fits, _ := doublestar.Match(r.Pattern, name)
	return fits
}

// Enters tells whether something below the folder's folder of this name may be meant.
func (r Reach) Enters(name string) bool {
	switch {
	case !r.hidden() && isHidden(name):
		return false
	case r.Pattern == "", strings.Contains(r.Pattern, "{"): // alternatives may hold slashes
		return true
	}
	want := strings.Split(r.Pattern, "/")
	for i, part := range strings.Split(name, "/") {
		if i < len(want) && want[i] == "**" {
			return true
		}
		if i+1 >= len(want) { // below the folder is one part more at least
			return false
		}
		if ok, err := doublestar.Match(want[i], part); err == nil && !ok {
			return false
		}
	}
	return true
}

func isHidden(name string) bool { return slices.ContainsFunc(strings.Split(name, "/"), run.Hidden) }
