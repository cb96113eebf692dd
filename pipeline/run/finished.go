package run

import (
	"archive/zip"
	"bytes"
	"context"
	"fmt"
	"io"
	"io/fs"
	"os"
	"path"
	"path/filepath"
	"slices"
	"strings"

	"panelwright/pipeline"
)

// ruleFile is what findings about a file as a whole name, the proof's among them.
const ruleFile = "written-file"

// finished is a build folder that is read again.
type finished struct {
	ctx      context.Context
	dir      string
	sums     map[string]FileSum
	there    map[string]bool // regular files
	missing  map[string]bool // listed, and not there
	altered  map[string]bool
	findings []pipeline.Finding
}

// openFinished looks through a build folder and holds it against its manifest.
func openFinished(ctx context.Context, dir string, m *Manifest) (*finished, error) {
	f := &finished{ctx: ctx, dir: dir, sums: sumsByName(m.Outputs), there: map[string]bool{}, missing: map[string]bool{}, altered: map[string]bool{}}
	if err := f.look("", 0); err != nil {
		return nil, err
	}
	for _, o := range m.Outputs {
		if err := ctx.Err(); err != nil {
			return nil, err
		}
		if !f.there[o.Name] {
			f.missing[o.Name] = true
			f.report(pipeline.Error, o.Name, "is listed by the manifest and is not there")
			continue
		}
		data, err := f.read(o.Name)
		if err != nil {
			return nil, err
		}
		if sumOf(data) == o.SHA256 {
			continue
		}
		f.altered[o.Name] = true
		switch {
		case o.Name == panelName:
			// The files are held against it: a plan that was changed after the build proves nothing about it.
			f.report(pipeline.Error, o.Name, "differs from the manifest: the files are held against a plan that is not the one they were built to")
		default:
			f.report(pipeline.Warning, o.Name, "differs from the manifest: it was changed after the build, and is judged as it is now")
		}
	}
	for _, o := range m.Outputs {
		if f.altered[o.Name] && strings.HasSuffix(o.Name, ".zip") {
			if err := f.zip(o.Name); err != nil {
				return nil, err
			}
		}
	}
	return f, nil
}

func (f *finished) report(s pipeline.Severity, name, what string) {
	f.findings = append(f.findings, pipeline.Finding{Rule: ruleFile, Severity: s, Feature: name, Message: path.Base(name) + " " + what, Stage: "readback"})
}

// look takes in a folder. What no build leaves in it is a finding.
func (f *finished) look(folder string, depth int) error {
	entries, err := os.ReadDir(filepath.Join(f.dir, filepath.FromSlash(folder)))
	if err != nil {
		return inputError(path.Join(filepath.ToSlash(f.dir), folder), err)
	}
	for _, e := range entries {
		name := path.Join(folder, e.Name())
		_, listed := f.sums[name]
		switch {
		case e.Type().IsRegular() && (listed || name == manifestName):
			f.there[name] = true
		case e.IsDir() && depth < maxDepth && !listed:
			if err := f.look(name, depth+1); err != nil {
				return err
			}
		case e.Type().IsRegular():
			f.there[name] = true
			severity := pipeline.Warning
			if strings.HasPrefix(name, "fab/") { // it might go to the fabricator with the rest
				severity = pipeline.Error
			}
			f.report(severity, name, "lies in the build folder, and the manifest does not list it")
		default:
			f.report(pipeline.Error, name, "is not an ordinary file")
		}
	}
	return nil
}

// read gives a file of the folder as it is now. A panel's files are many times a board's: there is no
// bound but the disk's.
func (f *finished) read(name string) ([]byte, error) {
	if err := f.ctx.Err(); err != nil {
		return nil, err
	}
	data, err := os.ReadFile(filepath.Join(f.dir, filepath.FromSlash(name)))
	if err != nil {
		return nil, inputError(path.Join(filepath.ToSlash(f.dir), name), err)
	}
	return data, nil
}

// proofs lists what the proof is to judge: what the stages wrote, archives left out, whose content lies
// beside them.
func (f *finished) proofs() (names []string) {
	for name := range f.there {
		if _, listed := f.sums[name]; listed && !strings.HasSuffix(name, ".zip") {
			names = append(names, name)
		}
	}
	slices.Sort(names)
	return names
}

// zip holds an archive that was changed against the files beside it, which are what is proved.
func (f *finished) zip(name string) error {
	data, err := f.read(name)
	if err != nil {
		return err
	}
	bad := func(what string, args ...any) {
		f.report(pipeline.Error, name, fmt.Sprintf(what, args...)+": what is in it is not what is proved")
	}
	z, err := zip.NewReader(bytes.NewReader(data), int64(len(data)))
	if err != nil {
		bad("cannot be read")
		return nil
	}
	for _, member := range z.File {
		beside := path.Join(path.Dir(name), member.Name)
		switch {
		case !fs.ValidPath(member.Name) || !f.there[beside]:
			bad("holds %q, which is not beside it", member.Name)
			continue
		}
		want, err := f.read(beside)
		if err != nil {
			return err
		}
		r, err := member.Open()
		if err != nil {
			bad("holds %q, which cannot be read", member.Name)
			continue
		}
		got, err := io.ReadAll(io.LimitReader(r, int64(len(want))+1))
		r.Close()
		if err != nil || !bytes.Equal(got, want) {
			bad("holds another %q than the one beside it", member.Name)
		}
	}
	return nil
}
