package watch

import (
	"errors"
	"maps"
	"sync"
	"syscall"

	"github.com/fsnotify/fsnotify"
)

// notifier tells what the system tells.
type notifier struct {
	system *fsnotify.Watcher
	dirty  chan struct{}

	mu      sync.Mutex
	folders map[string]bool // that are watched as they are
}

func listen() (teller, error) {
	system, err := fsnotify.NewWatcher()
	if err != nil {
		return nil, err
	}
	n := &notifier{system: system, dirty: make(chan struct{}, 1), folders: map[string]bool{}}
	go n.hear()
	return n, nil
}

// hear takes what the system tells, also while a pass goes on: it must not pile up.
func (n *notifier) hear() {
	for {
		select {
		case e, ok := <-n.system.Events:
			if !ok {
				return
			}
			if e.Op == fsnotify.Chmod { // indexers and the like
				continue
			}
			if e.Has(fsnotify.Create) || e.Has(fsnotify.Remove) || e.Has(fsnotify.Rename) {
				n.mu.Lock()
				delete(n.folders, e.Name) // it may be another folder now
				n.mu.Unlock()
			}
		case _, ok := <-n.system.Errors: // too much was told to be kept, for one
			if !ok {
				return
			}
		}
		select {
		case n.dirty <- struct{}{}:
		default:
		}
	}
}

func (n *notifier) told() <-chan struct{} { return n.dirty }

func (n *notifier) close() { n.system.Close() }

// watch watches these folders. Those that it watches already are left alone, as long as nothing was heard of them; without any
// it forgets which those are.
func (n *notifier) watch(folders map[string]bool) (fresh bool, err error) {
	n.mu.Lock()
	have := maps.Clone(n.folders)
	if folders == nil {
		clear(n.folders)
	}
	n.mu.Unlock()
	if folders == nil {
		return false, nil
	}
	for dir := range folders {
		if have[dir] {
			continue
		}
		n.mu.Lock()
		n.folders[dir] = true // before it is added: what is heard from then on counts
		n.mu.Unlock()
		err := n.system.Add(dir)
		switch {
		case err == nil:
			fresh = true
		case full(err):
			return fresh, err
		default: // it has gone, or may not be looked into: that is seen when it is looked at
			n.mu.Lock()
			delete(n.folders, dir)
			n.mu.Unlock()
		}
	}
	for _, dir := range n.system.WatchList() {
		if !folders[dir] {
			n.system.Remove(dir) // if it is gone, so is the watch
			n.mu.Lock()
			delete(n.folders, dir)
			n.mu.Unlock()
		}
	}
	return fresh, nil
}

// full tells whether the system has no room to watch more.
func full(err error) bool {
	for _, e := range []error{syscall.ENOSPC, syscall.EMFILE, syscall.ENFILE, syscall.ENOMEM} {
		if errors.Is(err, e) {
			return true
		}
	}
	return false
}
