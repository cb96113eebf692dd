//go:build unix

package run

import (
	"errors"

	"golang.org/x/sys/unix"
)

func cannotSync(err error) bool {
	return errors.Is(err, unix.EINVAL) || errors.Is(err, unix.ENOTSUP) || errors.Is(err, unix.ENOTTY)
}
