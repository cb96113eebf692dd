// Package proof reads a written build folder back and holds it against the source boards and the
// plan: every copy of every layer and hole is there, where it belongs, object by object; before it is
// broken the panel is one piece, and after it every board is a piece of its own, whole and without waste.
package proof

import (
	"context"
	"fmt"
	"path"
	"strings"

	"panelwright/pipeline"
	"panelwright/pipeline/geom"
	"panelwright/pipeline/proof/apart"
)

// The rules that the proof's findings name.
const (
	ruleLayer = "written-layer"
	ruleHoles = "written-holes"
	ruleFile  = "written-file"
)

// Prove gives what is wrong with the written fabrication and assembly files, nothing when all is as it should be.
// Of either it proves those that a build has written. Errors are of reading only.
func Prove(ctx context.Context, in pipeline.Written) ([]pipeline.Finding, error) {
	written, papers := map[string]bool{}, map[string]bool{}
	for _, name := range in.Outputs {
		switch {
		case strings.HasPrefix(name, "fab/"):
			written[name] = true
		case strings.HasPrefix(name, "assembly/"):
			papers[name] = true
		}
	}
	p := &prover{in: in, written: written, papers: papers}
	var steps []func(context.Context) error
	if len(written) > 0 {
		steps = append(steps, p.layers, p.scores, p.drills, p.geometry, p.leftOver)
	}
	if len(papers) > 0 {
		steps = append(steps, p.assembly)
	}
	for _, step := range steps {
		if err := ctx.Err(); err != nil {
			return nil, err
		}
		if err := step(ctx); err != nil {
			return nil, err
		}
	}
	pipeline.SortFindings(p.findings)
	return p.findings, nil
}

type prover struct {
	in       pipeline.Written
	written  map[string]bool // fabrication files not looked at yet
	papers   map[string]bool // assembly files not looked at yet
	findings []pipeline.Finding

	perforations []apart.Disc            // as written
	rows         map[rowKey][]geom.Point // of them, in the order of the plan
	scored       []geom.Edge             // score lines, as written
	round        []apart.Disc            // other holes, as written
	routs        geom.Region             // the boards' own routed slots, as written
}

func (p *prover) file(key, extension string) string {
	return "fab/" + p.in.Name + "-" + key + extension
}

// has tells whether a file that must be there was written; that it was not is a finding.
func (p *prover) has(name string) bool {
	if !p.written[name] {
		p.report(ruleFile, name, nil, nil, "%s was not written", path.Base(name))
		return false
	}
	delete(p.written, name)
	return true
}

// take reads a file that must be there; false when it is not.
func (p *prover) take(name string) ([]byte, bool, error) {
	if !p.has(name) {
		return nil, false, nil
	}
	data, err := p.in.Read(name)
	return data, err == nil, err
}

func (p *prover) report(rule, feature string, copies []string, at *geom.Point, format string, args ...any) {
	p.findings = append(p.findings, pipeline.Finding{Rule: rule, Severity: pipeline.Error, Feature: feature, Copies: copies, At: at,
		Message: fmt.Sprintf(format, args...), Stage: "proof"})
}

// leftOver finds fabrication files that nothing in the plan accounts for. Netlist, job file, notes and
// array drawing are known, and not read back yet.
func (p *prover) leftOver(context.Context) error {
	for _, known := range []string{p.file("notes", ".txt"), p.file("netlist", ".ipc"), p.file("job", ".gbrjob"), p.file("array-drawing", ".gbr")} {
		delete(p.written, known)
	}
	for name := range p.written {
		p.report(ruleFile, name, nil, nil, "%s was written, but nothing on the panel accounts for it", path.Base(name))
	}
	return nil
}
