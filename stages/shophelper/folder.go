package shophelper

import (
	"context"
	"errors"
	"fmt"
	"io/fs"
	"os"
	"os/exec"
	"path"
	"path/filepath"
	"strings"

	"panelwright/pipeline"
	"panelwright/stages/shophelper/child"
)

// folder is a helper's working folder.
type folder struct {
	dir   string
	files map[string]bool // what was laid out, by name
}

// layOut copies the files into a folder that is empty otherwise.
func (h *ShopHelper) layOut(ctx context.Context, env *pipeline.Env) (*folder, error) {
	dir, err := env.Scratch()
	if err != nil {
		return nil, err
	}
	f := &folder{dir: dir, files: map[string]bool{}}
	if err := f.copyAll(ctx, env, h); err != nil {
		f.clear()
		return nil, err
	}
	return f, nil
}

func (f *folder) copyAll(ctx context.Context, env *pipeline.Env, h *ShopHelper) error {
	from := map[string]string{} // lower case to where it came from
	for _, p := range h.Files {
		list, err := env.Files.List(ctx, p)
		if err != nil {
			return err
		}
		for _, x := range list {
			name := path.Base(x.Text)
			if first, twice := from[strings.ToLower(name)]; twice {
				return fmt.Errorf("files: %s and %s would have one name in the working folder, which knows no folders: rename one of them", first, x.Text)
			}
			from[strings.ToLower(name)] = x.Text
			data, err := env.Files.Read(ctx, x)
			if err != nil {
				return err
			}
			mode := fs.FileMode(0o600)
			if name == h.Command[0] {
				mode = 0o700
			}
			if err := os.WriteFile(filepath.Join(f.dir, name), data, mode); err != nil {
				return fmt.Errorf("%s: cannot be copied into the working folder: %w", x.Text, pipeline.Bare(err))
			}
			f.files[name] = true
		}
	}
	for _, o := range h.Outputs {
		if at, ok := from[strings.ToLower(o)]; ok {
			return fmt.Errorf("outputs: %s is handed to the helper already, by files (%s): give the output another name", o, at)
		}
	}
	return nil
}

// clear removes the folder, with what its owner has closed to itself.
func (f *folder) clear() {
	if os.RemoveAll(f.dir) == nil {
		return
	}
	_ = filepath.WalkDir(f.dir, func(p string, e fs.DirEntry, _ error) error {
		if e != nil && e.IsDir() {
			_ = os.Chmod(p, 0o700)
		}
		return nil
	})
	_ = os.RemoveAll(f.dir) // the runner tries once more
}

// program gives the program to run: one of the files, or one that the system finds.
func (h *ShopHelper) program(env *pipeline.Env, f *folder) (string, error) {
	name := h.Command[0]
	if f.files[name] {
		return filepath.Join(f.dir, name), nil
	}
	found, err := env.Executable(name)
	if err == nil {
		return filepath.Abs(found)
	}
	var e *exec.Error
	if !errors.As(err, &e) {
		return "", err
	}
	return "", fmt.Errorf("command: there is no program %s where the system looks for programs, and none of files is called so\n    install it, or list the shop's own program in files", name)
}

// collect makes outputs of the build of the files that the helper has left.
func (f *folder) collect(env *pipeline.Env, h *ShopHelper) error {
	root, err := os.OpenRoot(f.dir)
	if err != nil {
		return pipeline.Bare(err)
	}
	defer root.Close()
	for _, name := range h.Outputs {
		info, err := root.Lstat(name)
		switch {
		case errors.Is(err, fs.ErrNotExist):
			return fmt.Errorf("%s: has left no file %s\n    it must write that file into its working folder, or outputs must not name it", h.title(), name)
		case err != nil:
			return fmt.Errorf("%s: %s cannot be read: %w", h.title(), name, pipeline.Bare(err))
		case info.Mode()&fs.ModeSymlink != 0:
			return fmt.Errorf("%s: %s is a link\n    it must be an ordinary file, with its content in it", h.title(), name)
		case !info.Mode().IsRegular():
			return fmt.Errorf("%s: %s is not an ordinary file", h.title(), name)
		}
		data, err := root.ReadFile(name)
		if err != nil {
			return fmt.Errorf("%s: %s cannot be read: %w", h.title(), name, pipeline.Bare(err))
		}
		w, err := env.Files.Create("shop/" + h.Name + "/" + name)
		if err != nil {
			return err
		}
		if _, err := w.Write(data); err != nil {
			w.Close()
			return err
		}
		if err := w.Close(); err != nil {
			return err
		}
	}
	return nil
}

// failed words a run that counts for nothing.
func (h *ShopHelper) failed(err error) error {
	var f *child.Failure
	if !errors.As(err, &f) {
		return err
	}
	what, do := "", ""
	switch f.Why {
	case child.NotStarted:
		what, do = "could not be started: "+pipeline.Bare(f.Err).Error(), "what command names must be a program of this system, or a script whose first line says with what to run it: #!/usr/bin/env python3; else name the interpreter first"
		if errors.Is(f.Err, fs.ErrNotExist) {
			do = "its first line, #!…, may ask for an interpreter that is not here: install it, or name another first in command"
		}
	case child.Exited:
		what, do = fmt.Sprintf("ended with exit code %d", f.Code), "mend the helper: it must end with 0, and tell what is wrong with the panel as findings"
		if said := strings.ToLower(f.Said); strings.Contains(said, "memory") {
			do += fmt.Sprintf("; if it needs more than %s, raise memory_limit", memoryBound.text(h.MemoryLimit))
		}
	case child.Signalled:
		what, do = "was ended by signal "+f.Signal, "mend the helper; the system ends programs so that fault, or that take more than it has"
	case child.TooLong:
		what, do = fmt.Sprintf("took longer than %s and was ended", timeBound.text(h.TimeLimit)), "mend the helper, or raise time_limit"
	case child.TooMuch:
		what, do = fmt.Sprintf("printed more than %s and was ended", outputBound.text(h.OutputLimit)), "mend the helper, or raise output_limit"
	case child.TooLoud:
		what, do = fmt.Sprintf("said more than %s on standard error and was ended", outputBound.text(h.OutputLimit)), "mend the helper, or raise output_limit"
	case child.TooLarge:
		what, do = fmt.Sprintf("took more memory than %s and was ended", memoryBound.text(h.MemoryLimit)), "mend the helper, or raise memory_limit"
	case child.TooFull:
		what, do = fmt.Sprintf("left more than %s, or too many files, in its working folder and was ended", outputBound.text(h.OutputLimit)), "mend the helper, or raise output_limit"
	case child.HeldOpen:
		what, do = "left something running that holds its output open", "it must wait for all that it starts"
	}
	text := h.title() + ": " + what
	if f.Said != "" {
		text += "\n    it said on standard error:\n      " + strings.ReplaceAll(f.Said, "\n", "\n      ")
	}
	return errors.New(text + "\n    " + do)
}
