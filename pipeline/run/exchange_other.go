//go:build !linux

package run

import "errors"

func swapNames(a, b string) error { return errors.ErrUnsupported }
