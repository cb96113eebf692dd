package store

import (
	"cmp"
	"context"
	"crypto/sha256"
	"errors"
	"fmt"
	"io"
	"path"
	"slices"
	"strings"
	"sync/atomic"
	"time"

	"gocloud.dev/blob"
	"gocloud.dev/gcerrors"

	"panelwright/pipeline"
	"panelwright/pipeline/run"
)

// Store is a store of finished builds. It may be used by several goroutines.
type Store struct {
	bucket          *blob.Bucket
	shown           string
	patience, pause time.Duration
	unread          atomic.Pointer[UnreachableError] // why nothing is read any more
	unwritten       atomic.Pointer[UnreachableError] // why nothing is written any more
}

// New keeps builds in a bucket. Shown is how messages name it.
func New(bucket *blob.Bucket, shown string) *Store {
	return &Store{bucket: bucket, shown: shown, patience: patience, pause: pause}
}

// Open opens a bucket, and sees whether it is there. Shown is how messages name it. Errors: *UnreachableError where nothing answers; others
// are for the user to mend.
func Open(ctx context.Context, shown string, open func(context.Context) (*blob.Bucket, error)) (*Store, error) {
	bucket, err := within(ctx, patience, func(ctx context.Context) (*blob.Bucket, error) {
		bucket, err := open(ctx)
		if err != nil {
			return nil, err
		}
		there, err := bucket.IsAccessible(ctx)
		if err == nil && !there {
			err = errors.New("it is not there")
		}
		if err != nil {
			bucket.Close()
			return nil, err
		}
		return bucket, nil
	})
	var waiting interface{ Timeout() bool } // of package net, too
	switch {
	case err == nil:
		return New(bucket, shown), nil
	case ctx.Err() != nil:
		return nil, ctx.Err()
	case errors.As(err, &waiting):
		return nil, &UnreachableError{Store: shown, Verb: "read", Err: plainError(err)}
	}
	return nil, fmt.Errorf("the store %s cannot be opened: %w", shown, plainError(err))
}

// Close lets go of the bucket.
func (s *Store) Close() error { return s.bucket.Close() }

// at names an object in messages.
func (s *Store) at(object string) string { return strings.TrimSuffix(s.shown, "/") + "/" + object }

func (s *Store) damaged(object, problem string) error {
	return &DamagedError{Object: s.at(object), Problem: problem}
}

// mostCandidates is how many builds of a recipe are looked at: the latest.
const mostCandidates = 32

// Candidates gives the builds that are kept of a recipe by its key, the latest first; the caller sees which of them fits. With a
// *DamagedError there are those that are not damaged, too. Other errors: *UnreachableError, or that of ctx.
func (s *Store) Candidates(ctx context.Context, recipeKey string) ([]Entry, error) {
	if err := checkKey(recipeKey); err != nil {
		return nil, err
	}
	names, err := exchange(ctx, s.reading(), buildsOf(recipeKey), 0, func(ctx context.Context) ([]string, error) {
		return s.list(ctx, buildsOf(recipeKey))
	})
	if err != nil {
		return nil, s.reading().noBucket(err)
	}
	entries, problems := make([]*Entry, len(names)), make([]error, len(names))
	err = pipeline.Each(ctx, 8, len(names), func(i int) error {
		entries[i], problems[i] = s.entry(ctx, recipeKey, names[i])
		return nil
	})
	if err != nil {
		return nil, err
	}
	var found []Entry
	var first *DamagedError
	for i, e := range entries {
		var d *DamagedError
		switch {
		case e != nil:
			found = append(found, *e)
		case problems[i] == nil: // it has gone meanwhile
		case !errors.As(problems[i], &d):
			return nil, problems[i]
		case first == nil:
			first = d
		default:
			first.Others++
		}
	}
	if first != nil {
		return found, first
	}
	return found, nil
}

// list gives the names of the latest entries, the latest first.
func (s *Store) list(ctx context.Context, prefix string) (names []string, err error) {
	for range 20 {
		// fileblob stumbles over files that go while it lists a folder, as those that others are writing do.
		if names, err = s.listOnce(ctx, prefix); gcerrors.Code(err) != gcerrors.NotFound {
			break
		}
	}
	return names, err
}

func (s *Store) listOnce(ctx context.Context, prefix string) ([]string, error) {
	var all []*blob.ListObject
	for it := s.bucket.List(&blob.ListOptions{Prefix: prefix}); ; {
		o, err := it.Next(ctx)
		if err == io.EOF {
			break
		}
		if err != nil {
			return nil, err
		}
		if name, ok := strings.CutSuffix(path.Base(o.Key), ".json"); ok && isKey(name) { // a writer that was killed may have left others
			all = append(all, o)
		}
	}
	slices.SortFunc(all, func(a, b *blob.ListObject) int {
		return cmp.Or(b.ModTime.Compare(a.ModTime), cmp.Compare(a.Key, b.Key))
	})
	var names []string
	for _, o := range all[:min(len(all), mostCandidates)] {
		names = append(names, o.Key)
	}
	return names, nil
}

// entry reads an entry; it gives none where it is not there.
func (s *Store) entry(ctx context.Context, recipeKey, name string) (*Entry, error) {
	return exchange(ctx, s.reading(), name, 0, func(ctx context.Context) (*Entry, error) {
		r, err := s.bucket.NewReader(ctx, name, nil)
		if gcerrors.Code(err) == gcerrors.NotFound {
			return nil, nil
		}
		if err != nil {
			return nil, err
		}
		defer r.Close()
		if r.Size() > mostEntry {
			return nil, s.damaged(name, "is too long for an entry")
		}
		data, err := io.ReadAll(io.LimitReader(r, mostEntry))
		if err != nil {
			return nil, err
		}
		e, err := decode(data, recipeKey, name)
		if err != nil {
			return nil, s.damaged(name, err.Error())
		}
		return &e, nil
	})
}

// Fetch writes a kept build into the folder dir, which is empty, and checks all of it against its entry; run.Take does so once
// more. After an error dir may hold a part. Errors: *DamagedError, *UnreachableError, *run.MachineError, that of ctx.
func (s *Store) Fetch(ctx context.Context, recipeKey string, e Entry, dir string) error {
	if err := checkKey(recipeKey); err != nil {
		return err
	}
	if !isKey(e.Archive) {
		return s.damaged(e.name(recipeKey), "does not say which archive it is for")
	}
	name := archiveName(e.Archive)
	_, err := exchange(ctx, s.reading(), name, e.Bytes, func(ctx context.Context) (none struct{}, err error) {
		if err := clearFolder(dir); err != nil { // of what an attempt that failed has left
			return none, &run.MachineError{Err: err}
		}
		r, err := s.bucket.NewReader(ctx, name, nil)
		if err != nil {
			return none, err
		}
		defer r.Close()
		if r.Size() != e.Bytes {
			return none, s.damaged(name, fmt.Sprintf("has %d bytes, and its entry says %d", r.Size(), e.Bytes))
		}
		err = unpack(ctx, r, e, dir)
		if problem := (*badArchive)(nil); errors.As(err, &problem) {
			return none, s.damaged(name, problem.problem)
		}
		return none, err
	})
	return err
}

// Put keeps the build folder dir, which is what the build of the entry has written. It is kept whole or not at all. To put it
// again does no harm, and mends what is damaged. Errors: *UnreachableError, that of ctx, and others where the folder is no such build.
func (s *Store) Put(ctx context.Context, recipeKey string, e Entry, dir string) error {
	if err := checkKey(recipeKey); err != nil {
		return err
	}
	if err := s.writing().given(); err != nil {
		return err
	}
	f, err := openFolder(dir, e)
	if err != nil {
		return err
	}
	defer f.close()
	// Packed once to know its name, and once more to be sent: that takes less than to write it down in between.
	first := &counted{hash: sha256.New()}
	if err := f.pack(ctx, first); err != nil {
		return err
	}
	e.Archive, e.Bytes = hexSum(first.hash), first.bytes
	if err := s.write(ctx, archiveName(e.Archive), e.Bytes, func(ctx context.Context, w io.Writer) error {
		second, out := &counted{hash: sha256.New()}, &faithful{w: w}
		err := f.pack(ctx, io.MultiWriter(second, out))
		switch {
		case out.err != nil:
			return out.err
		case err != nil:
			return &localError{err}
		case hexSum(second.hash) != e.Archive:
			return &localError{errors.New("the build has changed while it was being kept")}
		}
		return nil
	}); err != nil {
		return err
	}
	text, err := e.encode(recipeKey)
	if err != nil {
		return err
	}
	return s.write(ctx, e.name(recipeKey), int64(len(text)), func(_ context.Context, w io.Writer) error {
		_, err := w.Write(text)
		return err
	})
}

// write writes an object, whole or not at all.
func (s *Store) write(ctx context.Context, name string, bytes int64, fill func(context.Context, io.Writer) error) error {
	_, err := exchange(ctx, s.writing(), name, bytes, func(ctx context.Context) (none struct{}, err error) {
		ctx, cancel := context.WithCancel(ctx)
		defer cancel()
		kind := "application/gzip"
		if strings.HasSuffix(name, ".json") {
			kind = "application/json"
		}
		w, err := s.bucket.NewWriter(ctx, name, &blob.WriterOptions{ContentType: kind})
		if err != nil {
			return none, err
		}
		if err := fill(ctx, w); err != nil {
			cancel() // drops what has been written
			w.Close()
			return none, err
		}
		return none, w.Close()
	})
	return s.writing().noBucket(err)
}
