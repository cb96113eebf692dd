//go:build unix

package child

import (
	"os/exec"
	"sync/atomic"
	"syscall"
)

// group is a program and all that it starts: a process group of its own, with the program's number.
type group struct {
	cmd   *exec.Cmd
	ended atomic.Bool // with all that was in it: from now on the number may become somebody else's
}

// startOwn starts the command in a group of its own.
func startOwn(cmd *exec.Cmd, limits Limits) (*group, error) {
	g := &group{cmd: cmd}
	cmd.SysProcAttr = &syscall.SysProcAttr{Setpgid: true}
	dieWithParent(cmd.SysProcAttr)
	cmd.Cancel = func() error { g.kill(); return nil } // called when it has been started, and may already be
	if err := cmd.Start(); err != nil {
		return nil, err
	}
	limit(g.pid(), limits)
	return g, nil
}

func (g *group) pid() int { return g.cmd.Process.Pid }

// kill ends all of the group. It cannot be put off, as SIGTERM can.
func (g *group) kill() {
	if !g.ended.Load() {
		_ = syscall.Kill(-g.pid(), syscall.SIGKILL) // all of it may have ended
	}
}

// settle waits until the program itself has ended, and ends what it leaves behind in its group. The group's number is
// nobody else's as long as the program has not been waited for.
func (g *group) settle() {
	if awaitEnd(g.pid()) {
		g.kill()
		g.ended.Store(true)
	}
}

func (g *group) close() {}
