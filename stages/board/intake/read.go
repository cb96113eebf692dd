package intake

import (
	"context"
	"fmt"
	"slices"
	"strings"

	"panelwright/pipeline"
)

// Read reads everything and settles what can be settled. An error means that the files could not be
// got at; what is wrong with them is in Result.Problems.
func Read(ctx context.Context, files pipeline.Files, req Request) (*Result, error) {
	got, err := gather(ctx, files, req.Paths, req.Workers)
	if err != nil {
		return nil, err
	}
	r := &Result{req: req}
	if err := r.classify(ctx, got); err != nil {
		return nil, err
	}
	if err := r.decode(ctx, got); err != nil {
		return nil, err
	}
	r.sayUnsaid()
	r.toolLists(got)
	for _, f := range r.Files {
		if f.Err != nil {
			r.Problems = append(r.Problems, f.Err)
		}
	}
	if !r.any() {
		what := "none of the " + counted(len(r.Files), "file") + " of " + pathsText(req.Paths) + " is layer or drill data"
		if len(r.Files) == 1 {
			what = "the only file of " + pathsText(req.Paths) + ", " + r.Files[0].Name + ", is no layer or drill data"
		}
		r.problem(what,
			"name the folder, zip or files that hold the board's fabrication data")
		return r, nil
	}
	r.reportDoubts()
	jobs := r.jobFile()
	r.jobs = jobs
	r.checkProjects()
	r.layers = r.settleLayers(jobs)
	r.copper = r.settleCopper(r.layers)
	r.settleOutline(r.layers)
	if err := r.invertNegatives(ctx); err != nil {
		return nil, err
	}
	r.checkBeyond()
	r.drills = r.settleDrills(r.copper)
	r.parts = r.settleParts()
	if err := r.readBodies(ctx, files); err != nil {
		return nil, err
	}
	r.settleBodies()
	r.settleClasses()
	r.settleNetlist()
	r.checkJob(jobs, r.copper)
	r.sources()
	if len(r.Problems) == 0 {
		r.assemble(jobs)
	}
	return r, nil
}

// reportDoubts makes findings of what the readers were unsure of. A file without its end may be cut
// short: what it lacks nobody can see.
func (r *Result) reportDoubts() {
	for _, f := range r.Files {
		if f.Ignored != "" || f.Err != nil {
			continue
		}
		if (f.Kind == LayerFile || f.Kind == DrillFile) && !f.ended {
			r.find("file-cut-short", pipeline.Error, f.Name+": the file has no end code: it may be cut short; have it written again")
		}
		for _, d := range f.doubts {
			r.find("read-in-doubt", pipeline.Warning, f.Name+": "+d)
		}
	}
}

// any tells whether there is anything at all to make a board of.
func (r *Result) any() bool {
	for _, f := range r.Files {
		if (f.Kind == LayerFile || f.Kind == DrillFile) && (f.Ignored == "" || f.layerRule != nil) {
			return true
		}
	}
	return false
}

// decode runs the readers, several files at a time, the largest first, so that no large one is left
// for the end when nothing else is to be done; a layer's bytes are let go when it is read. Each result
// goes to its own file, so that neither order nor number of workers can show.
func (r *Result) decode(ctx context.Context, got []gathered) error {
	order := make([]int, len(r.Files))
	for i := range order {
		order[i] = i
	}
	slices.SortStableFunc(order, func(a, b int) int { return len(got[b].data) - len(got[a].data) })
	return pipeline.Each(ctx, r.req.Workers, len(order), func(k int) error {
		i := order[k]
		if f := r.Files[i]; f.Ignored == "" {
			f.decode(got[i].data)
			if f.Kind == LayerFile { // texts and drill files may be looked at again
				got[i].data = nil
			}
		}
		return nil
	})
}

func counted(n int, word string) string {
	switch {
	case n == 1:
		return "1 " + word
	case strings.HasSuffix(word, "y"):
		return fmt.Sprint(n, " ", strings.TrimSuffix(word, "y"), "ies")
	}
	return fmt.Sprint(n, " ", word, "s")
}
