package intake

import (
	"fmt"
	"path"
	"strings"

	"panelwright/pipeline"
	"panelwright/pipeline/geom"
)

// job is what a job file says of the board; zero where it is silent.
type job struct {
	width, height geom.Length
	copper        int
	thickness     geom.Length
	finish        string
	mask          string
	foils         []geom.Length       // of the copper layers from the top; nil unless it says all of them
	paths         []string            // in its order
	functions     map[string][]string // by path
}

// function gives the fields of .FileFunction that the job file gives to a file, nil for none.
func (j *job) function(name string) []string {
	if v := j.functions[name]; v != nil {
		return v
	}
	return j.functions[path.Base(name)]
}

// jobFile gives the one job file; two that differ are a problem.
func (r *Result) jobFile() *File {
	var first *File
	for _, f := range r.of(JobFile) {
		switch {
		case first == nil:
			first = f
			f.Use = "job file"
		case first.SHA256 == f.SHA256:
			f.Ignored = "the same bytes as " + first.Name
		default:
			r.problem(fmt.Sprintf("two job files: %s and %s", first.Name, f.Name), "leave the one in place that belongs to the board")
		}
	}
	return first
}

// checkJob holds the job file against what was read.
func (r *Result) checkJob(f *File, copper int) {
	if f == nil || f.job == nil {
		return
	}
	j := f.job
	differs := func(what string) { r.find("job-file-differs", pipeline.Warning, f.Name+": "+what) }
	if j.copper > 0 && j.copper != copper {
		differs(fmt.Sprintf("it says %s, the files make %d", counted(j.copper, "copper layer"), copper))
	}
	if r.Outline.Found && j.width > 0 && j.height > 0 {
		// Some systems count half the outline's stroke on each side.
		const near = 300 * geom.UM
		b := r.Outline.Outline.Box()
		if (j.width-b.Width()).Abs() > near || (j.height-b.Height()).Abs() > near {
			differs(fmt.Sprintf("it says that the board is %s × %s, the outline is %s × %s", j.width.Decimal(), j.height, b.Width().Decimal(), b.Height()))
		}
	}
	if t := r.req.Thickness; t > 0 && j.thickness > 0 && t != j.thickness {
		differs(fmt.Sprintf("it says that the board is %s thick, the recipe says %s", j.thickness, t))
	}
	for _, l := range r.layers {
		if c, ok := attributeClaim(j.function(l.file.Name), "the job file"); ok && !c.drill && c.ignored == "" && c.refused == "" &&
			(c.kind != l.is.Kind || c.side != l.is.Side || c.number > 0 && c.number != l.is.Index) {
			differs(fmt.Sprintf("it says that %s is %s, and it is taken for %s (%s says so)", l.file.Name, strings.Join(j.function(l.file.Name), ","), l.is.Key(), l.file.By))
		}
	}
	there := map[string]bool{}
	for _, x := range r.Files {
		there[path.Base(x.Name)] = true
	}
	for _, p := range j.paths {
		if !there[path.Base(p)] {
			differs("it lists " + p + ", which is not among the board's files")
		}
	}
}
