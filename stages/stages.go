// Package stages lists the stages that come with the program. Each has a folder of its own; none
// imports another.
package stages

import (
	"context"
	"io"

	"panelwright/pipeline"
	"panelwright/stages/array"
	"panelwright/stages/badboardmarks"
	"panelwright/stages/board"
	"panelwright/stages/breakofftabs"
	"panelwright/stages/fiducials"
	"panelwright/stages/legend"
	"panelwright/stages/place"
	"panelwright/stages/rails"
	"panelwright/stages/rules"
	"panelwright/stages/scorelines"
	"panelwright/stages/shophelper"
	"panelwright/stages/support"
	"panelwright/stages/thieving"
	"panelwright/stages/toolingholes"
	"panelwright/stages/writeassembly"
	"panelwright/stages/writedrawing"
	"panelwright/stages/writefab"
	"panelwright/stages/writereport"
)

// All gives every built-in stage, one line each, in the order in which a recipe uses them.
func All() []pipeline.Kind {
	return []pipeline.Kind{
		board.Kind(),
		array.Kind(),
		place.Kind(),
		rails.Kind(),
		toolingholes.Kind(),
		fiducials.Kind(),
		breakofftabs.Kind(),
		scorelines.Kind(),
		support.Kind(),
		badboardmarks.Kind(),
		legend.Kind(),
		thieving.Kind(),
		shophelper.Kind(),
		rules.Kind(),
		writefab.Kind(),
		writeassembly.Kind(),
		writedrawing.Kind(),
		writereport.Kind(),
	}
}

// Survey tells what the board stage's reader understands of one board's data, and draws the board.
func Survey(ctx context.Context, files pipeline.Files, paths []pipeline.InPath, w io.Writer, asJSON bool,
	keep func(name string, picture []byte) (path string, err error)) (usable bool, err error) {
	return board.Survey(ctx, files, paths, w, asJSON, keep)
}

// Returned reads, with the board stage's reader, the files that a fabricator sends back for approval.
func Returned(ctx context.Context, files pipeline.Files, paths []pipeline.InPath) (*pipeline.Returned, error) {
	return board.Returned(ctx, files, paths)
}

// Start makes a first recipe from one board's files.
func Start(ctx context.Context, q pipeline.StartRequest) (pipeline.Started, error) {
	return board.Start(ctx, q)
}
