package run

import (
	"bytes"
	"cmp"
	"context"
	"errors"
	"fmt"
	"io"
	"io/fs"
	"os"
	"path"
	"path/filepath"
	"slices"
	"strings"

	"github.com/bmatcuk/doublestar/v4"

	"panelwright/pipeline"
)

// Bounds on inputs, so that a mistaken path ends in an error and not in a full memory.
const (
	MaxInput   = 256 << 20 // bytes of one input file
	maxEntries = 100_000   // files and folders looked at for one path of a recipe
	maxDepth   = 64        // folders within folders
)

// name gives the name under which the file at abs is recorded.
func (f *Files) name(abs string) (string, error) {
	rel, err := filepath.Rel(f.base, abs)
	if err != nil {
		return "", fmt.Errorf("%s: lies on another drive than the recipe", filepath.Base(abs))
	}
	for _, own := range f.own {
		if inside(own, abs) {
			return "", fmt.Errorf("%s: lies in the build folder that this build replaces; inputs belong elsewhere", filepath.ToSlash(rel))
		}
	}
	return filepath.ToSlash(rel), nil
}

func inside(dir, file string) bool {
	rel, err := filepath.Rel(dir, file)
	return err == nil && rel != ".." && !strings.HasPrefix(rel, ".."+string(filepath.Separator))
}

// List gives the files that p means: itself, those in a folder and its subfolders, or what a glob
// matches. Names that begin with a dot are passed over unless p names the file itself.
func (f *Files) List(ctx context.Context, p pipeline.InPath) ([]pipeline.InPath, error) {
	found, err := f.list(ctx, p)
	f.noteList(p, found)
	return found, err
}

func (f *Files) list(ctx context.Context, p pipeline.InPath) ([]pipeline.InPath, error) {
	abs, err := PlaceOf(f.base, p)
	if err != nil {
		return nil, err
	}
	w := &lister{f: f, ctx: ctx, dir: p.Dir}
	info, err := os.Stat(abs)
	glob := MayBeGlob(p)
	switch {
	case err == nil && info.IsDir():
		err = w.folder(abs, p.Text, 0)
	case err == nil:
		err = w.file(abs, p.Text, info)
	case glob:
		err = w.glob(p)
	default:
		err = inputError(p.Text, err)
	}
	if m := (*MachineError)(nil); errors.As(err, &m) {
		f.fail(err)
	}
	if err != nil {
		return nil, err
	}
	if len(w.found) == 0 {
		if glob {
			return nil, fmt.Errorf("%s: matches no file", p.Text)
		}
		return nil, fmt.Errorf("%s: the folder holds no files", p.Text)
	}
	slices.SortFunc(w.found, func(a, b pipeline.InPath) int { return cmp.Compare(a.Text, b.Text) })
	return w.found, nil
}

// lister collects the files of one path of a recipe.
type lister struct {
	f     *Files
	ctx   context.Context
	dir   string
	seen  int
	found []pipeline.InPath
}

// count bounds the walk and lets Ctrl-C end it.
func (w *lister) count(text string, n int) error {
	if err := w.ctx.Err(); err != nil {
		return err
	}
	if w.seen += n; w.seen > maxEntries {
		return fmt.Errorf("%s: means more than %d files and folders; name a narrower folder", text, maxEntries)
	}
	return nil
}

func (w *lister) file(abs, text string, info fs.FileInfo) error {
	if !info.Mode().IsRegular() {
		return fmt.Errorf("%s: is not an ordinary file", text)
	}
	if _, err := w.f.name(abs); err != nil {
		return err
	}
	w.found = append(w.found, pipeline.InPath{Text: text, Dir: w.dir})
	return nil
}

// folder walks a folder. A link to a file counts as the file; a link to a folder is refused, for
// following it could go round for ever and passing it over would drop files in silence.
func (w *lister) folder(abs, text string, depth int) error {
	if depth > maxDepth {
		return fmt.Errorf("%s: folders lie more than %d deep", text, maxDepth)
	}
	entries, err := os.ReadDir(abs)
	if err != nil {
		return inputError(text, err)
	}
	if err := w.count(text, len(entries)); err != nil {
		return err
	}
	for _, e := range entries {
		if Hidden(e.Name()) {
			continue
		}
		at, name := filepath.Join(abs, e.Name()), path.Join(text, e.Name())
		if e.IsDir() {
			if err := w.folder(at, name, depth+1); err != nil {
				return err
			}
			continue
		}
		info, err := os.Stat(at)
		switch {
		case err != nil && e.Type()&fs.ModeSymlink != 0:
			return fmt.Errorf("%s: is a link that leads nowhere", name)
		case err != nil:
			return inputError(name, err)
		case info.IsDir():
			return fmt.Errorf("%s: is a link to a folder; name that folder itself", name)
		}
		if err := w.file(at, name, info); err != nil {
			return err
		}
	}
	return nil
}

func (w *lister) glob(p pipeline.InPath) error {
	if !doublestar.ValidatePattern(p.Text) {
		return fmt.Errorf("%s: is not a well-formed glob: a bracket or brace is not closed", p.Text)
	}
	base, pattern := doublestar.SplitPattern(p.Text)
	root, err := PlaceOf(w.f.base, pipeline.InPath{Text: base, Dir: p.Dir})
	if err != nil {
		return err
	}
	if _, err := os.Stat(root); err != nil {
		return inputError(base, err)
	}
	wantsHidden := strings.Contains("/"+pattern, "/.")
	return doublestar.GlobWalk(boundedFS{os.DirFS(root), w, p.Text}, pattern, func(name string, d fs.DirEntry) error {
		if !wantsHidden && slices.ContainsFunc(strings.Split(name, "/"), Hidden) {
			return nil
		}
		abs, text := filepath.Join(root, filepath.FromSlash(name)), path.Join(base, name)
		info, err := os.Stat(abs)
		switch {
		case err != nil && d.Type()&fs.ModeSymlink != 0:
			return fmt.Errorf("%s: is a link that leads nowhere", text)
		case err != nil:
			return inputError(text, err)
		case info.IsDir():
			return nil
		}
		return w.file(abs, text, info)
	}, doublestar.WithFailOnIOErrors(), doublestar.WithNoFollow())
}

// boundedFS counts what a glob looks at, matches or not.
type boundedFS struct {
	fs.FS
	w    *lister
	text string
}

func (b boundedFS) ReadDir(name string) ([]fs.DirEntry, error) {
	entries, err := fs.ReadDir(b.FS, name)
	if err != nil {
		return nil, inputError(path.Join(b.text, name), err)
	}
	return entries, b.w.count(b.text, len(entries))
}

// Read gives a file's bytes and records it among the inputs.
func (f *Files) Read(ctx context.Context, p pipeline.InPath) ([]byte, error) {
	abs, err := PlaceOf(f.base, p)
	if err != nil {
		return nil, err
	}
	name, err := f.name(abs)
	if err != nil {
		return nil, err
	}
	data, stamp, err := readWhole(ctx, abs, p.Text)
	if err != nil {
		f.note(question{what: AskedFile, name: name}, "")
		if m := (*MachineError)(nil); errors.As(err, &m) {
			f.fail(err)
		}
		return nil, err
	}
	sum := FileSum{Name: name, SHA256: sumOf(data), Bytes: int64(len(data))}
	f.note(question{what: AskedFile, name: name}, sum.SHA256)
	f.mu.Lock()
	defer f.mu.Unlock()
	if old, ok := f.inputs[name]; ok && old != sum {
		return nil, fmt.Errorf("%s: changed while the build was reading it; build again", p.Text)
	}
	f.inputs[name], f.stamps[name] = sum, stamp
	return data, nil
}

// readWhole reads a regular file of bounded size. Anything else could block or never end.
func readWhole(ctx context.Context, abs, text string) (data []byte, stamp Stamp, err error) {
	info, err := os.Stat(abs)
	switch {
	case err != nil:
		return nil, stamp, inputError(text, err)
	case info.IsDir():
		return nil, stamp, fmt.Errorf("%s: is a folder, not a file", text)
	case !info.Mode().IsRegular():
		return nil, stamp, fmt.Errorf("%s: is not an ordinary file", text)
	case info.Size() > MaxInput:
		return nil, stamp, tooLarge(text)
	}
	file, err := os.Open(abs)
	if err != nil {
		return nil, stamp, inputError(text, err)
	}
	defer file.Close()
	if info, err = file.Stat(); err != nil {
		return nil, stamp, inputError(text, err)
	}
	stamp = StampOf(info)
	var b bytes.Buffer
	b.Grow(int(info.Size()) + bytes.MinRead)
	for {
		if err := ctx.Err(); err != nil {
			return nil, stamp, err
		}
		_, err := io.CopyN(&b, file, 4<<20)
		if b.Len() > MaxInput {
			return nil, stamp, tooLarge(text)
		}
		if err == io.EOF {
			return b.Bytes(), stamp, nil
		}
		if err != nil {
			return nil, stamp, inputError(text, err)
		}
	}
}

func tooLarge(text string) error {
	return fmt.Errorf("%s: is larger than %d MiB, which no layer or drill file of a board is", text, MaxInput>>20)
}

// Inputs gives what has been read so far, sorted by name.
func (f *Files) Inputs() []FileSum {
	f.mu.Lock()
	defer f.mu.Unlock()
	return sortedSums(f.inputs, func(s FileSum) FileSum { return s })
}

func sortedSums[T any](m map[string]T, sum func(T) FileSum) []FileSum {
	out := make([]FileSum, 0, len(m))
	for _, x := range m {
		out = append(out, sum(x))
	}
	slices.SortFunc(out, func(a, b FileSum) int { return cmp.Compare(a.Name, b.Name) })
	return out
}
