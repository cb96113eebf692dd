package main

import (
	"os"
	"syscall"
)

// peak gives the most memory that a process had, in bytes.
func peak(s *os.ProcessState) int64 {
	if u, ok := s.SysUsage().(*syscall.Rusage); ok {
		return u.Maxrss << 10
	}
	return 0
}
