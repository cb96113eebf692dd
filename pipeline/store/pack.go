package store

import (
	"archive/tar"
	"compress/gzip"
	"context"
	"crypto/sha256"
	"encoding/hex"
	"fmt"
	"hash"
	"io"
	"maps"
	"os"
	"path/filepath"
	"slices"

	"panelwright/pipeline/run"
)

// level of compression: see BenchmarkPack.
const level = gzip.BestSpeed

// folder is a build folder that is to be kept.
type folder struct {
	root     *os.Root
	manifest []byte
	files    map[string]run.FileSum
}

// openFolder opens the build folder dir, which must be the entry's.
func openFolder(dir string, e Entry) (*folder, error) {
	root, err := os.OpenRoot(dir)
	if err != nil {
		return nil, err
	}
	f := &folder{root: root}
	if err := f.read(e); err != nil {
		root.Close()
		return nil, fmt.Errorf("%s: %w", filepath.ToSlash(dir), err)
	}
	return f, nil
}

func (f *folder) read(e Entry) error {
	r, err := f.root.Open(run.ManifestName)
	if err != nil {
		return err
	}
	defer r.Close()
	if f.manifest, err = io.ReadAll(io.LimitReader(r, mostManifest+1)); err != nil {
		return err
	}
	if len(f.manifest) > mostManifest || sumOf(f.manifest) != e.Manifest {
		return fmt.Errorf("its %s is not the one that the build has written", run.ManifestName)
	}
	f.files, err = e.outputs(f.manifest)
	return err
}

func (f *folder) close() { f.root.Close() }

// pack writes the folder as an archive: the same folder, the same bytes. Each file must be as the manifest lists it.
func (f *folder) pack(ctx context.Context, w io.Writer) error {
	z, err := gzip.NewWriterLevel(w, level)
	if err != nil {
		return err
	}
	t := tar.NewWriter(z)
	add := func(name string, size int64) error {
		return t.WriteHeader(&tar.Header{Typeflag: tar.TypeReg, Name: name, Size: size, Mode: 0o644})
	}
	if err := add(run.ManifestName, int64(len(f.manifest))); err != nil {
		return err
	}
	if _, err := t.Write(f.manifest); err != nil {
		return err
	}
	for _, name := range slices.Sorted(maps.Keys(f.files)) {
		if err := ctx.Err(); err != nil {
			return err
		}
		o := f.files[name]
		if err := add(name, o.Bytes); err != nil {
			return err
		}
		if err := f.packFile(t, o); err != nil {
			return err
		}
	}
	if err := t.Close(); err != nil {
		return err
	}
	return z.Close()
}

func (f *folder) packFile(w io.Writer, o run.FileSum) error {
	r, err := f.root.Open(filepath.FromSlash(o.Name))
	if err != nil {
		return err
	}
	defer r.Close()
	h := sha256.New()
	if _, err := io.CopyN(io.MultiWriter(w, h), r, o.Bytes); err != nil && err != io.EOF {
		return err
	}
	if more, _ := r.Read(make([]byte, 1)); more > 0 || hexSum(h) != o.SHA256 {
		return fmt.Errorf("%s has changed since it was built", o.Name)
	}
	return nil
}

// counted sums and counts what is written.
type counted struct {
	hash  hash.Hash
	bytes int64
}

func (c *counted) Write(p []byte) (int, error) {
	c.bytes += int64(len(p))
	return c.hash.Write(p)
}

func hexSum(h hash.Hash) string { return hex.EncodeToString(h.Sum(nil)) }

func sumOf(data []byte) string {
	sum := sha256.Sum256(data)
	return hex.EncodeToString(sum[:])
}
