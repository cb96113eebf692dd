package run

import (
	"bufio"
	"crypto/sha256"
	"encoding/hex"
	"errors"
	"fmt"
	"hash"
	"io"
	"io/fs"
	"os"
	"path"
	"path/filepath"
	"slices"
	"strings"
	"unicode"
)

// What the runner itself writes at the end of a build.
const (
	manifestName = "manifest.json"
	panelName    = "panel.json"
	logName      = "build.log"
	findingsName = "report/findings.json"
	sarifName    = "report/findings.sarif"
	junitName    = "report/junit.xml"
)

// output is one file of the build folder.
type output struct {
	sum  FileSum
	done bool     // Close returned nil
	file *os.File // open until then
}

// CleanName tells whether name may be a file of a build folder on every system: relative, with
// slashes, within the folder, no part hidden or reserved.
func CleanName(name string) error {
	outside := name == "" || path.IsAbs(name) || filepath.VolumeName(name) != "" ||
		len(name) > 1 && name[1] == ':' || slices.Contains(strings.FieldsFunc(name, func(r rune) bool { return r == '/' || r == '\\' }), "..")
	switch {
	case outside:
		return fmt.Errorf("output %q: a build writes inside its build folder only; give a name relative to it, without \"..\"", name)
	case !fs.ValidPath(name) || name == ".":
		return fmt.Errorf("output %q: is not a plain relative name such as fab/outline.gbr", name)
	case len(name) > 240:
		return fmt.Errorf("output %q: the name is longer than 240 bytes", name[:60]+"...")
	}
	for part := range strings.SplitSeq(name, "/") {
		if err := cleanPart(part); err != nil {
			return fmt.Errorf("output %q: %w", name, err)
		}
	}
	return nil
}

// cleanPart refuses what some system cannot hold as one part of a path.
func cleanPart(part string) error {
	stem, _, _ := strings.Cut(strings.ToLower(part), ".")
	reserved := stem == "con" || stem == "prn" || stem == "aux" || stem == "nul" ||
		len(stem) == 4 && (strings.HasPrefix(stem, "com") || strings.HasPrefix(stem, "lpt")) && stem[3] >= '1' && stem[3] <= '9'
	switch {
	case strings.HasPrefix(part, "."):
		return errors.New("no part of a name begins with a dot")
	case strings.HasSuffix(part, "."), strings.HasSuffix(part, " "):
		return errors.New("no part of a name ends with a dot or a space")
	case strings.ContainsAny(part, `\<>:"|?*`), strings.ContainsFunc(part, unicode.IsControl):
		return errors.New(`no part of a name holds control characters or any of \ < > : " | ? *`)
	case reserved:
		return fmt.Errorf("%q is a device on some systems", part)
	}
	return nil
}

// claim takes the name for a new output. Names that differ in case only are one name, for on some
// systems they are one file. f.mu is held.
func (f *Files) claim(name string) error {
	if err := CleanName(name); err != nil {
		return err
	}
	lower := strings.ToLower(name)
	for _, r := range []string{manifestName, panelName, logName, findingsName, sarifName, junitName} {
		if lower == r || strings.HasPrefix(lower, r+"/") {
			return fmt.Errorf("output %q: the build itself writes %s", name, r)
		}
	}
	return f.take(name)
}

func (f *Files) take(name string) error { return f.names.Take(name) }

// Names are the names of a build folder's files, each one that some system would take for another refused: in lower case, with
// how they were written first; folders end in a slash.
type Names map[string]string

// Take adds a name of the form that CleanName wants.
func (n Names) Take(name string) error {
	lower := strings.ToLower(name)
	if old, ok := n[lower]; ok {
		if strings.HasSuffix(old, "/") {
			return fmt.Errorf("output %q: a folder of that name was made before", name)
		}
		return fmt.Errorf("output %q: was made before in this build, as %q", name, old)
	}
	for d := path.Dir(name); d != "."; d = path.Dir(d) {
		switch old, ok := n[strings.ToLower(d)]; {
		case ok && !strings.HasSuffix(old, "/"):
			return fmt.Errorf("output %q: %q was made before, as a file", name, d)
		case ok && old != d+"/":
			return fmt.Errorf("output %q: the folder was made before as %q; use one spelling", name, old)
		}
		n[strings.ToLower(d)] = d + "/"
	}
	n[lower] = name
	return nil
}

// Create makes a file in the build folder.
func (f *Files) Create(name string) (io.WriteCloser, error) {
	f.mu.Lock()
	err := f.claim(name)
	f.mu.Unlock()
	if err != nil {
		return nil, err
	}
	return f.create(name)
}

func (f *Files) create(name string) (*writer, error) {
	if f.stage == "" {
		return nil, fmt.Errorf("output %q: only stages of the role write may make files", name)
	}
	o := &output{sum: FileSum{Name: name}}
	f.mu.Lock()
	f.outputs[name] = o
	f.mu.Unlock()
	full := filepath.Join(f.stage, filepath.FromSlash(name))
	if err := os.MkdirAll(filepath.Dir(full), 0o755); err != nil {
		return nil, f.fail(machine("%s: cannot be written: %w", name, bare(err)))
	}
	file, err := os.OpenFile(full, os.O_CREATE|os.O_EXCL|os.O_WRONLY, 0o644)
	if err != nil {
		return nil, f.fail(machine("%s: cannot be written: %w", name, bare(err)))
	}
	f.mu.Lock()
	o.file = file
	f.mu.Unlock()
	w := &writer{f: f, o: o, file: file, hash: sha256.New()}
	w.buf = bufio.NewWriterSize(w.hashed(), 64<<10)
	return w, nil
}

// writer is an output being written.
type writer struct {
	f      *Files
	o      *output
	file   *os.File
	hash   hash.Hash
	buf    *bufio.Writer
	bytes  int64
	err    error
	closed bool
}

func (w *writer) hashed() io.Writer { return io.MultiWriter(w.file, w.hash) }

// Write adds to the file. After an error nothing more is written, and Close returns that error.
func (w *writer) Write(p []byte) (int, error) {
	switch {
	case w.closed:
		return 0, fmt.Errorf("output %q: is closed", w.o.sum.Name)
	case w.err == nil && w.f.ctx.Err() != nil:
		w.err = w.f.ctx.Err()
	}
	if w.err != nil {
		return 0, w.err
	}
	n, err := w.buf.Write(p)
	w.bytes += int64(n)
	w.note(err)
	return n, w.err
}

func (w *writer) note(err error) {
	if err != nil && w.err == nil {
		w.err = w.f.fail(machine("%s: cannot be written: %w", w.o.sum.Name, bare(err)))
	}
}

// Close completes the file. Its way to the disk is followed up in the background and awaited before
// the build is exchanged, so that many small files do not wait for the disk one after another.
func (w *writer) Close() error {
	if w.closed {
		return w.err
	}
	w.closed = true
	faultPoint("half of " + w.o.sum.Name)
	if w.err == nil {
		w.note(w.buf.Flush())
	}
	if w.err != nil {
		w.file.Close()
		return w.err
	}
	w.f.mu.Lock()
	w.o.sum.SHA256 = hex.EncodeToString(w.hash.Sum(nil))
	w.o.sum.Bytes = w.bytes
	w.o.done = true
	w.f.mu.Unlock()
	w.f.syncs.Add(1)
	w.f.slots <- struct{}{}
	go func() {
		defer w.f.syncs.Done()
		defer func() { <-w.f.slots }()
		err := w.file.Sync()
		if e := w.file.Close(); err == nil {
			err = e
		}
		if err != nil {
			w.f.fail(machine("%s: cannot be written: %w", w.o.sum.Name, bare(err)))
		}
	}()
	faultPoint("written " + w.o.sum.Name)
	return nil
}

// ReadBack gives the bytes of a finished output, and holds them against what was written.
func (f *Files) ReadBack(name string) ([]byte, error) {
	f.mu.Lock()
	o := f.outputs[name]
	var sum FileSum
	done := false
	if o != nil {
		sum, done = o.sum, o.done
	}
	f.mu.Unlock()
	switch {
	case o == nil:
		return nil, fmt.Errorf("output %q: was not made in this build", name)
	case !done:
		return nil, fmt.Errorf("output %q: is not finished", name)
	}
	data, err := os.ReadFile(filepath.Join(f.stage, filepath.FromSlash(name)))
	if err != nil {
		return nil, f.fail(machine("%s: cannot be read back: %w", name, bare(err)))
	}
	if int64(len(data)) != sum.Bytes || sumOf(data) != sum.SHA256 {
		return nil, f.fail(machine("%s: reads back other than it was written; the disk is not to be trusted", name))
	}
	return data, nil
}

// write makes one of the runner's own files.
func (f *Files) write(name string, data []byte) error {
	f.mu.Lock()
	err := f.take(name)
	f.mu.Unlock()
	if err != nil {
		return err
	}
	w, err := f.create(name)
	if err != nil {
		return err
	}
	if _, err := w.Write(data); err != nil {
		w.Close()
		return err
	}
	return w.Close()
}

// Outputs gives what has been made so far, sorted by name.
func (f *Files) Outputs() []FileSum {
	f.mu.Lock()
	defer f.mu.Unlock()
	return sortedSums(f.outputs, func(o *output) FileSum { return o.sum })
}

// unfinished names an output that was created and never closed, empty when there is none.
func (f *Files) unfinished() string {
	f.mu.Lock()
	defer f.mu.Unlock()
	var names []string
	for name, o := range f.outputs {
		if !o.done {
			names = append(names, name)
		}
	}
	slices.Sort(names)
	if len(names) == 0 {
		return ""
	}
	return names[0]
}

// reset removes every output, so that a build can write them anew.
func (f *Files) reset() error {
	f.syncs.Wait()
	f.mu.Lock()
	defer f.mu.Unlock()
	if f.broken != nil {
		return f.broken
	}
	entries, err := os.ReadDir(f.stage)
	for _, e := range entries {
		if err == nil {
			err = os.RemoveAll(filepath.Join(f.stage, e.Name()))
		}
	}
	if err != nil {
		f.broken = machine("the new build cannot be written anew: %w", bare(err))
		return f.broken
	}
	clear(f.outputs)
	clear(f.names)
	f.archives = nil
	return nil
}

// settle waits until every output is on the disk.
func (f *Files) settle() error {
	f.syncs.Wait()
	f.mu.Lock()
	defer f.mu.Unlock()
	return f.broken
}

// abandon closes what a failed build left open, so that the folder can be removed on every system.
func (f *Files) abandon() {
	f.syncs.Wait()
	f.mu.Lock()
	defer f.mu.Unlock()
	for _, o := range f.outputs {
		if !o.done && o.file != nil {
			o.file.Close()
		}
	}
}
