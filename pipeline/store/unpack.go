package store

import (
	"archive/tar"
	"compress/gzip"
	"context"
	"crypto/sha256"
	"errors"
	"fmt"
	"io"
	"os"
	"path"
	"path/filepath"

	"panelwright/pipeline/run"
)

// badArchive is what is wrong with an archive.
type badArchive struct{ problem string }

func (b *badArchive) Error() string { return b.problem }

func bad(format string, a ...any) error { return &badArchive{fmt.Sprintf(format, a...)} }

// source reads an archive from the store, and tells its errors from those of what is made of it.
type source struct {
	ctx  context.Context
	r    io.Reader
	seen counted
	most int64
	err  error // of the store
}

func (s *source) Read(p []byte) (int, error) {
	if s.err = s.ctx.Err(); s.err != nil {
		return 0, s.err
	}
	n, err := s.r.Read(p)
	if s.seen.Write(p[:n]); s.seen.bytes > s.most {
		return 0, bad("is longer than its entry says")
	}
	if err != nil && err != io.EOF {
		s.err = err
	}
	return n, err
}

// unpack writes the archive that r gives into the folder dir, which is empty, and checks it against its entry. Errors: *badArchive;
// *run.MachineError where dir cannot be written; others are the store's.
func unpack(ctx context.Context, r io.Reader, e Entry, dir string) error {
	root, err := os.OpenRoot(dir)
	if err != nil {
		return &run.MachineError{Err: err}
	}
	defer root.Close()
	s := &source{ctx: ctx, r: r, seen: counted{hash: sha256.New()}, most: e.Bytes}
	err = s.unpack(e, root)
	var machine *run.MachineError
	var problem *badArchive
	switch {
	case err == nil:
		return nil
	case s.err != nil:
		return s.err
	case errors.As(err, &machine), errors.As(err, &problem):
		return err
	}
	return bad("is not an archive of a build")
}

func (s *source) unpack(e Entry, root *os.Root) error {
	z, err := gzip.NewReader(s)
	if err != nil {
		return err
	}
	t := tar.NewReader(z)
	files, err := readManifest(t, e, root)
	if err != nil {
		return err
	}
	for {
		h, err := t.Next()
		if err == io.EOF {
			break
		}
		if err != nil {
			return err
		}
		o, ok := files[h.Name]
		if !ok || h.Typeflag != tar.TypeReg || h.Size != o.Bytes {
			return bad("holds %q, which its %s does not list like this", h.Name, run.ManifestName)
		}
		delete(files, h.Name) // so that a second one is refused
		if err := writeFile(root, o.Name, func(w io.Writer) error { return copyFile(w, t, o) }); err != nil {
			return err
		}
	}
	if len(files) > 0 {
		return bad("lacks %d of the files that its %s lists", len(files), run.ManifestName)
	}
	// What follows the end of the files: zeros at most, and not many.
	if n, err := io.CopyN(io.Discard, z, 1<<20); err != io.EOF {
		if n == 1<<20 {
			return bad("goes on after its end")
		}
		return err
	}
	if s.seen.bytes != e.Bytes || hexSum(s.seen.hash) != e.Archive {
		return bad("is not what its entry says")
	}
	return nil
}

// readManifest takes the first file of an archive, and gives what must follow.
func readManifest(t *tar.Reader, e Entry, root *os.Root) (map[string]run.FileSum, error) {
	h, err := t.Next()
	if err != nil {
		return nil, err
	}
	if h.Name != run.ManifestName || h.Typeflag != tar.TypeReg || h.Size > mostManifest {
		return nil, bad("does not begin with %s", run.ManifestName)
	}
	manifest, err := io.ReadAll(t)
	if err != nil {
		return nil, err
	}
	if sumOf(manifest) != e.Manifest {
		return nil, bad("holds another %s than its entry says", run.ManifestName)
	}
	files, err := e.outputs(manifest)
	if err != nil {
		return nil, bad("is wrong: %v", err)
	}
	return files, writeFile(root, run.ManifestName, func(w io.Writer) error {
		_, err := w.Write(manifest)
		return err
	})
}

func copyFile(w io.Writer, r io.Reader, o run.FileSum) error {
	h := sha256.New()
	if _, err := io.Copy(io.MultiWriter(w, h), r); err != nil {
		return err
	}
	if hexSum(h) != o.SHA256 {
		return bad("holds another %s than its %s lists", o.Name, run.ManifestName)
	}
	return nil
}

// writeFile makes a file and the folders that it lies in.
func writeFile(root *os.Root, name string, fill func(io.Writer) error) error {
	at := filepath.FromSlash(name)
	if dir := path.Dir(name); dir != "." {
		if err := root.MkdirAll(filepath.FromSlash(dir), 0o755); err != nil {
			return &run.MachineError{Err: err}
		}
	}
	f, err := root.OpenFile(at, os.O_WRONLY|os.O_CREATE|os.O_EXCL, 0o644)
	if err != nil {
		return &run.MachineError{Err: err}
	}
	w := &faithful{w: f}
	err = fill(w)
	if failed := errors.Join(w.err, f.Close()); failed != nil {
		return &run.MachineError{Err: failed}
	}
	return err
}

// faithful remembers that writing failed, whatever comes of it on the way up.
type faithful struct {
	w   io.Writer
	err error
}

func (f *faithful) Write(p []byte) (int, error) {
	n, err := f.w.Write(p)
	if err != nil {
		f.err = err
	}
	return n, err
}
