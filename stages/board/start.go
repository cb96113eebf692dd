package board

import (
	"context"

	"panelwright/pipeline"
	"panelwright/stages/board/start"
)

// Start makes a first recipe from one board's files: see package start.
func Start(ctx context.Context, q pipeline.StartRequest) (pipeline.Started, error) {
	return start.Start(ctx, q)
}
