package child

import (
	"os"
	"strconv"
	"strings"
	"syscall"

	"golang.org/x/sys/unix"
)

func dieWithParent(a *syscall.SysProcAttr) { a.Pdeathsig = syscall.SIGKILL }

// limit sets what the system itself keeps of the limits, for the process and all that it starts from now on: private memory that
// can be written (RLIMIT_DATA), the size of a file, no memory dumps. Address space (RLIMIT_AS) is not limited: runtimes of
// several languages set much more of it apart than they use. A process that has ended already needs none.
func limit(pid int, l Limits) {
	for what, most := range map[int]int64{unix.RLIMIT_DATA: l.Memory, unix.RLIMIT_FSIZE: l.Output, unix.RLIMIT_CORE: 0} {
		var now unix.Rlimit
		if unix.Prlimit(pid, what, nil, &now) != nil {
			continue
		}
		to := min(uint64(most), now.Max)
		_ = unix.Prlimit(pid, what, &unix.Rlimit{Cur: to, Max: to}, nil)
	}
}

// awaitEnd waits until the process has ended, and leaves it to be waited for.
func awaitEnd(pid int) bool {
	for {
		err := unix.Waitid(unix.P_PID, pid, nil, unix.WEXITED|unix.WNOWAIT, nil)
		if err != unix.EINTR {
			return err == nil
		}
	}
}

// memory gives how many bytes the group's processes have in memory. What they share counts for each.
func (g *group) memory() int64 {
	entries, err := os.ReadDir("/proc")
	if err != nil {
		return 0
	}
	var pages int64
	group := strconv.Itoa(g.pid())
	for _, e := range entries {
		if _, err := strconv.Atoi(e.Name()); err != nil {
			continue
		}
		stat, err := os.ReadFile("/proc/" + e.Name() + "/stat")
		if err != nil {
			continue // it has ended
		}
		// The name stands in parentheses and may hold any of them; after it: state, parent, group … 22nd of all is the start, 24th what is in memory.
		f := strings.Fields(string(stat[strings.LastIndexByte(string(stat), ')')+1:]))
		if len(f) < 22 || f[2] != group {
			continue
		}
		n, _ := strconv.ParseInt(f[21], 10, 64)
		pages += n
	}
	return pages * int64(os.Getpagesize())
}
