package board

import (
	"context"
	"runtime"

	"panelwright/pipeline"
	"panelwright/stages/board/intake"
)

// Returned reads the files that a fabricator sends back, at paths: what each is, and what it holds. An error means that they
// could not be got at; what is wrong with one is told with it.
func Returned(ctx context.Context, files pipeline.Files, paths []pipeline.InPath) (*pipeline.Returned, error) {
	return intake.ReadReturned(ctx, files, intake.Request{Name: "returned", Paths: paths, Tolerance: intake.DefaultTolerance, Workers: runtime.GOMAXPROCS(0)})
}
