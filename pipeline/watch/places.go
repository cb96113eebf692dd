package watch

import (
	"os/exec"
	"path/filepath"

	"panelwright/pipeline"
	"panelwright/pipeline/reach"
	"panelwright/pipeline/run"
)

// PlacesOf gives what has to change before a build comes out otherwise: recipe and standards, and what the build asked of the
// world outside, for a recipe in the absolute folder base.
func PlacesOf(base string, files []run.FileSum, asked []run.Asked) []reach.Reach {
	at := func(name string) string {
		if name = filepath.FromSlash(name); filepath.IsAbs(name) {
			return name
		}
		return filepath.Join(base, name)
	}
	var all []reach.Reach
	for _, f := range files {
		all = append(all, reach.Reach{Base: at(f.Name)})
	}
	for _, q := range asked {
		switch q.What {
		case run.AskedList:
			these, _ := reach.Of(base, pipeline.InPath{Text: q.Name, Dir: at(q.In)}) // what no path may be meant nothing
			all = append(all, these...)
		case run.AskedProgram:
			if path, err := exec.LookPath(q.Name); err == nil {
				if path, err = filepath.Abs(path); err == nil {
					all = append(all, reach.Reach{Base: path})
				}
			}
		}
	}
	listed := index(all)
	for _, q := range asked {
		if path := at(q.Name); q.What == run.AskedFile && !listed.covers(path) {
			all = append(all, reach.Reach{Base: path})
		}
	}
	return all
}
