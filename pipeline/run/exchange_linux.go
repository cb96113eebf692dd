package run

import "golang.org/x/sys/unix"

// swapNames exchanges two folders in one step.
func swapNames(a, b string) error {
	return unix.Renameat2(unix.AT_FDCWD, a, unix.AT_FDCWD, b, unix.RENAME_EXCHANGE)
}
