package pipeline

import (
	"cmp"
	"context"
	"fmt"
	"runtime/debug"
	"strings"

	"golang.org/x/sync/errgroup"
)

// Each does n independent pieces of work, several at a time, and waits for all that were begun. Of
// several errors it gives the one of the lowest number, so that the outcome does not depend on
// timing. A panic in one piece becomes an error: in a goroutine of its own it would end the program.
func Each(ctx context.Context, workers, n int, work func(i int) error) error {
	errs := make([]error, n)
	var all errgroup.Group
	all.SetLimit(max(1, workers))
	for i := range n {
		all.Go(func() error {
			defer func() {
				if r := recover(); r != nil {
					errs[i] = fmt.Errorf("internal fault: %v (%s); please report it with the recipe and its inputs", r, panicPlace())
				}
			}()
			if errs[i] = ctx.Err(); errs[i] == nil {
				errs[i] = work(i)
			}
			return nil
		})
	}
	_ = all.Wait() // the errors are gathered above
	return cmp.Or(errs...)
}

// panicPlace gives the function in which the panic arose, not a whole trace.
func panicPlace() string {
	lines := strings.Split(string(debug.Stack()), "\n")
	for i, l := range lines {
		if strings.HasPrefix(l, "panic(") && i+2 < len(lines) {
			name, _, _ := strings.Cut(lines[i+2], "(")
			return name
		}
	}
	return "unknown place"
}
