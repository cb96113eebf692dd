// Package writefab writes what the fabricator builds the panel from: layers, drill and rout files,
// profile, score lines, netlist and job file.
package writefab

import (
	"context"
	"crypto/sha256"
	"fmt"
	"io"
	"path"
	"sync/atomic"

	"panelwright/pipeline"
	"panelwright/pipeline/format/gerber"
	"panelwright/pipeline/format/xnc"
	"panelwright/pipeline/geom"
	"panelwright/pipeline/panel"
	"panelwright/pipeline/panel/artwork"
	"panelwright/pipeline/rout"
)

// Kind is stage "write_fab".
func Kind() pipeline.Kind {
	return pipeline.Kind{
		Name:     "write_fab",
		Summary:  "Writes the fabricator's files: layers, profile, score lines, drill files, netlist, job file, notes; and a rout program for reference.",
		Role:     pipeline.Write,
		Contract: pipeline.Contract,
		New: func() pipeline.Stage {
			return &WriteFab{
				Slots: string(xnc.Rout),
				// From memory, no published source.
				Cutting: string(rout.Climb), RapidMMPerMinute: 6000, PlungeSeconds: 1, ChangeSeconds: 15,
			}
		},
	}
}

// WriteFab is the options of stage "write_fab".
type WriteFab struct {
	Slots            string  `option:"slots" choice:"rout|g85" help:"how the boards' own slots stand in drill files: routed (XNC), or as rows of overlapping holes (G85) for older machines"`
	Cutting          string  `option:"cutting" choice:"climb|conventional" help:"side of the wall in the rout program, for a spindle that turns clockwise seen from the top: climb has it on the right"`
	Feeds            []Feed  `block:"feed" help:"how fast a cutter is driven, for the rout program's times; without any, usual ones"`
	RapidMMPerMinute float64 `option:"rapid_mm_per_minute" range:"1..100000" help:"speed between the passes of the rout program"`
	PlungeSeconds    float64 `option:"plunge_seconds" range:"0..60" help:"into the panel and out of it, each pass"`
	ChangeSeconds    float64 `option:"change_seconds" range:"0..600" help:"to change the cutter"`
}

// Feed is how fast a cutter is driven.
type Feed struct {
	Cutter      geom.Length `option:"cutter" required:"true" range:"0.3..20" help:"its diameter"`
	MMPerMinute float64     `option:"mm_per_minute" required:"true" range:"1..20000" help:"along its way"`
}

// Parts tells that writing needs copies.
func (w *WriteFab) Parts() pipeline.Parts {
	return pipeline.Parts{Needs: []string{"copies"}, Gives: []string{"fab"}}
}

// file is one file of the set as the job file lists it.
type file struct {
	path     string // base name
	function []string
	polarity string
}

// set collects what one run writes.
type set struct {
	env   *pipeline.Env
	panel panel.Panel
	files []file
	names []string // all members of the archive, with their folder
	jobs  []func() error
}

// reference plans a file that goes with the build but not to the fabricator's machines.
func (s *set) reference(name string, write func(io.Writer) error) {
	s.plan("reference/"+s.env.Panel+name, write)
	s.names = s.names[:len(s.names)-1]
}

// Run writes the files.
func (w *WriteFab) Run(ctx context.Context, env *pipeline.Env, in panel.Panel) (pipeline.Result, error) {
	s := &set{env: env, panel: in}
	steps := []func() error{
		func() error { return s.layers(ctx) },
		func() error { return s.profile(ctx) },
		func() error { return s.routProgram(ctx, w) },
		s.scoreLines,
		s.arrayDrawing,
		func() error { return s.drills(xnc.Dialect(w.Slots)) },
		s.breakoff,
		s.netlist,
		s.job,
		s.notes,
	}
	for _, step := range steps {
		if err := ctx.Err(); err != nil {
			return pipeline.Result{}, err
		}
		if err := step(); err != nil {
			return pipeline.Result{}, err
		}
	}
	var done atomic.Int64
	if err := pipeline.Each(ctx, env.Workers, len(s.jobs), func(i int) error {
		defer func() { env.Reached(int(done.Add(1)), len(s.jobs)) }()
		return s.jobs[i]()
	}); err != nil {
		return pipeline.Result{}, err
	}
	if err := env.Files.Archive("fab/"+env.Panel+"-fab.zip", s.names); err != nil {
		return pipeline.Result{}, err
	}
	env.Log.Info().Int("files", len(s.names)).Msg("fabrication files written")
	return pipeline.Result{Panel: in}, nil
}

// attributes gives the file attributes that every file carries.
func (s *set) attributes(function []string, polarity string) artwork.Attributes {
	a := artwork.Attributes{
		{Name: ".GenerationSoftware", Values: []string{s.env.Program.Name, s.env.Program.Name, s.env.Program.Version}},
		{Name: ".ProjectId", Values: []string{s.env.Panel, projectGUID(s.env.Panel, s.env.Revision), s.env.Revision}},
		{Name: ".Part", Values: []string{"Array"}},
		{Name: ".FileFunction", Values: function},
	}
	if s.env.Date != "" {
		a = append(a, artwork.Attribute{Name: ".CreationDate", Values: []string{s.env.Date}})
	}
	if polarity != "" {
		a = append(a, artwork.Attribute{Name: ".FilePolarity", Values: []string{polarity}})
	}
	return append(a, artwork.Attribute{Name: ".SameCoordinates", Values: []string{s.env.Panel}})
}

// gerber plans one layer file.
func (s *set) gerber(key string, function []string, polarity string, pieces []gerber.Piece, comments ...string) error {
	name := "fab/" + s.env.Panel + "-" + key + ".gbr"
	s.add(name, function, polarity)
	s.plan(name, func(w io.Writer) error {
		return gerber.Write(w, gerber.Header{Attributes: s.attributes(function, polarity), Comments: comments}, pieces)
	})
	return nil
}

// projectGUID identifies a panel's revision. The layer format asks for a GUID of RFC 4122, version 1 or
// 4; this is a version 4 whose pseudo-random bits come from the names, so that equal recipes give
// equal bytes.
func projectGUID(name, revision string) string {
	h := sha256.Sum256([]byte(name + "\x00" + revision))
	h[6], h[8] = h[6]&0x0f|0x40, h[8]&0x3f|0x80
	return fmt.Sprintf("%x-%x-%x-%x-%x", h[0:4], h[4:6], h[6:8], h[8:10], h[10:16])
}

// drill plans one drill file.
func (s *set) drill(key string, function []string, pieces []xnc.Piece, d xnc.Dialect) error {
	name := "fab/" + s.env.Panel + "-drill-" + key + ".drl"
	s.add(name, function, "")
	s.plan(name, func(w io.Writer) error {
		return xnc.Write(w, xnc.Header{Attributes: s.attributes(function, "")}, pieces, d)
	})
	return nil
}

// plan adds a file to write; files are independent of one another and written by several workers.
func (s *set) plan(name string, write func(io.Writer) error) {
	s.names = append(s.names, name)
	s.jobs = append(s.jobs, func() error {
		f, err := s.env.Files.Create(name)
		if err != nil {
			return err
		}
		if err := write(f); err != nil {
			f.Close()
			return fmt.Errorf("%s: %w", name, err)
		}
		return f.Close()
	})
}

// add lists a file for the job file.
func (s *set) add(name string, function []string, polarity string) {
	s.files = append(s.files, file{path.Base(name), function, polarity})
}
