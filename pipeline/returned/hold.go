package returned

import (
	"context"
	"fmt"
	"runtime"
	"strings"

	"panelwright/pipeline"
	"panelwright/pipeline/geom"
	"panelwright/pipeline/panel"
)

// The rules of this package; package rule describes them.
const (
	ruleFile         = "returned-file"
	rulePlacement    = "returned-placement"
	ruleLayer        = "returned-layer"
	ruleCut          = "returned-cut"
	ruleScore        = "returned-score"
	ruleHole         = "returned-hole"
	ruleBreakoff     = "returned-breakoff"
	ruleCopper       = "returned-copper"
	ruleMask         = "returned-mask"
	rulePrint        = "returned-print"
	ruleAddition     = "returned-addition"
	ruleCompensation = "returned-compensation"
)

// Tolerance is how far an edge may lie off before it counts: above the rounding of inches written with four decimals and the
// chords that arcs are flattened to, below all that matters when a panel is cut or broken (common practice, no
// published source).
const Tolerance = 20 * geom.UM

// Input is what is held against what.
type Input struct {
	Panel string            // its name, by which the build's files are called
	Built map[string][]byte // the build's files, by their names in its folder: panel.json and those in fab
	Got   *pipeline.Returned
	// Shift and Turn say where the panel lies in the returned files: turned counter-clockwise about its lower left corner, which lies
	// at Shift. Nil where it is to be found.
	Shift   *geom.Point
	Turn    *geom.Angle
	Workers int // how many goroutines may be used; results do not depend on it
}

// Result is what was found.
type Result struct {
	Findings []pipeline.Finding
	Files    []Use
	// Found tells that the panel was found; what follows is where, in the returned files' coordinates: turned about its
	// lower left corner, mirrored first where Mirrored is set, which then lies at Shift.
	Found    bool
	Shift    geom.Point
	Turn     geom.Angle
	Mirrored bool
	Times    int // how often it lies there
	// Layers, Holes and Contours were held against each other.
	Layers, Holes, Contours int
}

// Use is what one of the returned files was taken for, and by whose word.
type Use struct {
	Name, For, By string
}

// Hold holds returned files against a build. Errors are of the build's own files, that ctx is done, or a fault of
// the geometry; what is wrong with returned files is a finding.
func Hold(ctx context.Context, in Input) (*Result, error) {
	b, err := readBuild(ctx, in.Panel, in.Built)
	if err != nil {
		return nil, err
	}
	if in.Workers <= 0 {
		in.Workers = runtime.GOMAXPROCS(0)
	}
	h := &holder{Input: in, build: b, uses: map[string]*Use{}}
	h.files()
	if err := h.findProfile(ctx); err != nil {
		return nil, err
	}
	found, err := h.locate(ctx)
	if err != nil {
		return nil, err
	}
	if found {
		for _, step := range []func(context.Context) error{h.cuts, h.holes, h.scoreLines, h.layersOf, h.pictures} {
			if err := ctx.Err(); err != nil {
				return nil, err
			}
			if err := step(ctx); err != nil {
				return nil, err
			}
		}
	}
	for _, f := range in.Got.Files {
		h.out.Files = append(h.out.Files, *h.uses[f.Name])
	}
	pipeline.SortFindings(h.out.Findings)
	return &h.out, nil
}

// holder is one call of Hold.
type holder struct {
	Input
	build *build
	out   Result
	uses  map[string]*Use

	profile []int       // of Got.Layers: those that draw the profile
	edges   []geom.Edge // of it, as they lie in the files
	loops   []geom.Path
	scored  []geom.Edge // edges of the profile that are score lines, placed
	drills  [][]bore    // of each of Got.Drills, as they lie in the files
	back    place       // from there to the panel
	match   []match     // of each of build.layers
}

// alone tells whether nothing but the panel is to be expected in the files: no sheet of several.
func (h *holder) alone() bool { return h.out.Times == 1 && h.Shift == nil }

// report adds a finding.
func (h *holder) report(rule string, s pipeline.Severity, feature string, copies []string, at *geom.Point, format string, args ...any) {
	h.out.Findings = append(h.out.Findings, pipeline.Finding{Rule: rule, Severity: s, Feature: feature, Copies: copies, At: at,
		Message: fmt.Sprintf(format, args...), Stage: "readback"})
}

// files tells of what could not be read, and begins the list of what files are taken for.
func (h *holder) files() {
	for _, f := range h.Got.Files {
		u := &Use{Name: f.Name}
		h.uses[f.Name] = u
		switch {
		case f.Fault != "":
			u.For = "not readable"
			h.report(ruleFile, pipeline.Error, f.Name, nil, nil, "%s: cannot be read, so it is not held: %s", f.Name, strings.TrimPrefix(oneLine(f.Fault), f.Name+": "))
		case f.Ignored != "":
			u.For = "not held: " + f.Ignored
		case f.Cut:
			h.report(ruleFile, pipeline.Error, f.Name, nil, nil, "%s: has no end code: it may be cut short; have it sent again", f.Name)
		}
		for _, d := range f.Doubts {
			h.report(ruleFile, pipeline.Warning, f.Name, nil, nil, "%s: %s", f.Name, oneLine(d))
		}
	}
}

// oneLine takes the lines of a text as one, and leaves out what a recipe could say, for there is none.
func oneLine(s string) string {
	if i := strings.Index(s, "; or, "); i >= 0 && strings.Contains(s[i:], "recipe") {
		s = s[:i]
	}
	return strings.Join(strings.Fields(strings.ReplaceAll(s, "\n    ", "; ")), " ")
}

func (h *holder) use(source, what, by string) {
	if u := h.uses[source]; u != nil {
		if u.For != "" {
			what = u.For + ", " + what
		}
		u.For, u.By = what, by
	}
}

// isProfile tells whether a returned layer is said to draw the profile.
func isProfile(l pipeline.ReturnedLayer) bool { return l.Function.Kind == panel.Profile }
