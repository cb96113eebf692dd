package run

import (
	"cmp"
	"context"
	"crypto/sha256"
	"encoding/hex"
	"io"
	"os"
	"os/exec"
	"path/filepath"
	"slices"
	"strings"

	"panelwright/pipeline"
)

// Asked is one thing that a build asked of the world outside, and the answer: who gets the same answers to all that a
// build asked, by the same recipe and program, gets the same build.
type Asked struct {
	What AskedOf `json:"what"`
	// Name is a file's name relative to the recipe's folder, the path of a listing as it was asked for, or the name of
	// a variable or program.
	Name string `json:"name"`
	In   string `json:"in,omitempty"` // the folder that a listing's path is relative to, relative to the recipe's
	// Answer is the SHA-256 of the file's content, of the names listed, each with a newline, of the variable's value or
	// of the program; empty: there is none.
	Answer string `json:"answer,omitempty"`
}

// AskedOf is what was asked of.
type AskedOf string

// What a build can ask of.
const (
	AskedFile     AskedOf = "file"
	AskedList     AskedOf = "list"
	AskedVariable AskedOf = "variable"
	AskedProgram  AskedOf = "program"
)

// question is an Asked without its answer.
type question struct {
	what     AskedOf
	name, in string
}

// note records what was asked. The first answer counts; that a file reads otherwise the second time is an error of its own.
func (f *Files) note(q question, answer string) {
	f.mu.Lock()
	defer f.mu.Unlock()
	if _, ok := f.asked[q]; !ok {
		f.asked[q] = answer
	}
}

// noteList records a listing.
func (f *Files) noteList(p pipeline.InPath, found []pipeline.InPath) {
	in, err := filepath.Rel(f.base, p.Dir)
	if err != nil || !filepath.IsAbs(p.Dir) {
		in = p.Dir
	}
	answer := ""
	if found != nil {
		answer = namesSum(found)
	}
	f.note(question{AskedList, p.Text, filepath.ToSlash(in)}, answer)
}

func namesSum(found []pipeline.InPath) string {
	var all strings.Builder
	for _, p := range found {
		all.WriteString(p.Text + "\n")
	}
	return sumOf([]byte(all.String()))
}

// Asked gives all that has been asked so far, in order.
func (f *Files) Asked() []Asked {
	f.mu.Lock()
	defer f.mu.Unlock()
	out := make([]Asked, 0, len(f.asked))
	for q, answer := range f.asked {
		out = append(out, Asked{q.what, q.name, q.in, answer})
	}
	slices.SortFunc(out, func(a, b Asked) int {
		return cmp.Or(cmp.Compare(a.What, b.What), cmp.Compare(a.In, b.In), cmp.Compare(a.Name, b.Name))
	})
	return out
}

// Stamps gives what the system said of each file that was read, when it was read: by the names of Inputs.
func (f *Files) Stamps() map[string]Stamp {
	f.mu.Lock()
	defer f.mu.Unlock()
	out := make(map[string]Stamp, len(f.stamps))
	for name, s := range f.stamps {
		out[name] = s
	}
	return out
}

// Answer asks again what a build asked, for a recipe in the folder base. The answer is empty where there is none.
// sum gives the SHA-256 of the file at an absolute path, and an error where it cannot be read.
func Answer(ctx context.Context, base string, q Asked, sum func(path string) (string, error)) string {
	switch q.What {
	case AskedFile:
		answer, err := sum(filepath.Join(base, filepath.FromSlash(q.Name)))
		if err != nil {
			return ""
		}
		return answer
	case AskedList:
		dir := filepath.FromSlash(q.In)
		if !filepath.IsAbs(dir) {
			dir = filepath.Join(base, dir)
		}
		found, err := NewFiles(ctx, base, "").List(ctx, pipeline.InPath{Text: q.Name, Dir: dir})
		if err != nil {
			return ""
		}
		return namesSum(found)
	case AskedVariable:
		return variableSum(os.LookupEnv(q.Name))
	case AskedProgram:
		path, err := exec.LookPath(q.Name)
		if err != nil {
			return ""
		}
		answer, err := sum(path)
		if err != nil {
			return ""
		}
		return answer
	}
	return ""
}

func variableSum(value string, set bool) string {
	if !set {
		return ""
	}
	return sumOf([]byte(value))
}

// variable answers a stage, and records it.
func (f *Files) variable(name string) (string, bool) {
	value, set := os.LookupEnv(name)
	f.note(question{what: AskedVariable, name: name}, variableSum(value, set))
	return value, set
}

// program answers a stage, and records what the program is.
func (f *Files) program(name string) (string, error) {
	path, err := exec.LookPath(name)
	q := question{what: AskedProgram, name: name}
	if err != nil {
		f.note(q, "")
		return "", err
	}
	path, err = filepath.Abs(path)
	if err != nil {
		return "", err
	}
	answer, err := SumOfFile(path)
	if err != nil {
		return "", machine("%s: cannot be read: %w", name, bare(err))
	}
	f.note(q, answer)
	return path, nil
}

// SumOfFile gives the SHA-256 of a regular file, piece by piece.
func SumOfFile(path string) (string, error) {
	file, err := openPlain(path)
	if err != nil {
		return "", err
	}
	defer file.Close()
	h := sha256.New()
	if _, err := io.Copy(h, file); err != nil {
		return "", err
	}
	return hex.EncodeToString(h.Sum(nil)), nil
}

// stampRecipe keeps what the system said of a recipe's own file.
func (f *Files) stampRecipe(name string, s Stamp) {
	f.mu.Lock()
	defer f.mu.Unlock()
	f.stamps[name] = s
}
