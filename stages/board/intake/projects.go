package intake

import (
	"fmt"
	"strings"

	"panelwright/pipeline"
	"panelwright/pipeline/panel/artwork"
)

// projectOf reads the attribute .ProjectId: name, identifier, revision. A revision "rev?" is what
// systems write when nobody has told them one.
func projectOf(a artwork.Attributes) project {
	v := a.Get(".ProjectId")
	var p project
	if len(v) > 0 {
		p.name = strings.TrimSpace(v[0])
	}
	if len(v) > 2 {
		p.revision = settledRevision(v[2])
	}
	return p
}

func settledRevision(s string) string {
	s = strings.TrimSpace(s)
	if strings.EqualFold(s, "rev?") || s == "?" || strings.EqualFold(s, "<undefined>") {
		return ""
	}
	return s
}

// checkProjects holds the files against one another and against the recipe: two revisions, or two
// projects, are an error.
func (r *Result) checkProjects() {
	var named, revised *File
	for _, f := range r.Files {
		if f.Ignored != "" || f.Err != nil {
			continue
		}
		p := f.project
		switch {
		case p.name == "" || r.mixed:
		case named == nil:
			named = f
		case named.project.name != p.name:
			r.mixed = true
			r.problem(fmt.Sprintf("the files are those of two boards: %s is of the project %q, %s of %q", named.Name, named.project.name, f.Name, p.name),
				"give each board a stage of its own, with files that are its own")
		}
		switch {
		case p.revision == "" || r.mixed:
		case revised == nil:
			revised = f
		case revised.project.revision != p.revision:
			r.mixed = true
			r.problem(fmt.Sprintf("the files are of two revisions: %s is revision %q, %s is revision %q", revised.Name, revised.project.revision, f.Name, p.revision),
				"have all files of the board written at one revision")
		}
	}
	if r.mixed {
		return
	}
	if revised != nil {
		r.project.revision = revised.project.revision
		if want := r.req.Revision; want != "" && want != revised.project.revision {
			r.problem(fmt.Sprintf("%s is revision %q, the recipe says revision %q", revised.Name, revised.project.revision, want),
				"take the files of the revision that is meant, or correct the recipe")
		}
	}
	if named != nil {
		r.project.name = named.project.name
		if want := r.req.PartNumber; want != "" && !strings.EqualFold(want, named.project.name) {
			r.find("part-number", pipeline.Warning, fmt.Sprintf("the recipe says part number %q; %s says that it is of the project %q", want, named.Name, named.project.name))
		}
	}
}
