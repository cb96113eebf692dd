package known

import (
	"crypto/sha256"
	"encoding/hex"
	"encoding/json"
	"fmt"
	"io/fs"
	"os"
	"path/filepath"

	"panelwright/pipeline/run"
)

// Record is what is kept of a finished build.
type Record struct {
	Schema   int                  `json:"schema"`
	Settings Settings             `json:"settings"`
	Panel    string               `json:"panel"`
	Revision string               `json:"revision"`
	Files    []run.FileSum        `json:"files"` // the recipe and its standards
	Asked    []run.Asked          `json:"asked"`
	Stamps   map[string]run.Stamp `json:"stamps"` // of Files and of the files asked for
	Manifest string               `json:"manifest"`
	Outputs  []Output             `json:"outputs"` // the whole build folder
	Released bool                 `json:"released"`
	Counts   run.FindingCounts    `json:"counts"`
}

// Output is one file of the build folder.
type Output struct {
	run.FileSum
	Stamp run.Stamp `json:"stamp"`
}

const schema = 1

// folderName is where records lie, below the folder of the build folders.
const folderName = ".panelwright-known"

// place gives the file that keeps the record of a recipe's build.
func place(outDir, recipe, supplier string) (string, error) {
	out, err := filepath.Abs(outDir)
	if err != nil {
		return "", err
	}
	path, err := filepath.Abs(recipe)
	if err != nil {
		return "", err
	}
	if rel, err := filepath.Rel(out, path); err == nil { // a tree that has moved as a whole is still known
		path = rel
	}
	sum := sha256.Sum256([]byte(filepath.ToSlash(path) + "\n" + supplier))
	return filepath.Join(out, folderName, hex.EncodeToString(sum[:16])+".json"), nil
}

// Load gives the record of the recipe's last build into outDir; nil where there is none that can be used.
func Load(outDir, recipe, supplier string) *Record {
	at, err := place(outDir, recipe, supplier)
	if err != nil {
		return nil
	}
	data, err := os.ReadFile(at)
	if err != nil {
		return nil
	}
	var r Record
	if json.Unmarshal(data, &r) != nil || r.Schema != schema || r.Panel == "" || r.Manifest == "" {
		return nil
	}
	return &r
}

// Save keeps the record. It appears whole or not at all.
func (r *Record) Save(outDir, recipe string) error {
	at, err := place(outDir, recipe, r.Settings.Supplier)
	if err != nil {
		return err
	}
	r.Schema = schema
	data, err := json.Marshal(r)
	if err != nil {
		return err
	}
	if err := os.MkdirAll(filepath.Dir(at), 0o755); err != nil {
		return err
	}
	f, err := os.CreateTemp(filepath.Dir(at), "new-*")
	if err != nil {
		return err
	}
	_, err = f.Write(append(data, '\n'))
	if e := f.Close(); err == nil {
		err = e
	}
	if err == nil {
		err = os.Rename(f.Name(), at)
	}
	if err != nil {
		os.Remove(f.Name())
	}
	return err
}

// RecordOf makes the record of a build that has just been put in place in dir, its build folder.
func RecordOf(s Settings, panel, revision, dir, manifest string, files []run.FileSum, asked []run.Asked, stamps map[string]run.Stamp) (*Record, error) {
	m, err := run.ReadManifest(dir)
	if err != nil {
		return nil, err
	}
	r := &Record{
		Settings: s, Panel: panel, Revision: revision, Files: files, Asked: asked, Stamps: stamps, Manifest: manifest,
		Released: m.Released, Counts: m.Findings,
	}
	for _, o := range m.Outputs {
		r.Outputs = append(r.Outputs, Output{FileSum: o})
	}
	r.Outputs = append(r.Outputs, Output{FileSum: run.FileSum{Name: run.ManifestName, SHA256: manifest}})
	for i, o := range r.Outputs {
		info, err := os.Lstat(filepath.Join(dir, filepath.FromSlash(o.Name)))
		switch {
		case err != nil:
			return nil, err
		case !info.Mode().IsRegular():
			return nil, fmt.Errorf("%s: %w", o.Name, fs.ErrInvalid)
		}
		r.Outputs[i].Bytes, r.Outputs[i].Stamp = info.Size(), run.StampOf(info)
	}
	return r, nil
}
