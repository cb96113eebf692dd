package main

import (
	"fmt"
	"os"
	"os/exec"
	"runtime"
	"syscall"
	"testing"
	"unsafe"

	"github.com/stretchr/testify/require"
	"golang.org/x/sys/unix"
)

// withoutExchange runs a program on a system that cannot exchange two names in one step.
var withoutExchange = []string{"without-exchange"}

func init() { moreCommands["without-exchange"] = runWithoutExchange }

// runWithoutExchange becomes the program that its arguments name, under a filter of system calls that refuses renameat2
// when it is to exchange, as file systems do that cannot.
func runWithoutExchange() {
	runtime.LockOSThread()
	fail := func(err error) {
		fmt.Fprintln(os.Stderr, "without-exchange:", err)
		os.Exit(99)
	}
	const (
		load   = unix.BPF_LD | unix.BPF_W | unix.BPF_ABS
		equal  = unix.BPF_JMP | unix.BPF_JEQ | unix.BPF_K
		result = unix.BPF_RET | unix.BPF_K
		number = 0        // where struct seccomp_data has the call's number
		flags  = 16 + 4*8 // and its fifth argument
	)
	filter := []unix.SockFilter{
		{Code: load, K: number},
		{Code: equal, K: unix.SYS_RENAMEAT2, Jf: 3},
		{Code: load, K: flags},
		{Code: equal, K: unix.RENAME_EXCHANGE, Jf: 1},
		{Code: result, K: unix.SECCOMP_RET_ERRNO | uint32(unix.EINVAL)},
		{Code: result, K: unix.SECCOMP_RET_ALLOW},
	}
	if err := unix.Prctl(unix.PR_SET_NO_NEW_PRIVS, 1, 0, 0, 0); err != nil {
		fail(err)
	}
	call := unix.SockFprog{Len: uint16(len(filter)), Filter: &filter[0]}
	if err := unix.Prctl(unix.PR_SET_SECCOMP, unix.SECCOMP_MODE_FILTER, uintptr(unsafe.Pointer(&call)), 0, 0); err != nil {
		fail(err)
	}
	path, err := exec.LookPath(os.Args[1])
	if err != nil {
		fail(err)
	}
	fail(syscall.Exec(path, os.Args[1:], os.Environ()))
}

// onlyByRenaming makes sure that the filter is on, or skips.
func onlyByRenaming(t *testing.T, s *shop) {
	t.Helper()
	plain := *s
	plain.with = nil
	plain.good(1)
	tracer := *s
	if e := tracer.build(2); e.code == 99 {
		t.Skip("this machine does not let a test filter system calls: " + e.err)
	}
	require.DirExists(t, s.path("build/staff"))
}
