package recipe

import (
	"reflect"

	"panelwright/pipeline"
)

var pathOf = reflect.TypeFor[pipeline.InPath]()

// Paths gives the paths that the calls' options name, in their order: the inputs as they can be told before anything
// runs. all is false where an option that takes paths hangs on what an earlier stage settles.
func (p *Plan) Paths() (paths []pipeline.InPath, all bool) {
	all = true
	for _, c := range p.Calls {
		c.l.budget = mostSteps
		stage, s := c.decode(c.known(nil), &ledger{}, c.l.plan.Calls, false, false)
		if stage != nil {
			paths = appendPaths(paths, reflect.ValueOf(stage))
		}
		takesPaths := hasPaths(reflect.TypeOf(c.Kind.New()), 0)
		for _, x := range s.cells {
			if !x.known && takesPaths {
				all = false
			}
		}
	}
	return paths, all
}

// appendPaths adds the paths that v holds.
func appendPaths(paths []pipeline.InPath, v reflect.Value) []pipeline.InPath {
	switch v.Kind() {
	case reflect.Pointer:
		if !v.IsNil() {
			return appendPaths(paths, v.Elem())
		}
	case reflect.Slice:
		for i := range v.Len() {
			paths = appendPaths(paths, v.Index(i))
		}
	case reflect.Struct:
		if v.Type() == pathOf {
			if p := v.Interface().(pipeline.InPath); p.Text != "" {
				paths = append(paths, p)
			}
			return paths
		}
		for i := range v.NumField() {
			if v.Type().Field(i).IsExported() || v.Type().Field(i).Anonymous {
				paths = appendPaths(paths, v.Field(i))
			}
		}
	}
	return paths
}

// hasPaths tells whether a type holds paths.
func hasPaths(t reflect.Type, depth int) bool {
	switch {
	case t == pathOf:
		return true
	case depth > 8:
		return false
	}
	switch t.Kind() {
	case reflect.Pointer, reflect.Slice:
		return hasPaths(t.Elem(), depth+1)
	case reflect.Struct:
		for i := range t.NumField() {
			if hasPaths(t.Field(i).Type, depth+1) {
				return true
			}
		}
	}
	return false
}
