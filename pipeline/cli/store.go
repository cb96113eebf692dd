package cli

import (
	"context"
	"errors"
	"fmt"

	"github.com/spf13/cobra"

	"panelwright/pipeline/store"
)

func (b *building) storeFlag(a *app, c *cobra.Command) {
	if a.Store == nil {
		return
	}
	c.Flags().StringVar(&b.store, "store", "", "the `URL` of a store of builds that workers share: file:DIR, s3://, gs:// or azblob:// and a bucket")
	c.Long += "\n\n" +
		"With --store a build that another worker has made by the same program from the same recipe and inputs is\n" +
		"taken from there, checked, and what is built here is put there. A store that does not answer, or that is\n" +
		"damaged, is told of and built past."
}

// openStore opens the store; there is none where url is empty, or where nothing answers, which is told.
func (a *app) openStore(ctx context.Context, url string) (*store.Store, error) {
	if url == "" {
		return nil, nil
	}
	s, err := a.Store(ctx, url)
	var gone *store.UnreachableError
	if errors.As(err, &gone) {
		fmt.Fprintf(a.err, "warning: the store %v; going on without\n", gone)
		return nil, nil
	}
	return s, err
}
