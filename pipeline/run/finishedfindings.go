package run

import (
	"encoding/json"
	"fmt"
	"path/filepath"

	"panelwright/pipeline"
	"panelwright/pipeline/geom"
)

// ReadFindings gives what the build folder dir says was found, and which rules were judged, in the order of the file.
func ReadFindings(dir string) ([]pipeline.Finding, []pipeline.Judged, error) {
	name := filepath.Join(dir, filepath.FromSlash(findingsName))
	data, err := ReadPlain(name, MaxInput)
	if err != nil {
		return nil, nil, machine("%s: cannot be read: %w", filepath.ToSlash(name), bare(err))
	}
	var file findingsFile
	if err := json.Unmarshal(data, &file); err != nil {
		return nil, nil, fmt.Errorf("%s: is not what a build writes: %w", filepath.ToSlash(name), err)
	}
	found := make([]pipeline.Finding, len(file.Findings))
	for i, row := range file.Findings {
		found[i] = row.Finding
		if row.At == nil {
			continue
		}
		x, errX := geom.ParseDecimal(string(row.At.X))
		y, errY := geom.ParseDecimal(string(row.At.Y))
		if errX != nil || errY != nil {
			return nil, nil, fmt.Errorf("%s: finding %d has no place that can be read", filepath.ToSlash(name), i+1)
		}
		at := geom.Pt(x, y)
		found[i].At = &at
	}
	return found, file.Judged, nil
}

// ReadManifest reads the manifest of the build folder dir.
func ReadManifest(dir string) (*Manifest, error) {
	m, err := readManifest(dir)
	if err != nil {
		return nil, fmt.Errorf("%s/%s: cannot be read: %w", filepath.ToSlash(dir), manifestName, bare(err))
	}
	return m, nil
}

// ManifestName is the manifest's name in a build folder.
const ManifestName = manifestName
