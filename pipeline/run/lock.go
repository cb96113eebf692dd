package run

import (
	"errors"
	"io"
	"os"
	"strconv"
	"strings"
)

// errLocked says that another process, or another build in this one, holds the lock. It has no words of its own:
// what is built is said by who is told of it.
var errLocked = errors.New("")

// lock is held on a file for as long as a build of one panel runs. The system drops it when the
// process ends, however it ends, so a lock is never stale.
type lock struct{ file *os.File }

// takeLock takes the lock at path. When it is held, it gives errLocked and the holder's process
// number, 0 if unknown.
func takeLock(path string) (*lock, int, error) {
	for range 100 {
		file, err := os.OpenFile(path, os.O_CREATE|os.O_RDWR, 0o644)
		if err != nil {
			return nil, 0, err
		}
		if err := lockFile(file); err != nil {
			holder := 0
			if errors.Is(err, errLocked) {
				b, _ := io.ReadAll(io.LimitReader(file, 20))
				holder, _ = strconv.Atoi(strings.TrimSpace(string(b)))
			}
			file.Close()
			return nil, holder, err
		}
		// The holder before may have removed the file between our opening and locking it.
		ours, err1 := file.Stat()
		there, err2 := os.Stat(path)
		if err1 != nil || err2 != nil || !os.SameFile(ours, there) {
			file.Close()
			continue
		}
		if err = file.Truncate(0); err == nil {
			_, err = file.WriteAt([]byte(strconv.Itoa(os.Getpid())+"\n"), 0)
		}
		if err != nil { // a full disk
			(&lock{file}).release()
			return nil, 0, err
		}
		return &lock{file}, 0, nil
	}
	return nil, 0, errLocked
}

// release removes the file and drops the lock. The file goes first, while no one else can hold it;
// where an open file cannot be removed it stays, which does no harm.
func (l *lock) release() {
	os.Remove(l.file.Name())
	l.file.Close()
}
