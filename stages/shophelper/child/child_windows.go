package child

import (
	"os/exec"
	"syscall"
	"unsafe"

	"golang.org/x/sys/windows"
)

// group is a program and all that it starts: a job, which the system ends as a whole.
type group struct {
	job, process windows.Handle
}

// startOwn starts the command and puts it into a job with a bound on its memory.
func startOwn(cmd *exec.Cmd, limits Limits) (*group, error) {
	job, err := windows.CreateJobObject(nil, nil)
	if err != nil {
		return nil, err
	}
	g := &group{job: job}
	var info windows.JOBOBJECT_EXTENDED_LIMIT_INFORMATION
	info.BasicLimitInformation.LimitFlags = windows.JOB_OBJECT_LIMIT_KILL_ON_JOB_CLOSE | windows.JOB_OBJECT_LIMIT_JOB_MEMORY
	info.JobMemoryLimit = uintptr(limits.Memory)
	if _, err := windows.SetInformationJobObject(job, windows.JobObjectExtendedLimitInformation, uintptr(unsafe.Pointer(&info)), uint32(unsafe.Sizeof(info))); err != nil {
		g.close()
		return nil, err
	}
	cmd.SysProcAttr = &syscall.SysProcAttr{CreationFlags: windows.CREATE_NEW_PROCESS_GROUP, HideWindow: true}
	cmd.Cancel = func() error { return windows.TerminateJobObject(g.job, 1) }
	if err := cmd.Start(); err != nil {
		g.close()
		return nil, err
	}
	const rights = windows.PROCESS_SET_QUOTA | windows.PROCESS_TERMINATE | windows.SYNCHRONIZE
	if g.process, err = windows.OpenProcess(rights, false, uint32(cmd.Process.Pid)); err == nil {
		err = windows.AssignProcessToJobObject(job, g.process)
	}
	if err != nil {
		_ = cmd.Process.Kill()
		_ = cmd.Wait()
		g.close()
		return nil, err
	}
	return g, nil
}

// settle waits until the program itself has ended, and ends what it leaves behind.
func (g *group) settle() {
	_, _ = windows.WaitForSingleObject(g.process, windows.INFINITE)
	_ = windows.TerminateJobObject(g.job, 1)
}

func (g *group) close() {
	if g.process != 0 {
		_ = windows.CloseHandle(g.process)
	}
	_ = windows.CloseHandle(g.job)
}

// memory is the system's own matter here.
func (g *group) memory() int64 { return 0 }
