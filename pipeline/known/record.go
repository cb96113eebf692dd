package known

import (
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
