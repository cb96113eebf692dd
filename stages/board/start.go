package board

import (
	"context"

	"panelwright/pipeline"
	"panelwright/stages/board/intake"
	"panelwright/stages/board/start"
)

// Start makes a first recipe from one board's files: see package start.
func Start(ctx context.Context, q pipeline.StartRequest) (pipeline.Started, error) {
	request := intake.Request{Name: "board", Paths: q.Paths, Tolerance: intake.DefaultTolerance, Workers: q.Workers}
	if b, ok := q.Board.(*Board); ok {
		request = b.request(q.Workers)
	}
	return start.Start(ctx, q, request)
}
