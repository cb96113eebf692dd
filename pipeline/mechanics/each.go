package mechanics

import (
	"context"

	"golang.org/x/sync/errgroup"
)

// eachOf does n pieces of work, several at a time; of several errors it gives that of the lowest number.
func eachOf(ctx context.Context, workers, n int, work func(i int) error) error {
	errs := make([]error, n)
	var all errgroup.Group
	all.SetLimit(max(1, workers))
	for i := range n {
		all.Go(func() error {
			if errs[i] = ctx.Err(); errs[i] == nil {
				errs[i] = work(i)
			}
			return nil
		})
	}
	_ = all.Wait() // the errors are gathered above
	for _, err := range errs {
		if err != nil {
			return err
		}
	}
	return nil
}
