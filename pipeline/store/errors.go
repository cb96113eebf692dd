package store

import (
	"context"
	"errors"
	"fmt"
	"net"
	"regexp"
	"time"
)

// DamagedError says that something in the store is missing or is not what it should be. The build is to be made, and put in its
// place.
type DamagedError struct {
	Object  string // its place, with the store's
	Problem string
	Others  int // how many other objects are damaged, too
}

// Error names the object and says what is wrong with it.
func (d *DamagedError) Error() string {
	s := d.Object + " " + d.Problem
	if d.Others > 0 {
		s += fmt.Sprintf(" (and %d more are damaged)", d.Others)
	}
	return s
}

// UnreachableError says that the store cannot be read or written. After the first one a Store gives up, and says so at once whenever it
// is asked again.
type UnreachableError struct {
	Store string
	Verb  string // read or written
	Err   error
	Again bool // this has been told before
}

// Error names the store and says why it cannot be used.
func (u *UnreachableError) Error() string {
	return fmt.Sprintf("%s cannot be %s: %v", u.Store, u.Verb, u.Err)
}

// Unwrap gives the reason.
func (u *UnreachableError) Unwrap() error { return u.Err }

// silentError says that the store did not answer in time.
type silentError struct{ after time.Duration }

func (s *silentError) Error() string {
	return fmt.Sprintf("it did not answer within %v", s.after.Round(time.Millisecond))
}

// Timeout tells that more time might have helped, as errors of package net do.
func (s *silentError) Timeout() bool { return true }

// plainError words an error of a service: its cause alone, without the queries of URLs, where services want signatures and keys.
func plainError(err error) error {
	for {
		if _, ok := err.(*net.OpError); ok {
			break
		}
		next := errors.Unwrap(err)
		if several, ok := err.(interface{ Unwrap() []error }); ok && len(several.Unwrap()) > 0 {
			next = several.Unwrap()[0] // gocloud.dev adds a class of errors behind it
		}
		if next == nil {
			break
		}
		err = next
	}
	if errors.Is(err, context.Canceled) {
		return errors.New("it broke off")
	}
	return errors.New(regexp.MustCompile(`(https?://[^\s"?]*)\?[^\s"]*`).ReplaceAllString(err.Error(), "$1"))
}
