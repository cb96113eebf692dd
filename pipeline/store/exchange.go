package store

import (
	"context"
	"errors"
	"sync/atomic"
	"time"

	"gocloud.dev/gcerrors"

	"panelwright/pipeline/run"
)

// How long an exchange may take: so much for each, and for its bytes by the slowest line that is of use.
const (
	patience = 30 * time.Second
	slowest  = 256 << 10 // bytes in a second
	pause    = time.Second
)

// localError is an error that has nothing to do with the store.
type localError struct{ error }

func (l *localError) Unwrap() error { return l.error }

// exchange does something with an object of the store, within bounded time, a second time where the first fails. What do gives when it
// fails for a reason of its own is a *DamagedError, a *run.MachineError or a *localError; all else is the store's.
func exchange[T any](ctx context.Context, s side, object string, bytes int64, do func(context.Context) (T, error)) (T, error) {
	var none T
	if err := s.given(); err != nil {
		return none, err
	}
	limit := s.patience + time.Duration(float64(bytes)/slowest*float64(time.Second))
	for again := false; ; again = true {
		got, err := within(ctx, limit, do)
		var silent *silentError
		switch {
		case err == nil:
			return got, nil
		case ctx.Err() != nil:
			return none, ctx.Err()
		case isOurs(err):
			return none, err
		case gcerrors.Code(err) == gcerrors.NotFound:
			return none, &DamagedError{Object: s.at(object), Problem: "is not there"}
		case again || errors.As(err, &silent):
			return none, s.giveUp(err)
		}
		select {
		case <-ctx.Done():
			return none, ctx.Err()
		case <-time.After(s.pause):
		}
	}
}

func isOurs(err error) bool {
	var damaged *DamagedError
	var machine *run.MachineError
	var local *localError
	return errors.As(err, &damaged) || errors.As(err, &machine) || errors.As(err, &local)
}

// within does something that has so long to end. What does not end then, such as reading from a share whose server is gone, is
// left to itself.
func within[T any](ctx context.Context, limit time.Duration, do func(context.Context) (T, error)) (T, error) {
	type result struct {
		got T
		err error
	}
	ctx, cancel := context.WithTimeoutCause(ctx, limit, &silentError{limit})
	defer cancel()
	done := make(chan result, 1)
	go func() {
		got, err := do(ctx)
		done <- result{got, err}
	}()
	var r result
	select {
	case r = <-done:
	case <-ctx.Done():
		select { // a moment to clear up
		case r = <-done:
		case <-time.After(min(limit, 2*time.Second)):
			r.err = ctx.Err()
		}
	}
	if r.err != nil && ctx.Err() != nil && !isOurs(r.err) {
		r.err = context.Cause(ctx)
	}
	return r.got, r.err
}

// side is reading or writing. Who cannot write may read all the same; who cannot read need not write.
type side struct {
	*Store
	gone []*atomic.Pointer[UnreachableError] // its own first
	verb string
}

func (s *Store) reading() side {
	return side{s, []*atomic.Pointer[UnreachableError]{&s.unread, &s.unwritten}, "read"}
}

func (s *Store) writing() side {
	return side{s, []*atomic.Pointer[UnreachableError]{&s.unwritten}, "written"}
}

// given gives an error where this side has been given up.
func (s side) given() error {
	if gone := s.gone[0].Load(); gone != nil {
		again := *gone
		again.Again = true
		return &again
	}
	return nil
}

// giveUp remembers that the store is of no use.
func (s side) giveUp(err error) error {
	var silent *silentError
	if !errors.As(err, &silent) {
		err = plainError(err)
	}
	gone := UnreachableError{Store: s.shown, Verb: s.verb, Err: err}
	for i, p := range s.gone {
		if first := p.CompareAndSwap(nil, &gone); i == 0 && !first {
			return s.given()
		}
	}
	told := gone
	return &told
}

// noBucket gives up where what is missing is more than an object.
func (s side) noBucket(err error) error {
	if missing := (*DamagedError)(nil); errors.As(err, &missing) {
		return s.giveUp(errors.New("it is not there any more"))
	}
	return err
}
