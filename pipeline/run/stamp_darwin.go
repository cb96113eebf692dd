package run

import (
	"io/fs"
	"syscall"
)

func changed(info fs.FileInfo) (changed int64, number uint64) {
	if s, ok := info.Sys().(*syscall.Stat_t); ok {
		return s.Ctimespec.Nano(), s.Ino
	}
	return 0, 0
}
