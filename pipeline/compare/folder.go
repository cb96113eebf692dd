package compare

import (
	"context"
	"crypto/sha256"
	"encoding/hex"
	"errors"
	"fmt"
	"io"
	"io/fs"
	"os"
	"path/filepath"
	"slices"
	"strings"

	"panelwright/pipeline/run"
)

// Bounds on what is read of a folder, far beyond what builds hold.
const (
	mostFiles = 20_000
	mostBytes = 2 << 30   // of one file
	mostText  = 256 << 20 // of panel.json, manifest.json and findings.json
)

const (
	manifestName = "manifest.json"
	panelName    = "panel.json"
	logName      = "build.log"
	findingsName = "report/findings.json"
)

// file is one file of a build folder.
type file struct {
	name  string // with slashes
	plain string // without the panel's name, so that builds of panels with other names can be held against each other
	sum   string
	bytes int64
}

// build is a finished build folder.
type build struct {
	dir      string
	shown    string // the folder as the user named it
	root     *os.Root
	manifest run.Manifest
	files    []file
	byPlain  map[string]*file
	panel    *data
	findings *findingsDoc // nil where the build has none
}

// open reads a build folder's manifest, panel and findings, and hashes its files. Nothing outside the folder is
// read: links that lead out of it are refused.
func open(ctx context.Context, dir string) (*build, error) {
	b := &build{dir: dir, shown: filepath.ToSlash(filepath.Clean(dir)), byPlain: map[string]*file{}}
	info, err := os.Stat(dir)
	switch {
	case err != nil:
		return nil, b.trouble("", err)
	case !info.IsDir():
		return nil, fmt.Errorf("%s: is a file, not a build folder\n    name the folder that holds %s", b.shown, manifestName)
	}
	if b.root, err = os.OpenRoot(dir); err != nil {
		return nil, b.trouble("", err)
	}
	if err := b.readManifest(); err != nil {
		b.close()
		return nil, err
	}
	if err := b.readFolder(ctx); err != nil {
		b.close()
		return nil, err
	}
	return b, nil
}

func (b *build) close() { b.root.Close() }

// reopen opens the folder again after close.
func (b *build) reopen() error {
	root, err := os.OpenRoot(b.dir)
	if err != nil {
		return b.trouble("", err)
	}
	b.root = root
	return nil
}

func (b *build) readFolder(ctx context.Context) error {
	if err := b.list(ctx); err != nil {
		return err
	}
	text, err := b.read(panelName, mostText)
	if errors.Is(err, fs.ErrNotExist) {
		return fmt.Errorf("%s: %s is missing: there is nothing to compare\n    build the panel again", b.shown, panelName)
	} else if err != nil {
		return err
	}
	if b.panel, err = readPanel(text); err != nil {
		return b.damaged(panelName, err)
	}
	text, err = b.read(findingsName, mostText)
	if errors.Is(err, fs.ErrNotExist) {
		return nil
	} else if err != nil {
		return err
	}
	if b.findings, err = readFindings(text); err != nil {
		return b.damaged(findingsName, err)
	}
	return nil
}

func (b *build) damaged(name string, err error) error {
	return fmt.Errorf("%s/%s: is damaged: %w\n    build the panel again, or take the folder from where it was kept", b.shown, name, err)
}

// trouble words a failure to read: what is not there is the user's to mend, the rest the machine's.
func (b *build) trouble(name string, err error) error {
	at := b.shown
	if name != "" {
		at += "/" + name
	}
	var p *fs.PathError
	bare := err
	if errors.As(err, &p) {
		bare = p.Err
	}
	if errors.Is(err, fs.ErrNotExist) {
		return fmt.Errorf("%s: there is no such folder", at)
	}
	return &run.MachineError{Err: fmt.Errorf("%s: cannot be read: %w", at, bare)}
}

func (b *build) readManifest() error {
	text, err := b.read(manifestName, mostText)
	if errors.Is(err, fs.ErrNotExist) {
		if whom := b.suppliers(); len(whom) > 0 {
			return fmt.Errorf("%s: holds builds for %s\n    name one of them, such as %s/%s", b.shown, strings.Join(whom, ", "), b.shown, whom[0])
		}
		return fmt.Errorf("%s: is not a finished build: there is no %s in it\n    name a folder that \"build\" has written, such as build/gauge-12up", b.shown, manifestName)
	} else if err != nil {
		return err
	}
	if err := unmarshal(text, &b.manifest); err != nil {
		return b.damaged(manifestName, err)
	}
	m := b.manifest
	if m.Schema < 1 || m.Panel == "" || m.Tool.Name == "" {
		return b.damaged(manifestName, errors.New("it names no panel, or no program that wrote it"))
	}
	return nil
}

// suppliers lists the folders within that are builds for a supplier.
func (b *build) suppliers() (whom []string) {
	entries, err := fs.ReadDir(b.root.FS(), ".")
	if err != nil {
		return nil
	}
	for _, e := range entries {
		text, err := b.read(e.Name()+"/"+manifestName, mostText)
		var m run.Manifest
		if err == nil && unmarshal(text, &m) == nil && m.Supplier == e.Name() {
			whom = append(whom, e.Name())
		}
	}
	return whom
}

// list hashes every file of the folder.
func (b *build) list(ctx context.Context) error {
	err := fs.WalkDir(b.root.FS(), ".", func(name string, e fs.DirEntry, err error) error {
		if err != nil {
			return b.trouble(name, err)
		}
		if err := ctx.Err(); err != nil {
			return err
		}
		if e.IsDir() {
			return nil
		}
		if !e.Type().IsRegular() {
			return fmt.Errorf("%s/%s: is not a plain file\n    a build folder holds plain files only: take the folder as it was built", b.shown, name)
		}
		if len(b.files) == mostFiles {
			return fmt.Errorf("%s: holds more than %d files, which is no build folder", b.shown, mostFiles)
		}
		f := file{name: name, plain: b.plain(name)}
		if f.sum, f.bytes, err = b.hash(name); err != nil {
			return err
		}
		b.files = append(b.files, f)
		return nil
	})
	if err != nil {
		return err
	}
	slices.SortFunc(b.files, func(x, y file) int { return strings.Compare(x.name, y.name) })
	for i := range b.files {
		b.byPlain[b.files[i].plain] = &b.files[i]
	}
	return nil
}

// plain takes the panel's name out of a file's.
func (b *build) plain(name string) string {
	dir, base := "", name
	if i := strings.LastIndexByte(name, '/'); i >= 0 {
		dir, base = name[:i+1], name[i+1:]
	}
	if rest, ok := strings.CutPrefix(base, b.manifest.Panel+"-"); ok {
		return dir + "*-" + rest
	}
	return name
}

func (b *build) hash(name string) (string, int64, error) {
	f, err := b.root.Open(filepath.FromSlash(name))
	if err != nil {
		return "", 0, b.trouble(name, err)
	}
	defer f.Close()
	h := sha256.New()
	n, err := io.Copy(h, io.LimitReader(f, mostBytes+1))
	if err != nil {
		return "", 0, b.trouble(name, err)
	}
	if n > mostBytes {
		return "", 0, fmt.Errorf("%s/%s: is larger than %d GiB, which no build writes", b.shown, name, mostBytes>>30)
	}
	return hex.EncodeToString(h.Sum(nil)), n, nil
}

// read gives a file's content. That it is not there is fs.ErrNotExist.
func (b *build) read(name string, most int64) ([]byte, error) {
	info, err := b.root.Stat(filepath.FromSlash(name)) // before it is opened, which a pipe would hold up for ever
	if err == nil && !info.Mode().IsRegular() {
		return nil, fmt.Errorf("%s/%s: is not a plain file", b.shown, name)
	}
	var f *os.File
	if err == nil {
		f, err = b.root.Open(filepath.FromSlash(name))
	}
	if errors.Is(err, fs.ErrNotExist) {
		return nil, fs.ErrNotExist
	} else if err != nil {
		return nil, b.trouble(name, err)
	}
	defer f.Close()
	text, err := io.ReadAll(io.LimitReader(f, most+1))
	if err != nil {
		return nil, b.trouble(name, err)
	}
	if int64(len(text)) > most {
		return nil, fmt.Errorf("%s/%s: is larger than %d MiB, which no build writes", b.shown, name, most>>20)
	}
	return text, nil
}
