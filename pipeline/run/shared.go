package run

import (
	"context"
	"errors"
	"fmt"
	"path/filepath"
	"sync"

	"panelwright/pipeline"
)

// Shared is what builds of one call have in common: what their stages do with Env.Once is done for the first of them and
// kept for the others, boards that were read above all. It may be used by several builds at once. What it holds is as
// the files were when they were first read; a new pass takes a new one.
type Shared struct {
	mu     sync.Mutex
	pieces map[string]*piece
	most   int64 // input bytes of what is kept
	held   int64
	clock  int64
}

// NewShared keeps what was made of up to most bytes of input; what was used least lately goes first.
func NewShared(most int64) *Shared { return &Shared{pieces: map[string]*piece{}, most: most} }

// piece is one result.
type piece struct {
	mu    sync.Mutex // held while it is made
	done  bool
	value any
	base  string // the folder that names are relative to
	files *Files // what was read for it

	bytes int64 // of the files; with used and waiting, under the mutex of Shared
	used  int64
	users int
}

// once gives what work gives. Whoever waits for another build's work gets its result; where that failed, does the work
// itself, so that errors name its own files.
func (s *Shared) once(ctx context.Context, f *Files, key string, work func(pipeline.Files) (any, error)) (any, error) {
	p := s.take(key)
	defer s.leave(key, p)
	p.mu.Lock()
	defer p.mu.Unlock()
	if err := ctx.Err(); err != nil {
		return nil, err
	}
	if !p.done {
		files := NewFiles(ctx, f.base, "")
		value, err := work(files)
		adopted := f.adopt(files, f.base) // what was read counts for a build that fails on it, too
		if err != nil {
			if files.broken != nil {
				f.fail(files.broken)
			}
			return nil, err
		}
		if adopted != nil {
			return nil, adopted
		}
		p.value, p.base, p.files, p.done = value, f.base, files, true
		return value, nil
	}
	if err := f.adopt(p.files, p.base); err != nil {
		return nil, err
	}
	return p.value, nil
}

func (s *Shared) take(key string) *piece {
	s.mu.Lock()
	defer s.mu.Unlock()
	p := s.pieces[key]
	if p == nil {
		p = &piece{}
		s.pieces[key] = p
	}
	s.clock++
	p.used = s.clock
	p.users++
	return p
}

// leave counts what a piece holds, and lets go of what is too much.
func (s *Shared) leave(key string, p *piece) {
	s.mu.Lock()
	defer s.mu.Unlock()
	p.users--
	if p.bytes == 0 && p.done && s.pieces[key] == p {
		for _, in := range p.files.Inputs() {
			p.bytes += in.Bytes
		}
		s.held += p.bytes
	}
	for s.held > s.most {
		oldest := ""
		for k, x := range s.pieces {
			if x.users == 0 && x.bytes > 0 && (oldest == "" || x.used < s.pieces[oldest].used) {
				oldest = k
			}
		}
		if oldest == "" {
			return
		}
		s.held -= s.pieces[oldest].bytes
		delete(s.pieces, oldest)
	}
}

// adopt records what other has read and asked, by names relative to base, as this build's own.
func (f *Files) adopt(other *Files, base string) error {
	other.mu.Lock()
	defer other.mu.Unlock()
	move := func(name string) (string, error) {
		if base == f.base {
			return name, nil
		}
		rel, err := filepath.Rel(f.base, filepath.Join(base, filepath.FromSlash(name)))
		if err != nil {
			return "", errors.New(name + ": lies on another drive than the recipe")
		}
		return filepath.ToSlash(rel), nil
	}
	for q, answer := range other.asked {
		var err error
		switch q.what {
		case AskedFile:
			q.name, err = move(q.name)
		case AskedList:
			if !filepath.IsAbs(q.in) {
				q.in, err = move(q.in)
			}
		}
		if err != nil {
			return err
		}
		f.note(q, answer)
	}
	f.mu.Lock()
	defer f.mu.Unlock()
	for name, sum := range other.inputs {
		stamp := other.stamps[name]
		name, err := move(name)
		if err != nil {
			return err
		}
		if _, err := f.name(filepath.Join(f.base, filepath.FromSlash(name))); err != nil {
			return err
		}
		sum.Name = name
		if old, ok := f.inputs[name]; ok && old != sum {
			return fmt.Errorf("%s: changed while the build was reading it; build again", name)
		}
		f.inputs[name], f.stamps[name] = sum, stamp
	}
	return nil
}
