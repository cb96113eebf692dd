package intake

import (
	"strings"

	"panelwright/pipeline/panel"
)

// settleNetlist takes the netlist; two that differ are a problem.
func (r *Result) settleNetlist() {
	var first *File
	for _, f := range r.of(NetlistFile) {
		switch {
		case first == nil:
			first = f
			f.Use = "netlist (" + counted(len(f.Netlist.Points), "point") + ")"
		case first.SHA256 == f.SHA256:
			f.Ignored = "the same bytes as " + first.Name
		default:
			r.problem("two netlists: "+first.Name+" and "+f.Name, "leave the one in place that belongs to the board")
		}
	}
}

// sources makes sure that no file is dropped in silence.
func (r *Result) sources() {
	for _, f := range r.Files {
		if f.Use == "" && f.Ignored == "" && f.Err == nil && len(r.Problems) == 0 {
			r.problem(f.Name+": it was read, but nothing was made of it", "leave it out, or say in the recipe what it is:\n"+ignoreProposal(f.Name))
		}
	}
}

// assemble makes the board of what was settled.
func (r *Result) assemble(jobs *File) {
	q := r.req
	b := &panel.Board{
		Name: q.Name, PartNumber: q.PartNumber, Revision: q.Revision, Thickness: q.Thickness,
		CopperCount: r.copper, Finish: q.Finish, MaskColor: q.MaskColor,
		Outline: r.Outline.Outline, Drills: r.drills, Parts: r.parts, PartsElsewhere: r.partsElsewhere, Packages: r.packages,
	}
	if b.Revision == "" {
		b.Revision = r.project.revision
	}
	if jobs != nil && jobs.job != nil {
		j := jobs.job
		if b.Thickness == 0 {
			b.Thickness = j.thickness
		}
		if b.Finish == "" {
			b.Finish = strings.TrimSpace(j.finish)
		}
		if b.MaskColor == "" {
			b.MaskColor = strings.TrimSpace(j.mask)
		}
		if len(j.foils) == b.CopperCount {
			b.Foils = j.foils
		}
	}
	if b.Thickness == 0 {
		b.Thickness, b.ThicknessAssumed = DefaultThickness, true
	}
	for _, f := range r.Files {
		if f.Name == r.Outline.Source && f.Image != nil {
			v := f.Image.Attributes.Get(".FileFunction")
			b.EdgePlated = len(v) > 1 && v[0] == "Profile" && v[1] == "P"
		}
	}
	for _, l := range r.layers {
		// The profile is carried as the outline.
		if l.is.Kind != panel.Profile {
			b.Layers = append(b.Layers, panel.Layer{Function: l.is, Image: l.file.Image, Source: l.file.Name})
		}
	}
	for _, f := range r.of(NetlistFile) {
		b.Netlist = f.Netlist
	}
	for _, f := range r.Files {
		b.Sources = append(b.Sources, panel.SourceFile{Name: f.Name, SHA256: f.SHA256, Bytes: f.Bytes, Use: f.Use, Ignored: f.Ignored})
	}
	r.Board = b
}
