package run

import (
	"encoding/json"
	"errors"
	"os"
	"path/filepath"

	"panelwright/pipeline"
)

// NotForRelease is what a build says of itself while the release gate is closed.
const NotForRelease = "NOT FOR RELEASE"

// Manifest is manifest.json, the last file of a build folder: what the build was made from, what it
// holds, and by which values. It lists every other file of the folder.
type Manifest struct {
	Schema   int               `json:"schema"`
	Panel    string            `json:"panel"`
	Revision string            `json:"revision"`
	Supplier string            `json:"supplier,omitempty"` // whom it is built for
	Tool     ToolName          `json:"tool"`
	Reject   pipeline.Severity `json:"reject,omitempty"` // the least severity that closed the release gate
	Released bool              `json:"released"`
	Notice   string            `json:"notice,omitempty"`
	Findings FindingCounts     `json:"findings"`
	Epoch    *int64            `json:"source_date_epoch,omitempty"`
	Recipe   []FileSum         `json:"recipe"` // the recipe and its standards
	Inputs   []FileSum         `json:"inputs"`
	Given    map[string]string `json:"given,omitempty"` // every given value as a recipe would write it
	Values   []StageValues     `json:"values"`
	Outputs  []FileSum         `json:"outputs"`
}

// ToolName says which program wrote a build.
type ToolName struct {
	Name    string `json:"name"`
	Version string `json:"version"`
}

// FindingCounts counts findings by severity, and those that are waived by themselves.
type FindingCounts struct {
	Error   int `json:"error"`
	Warning int `json:"warning"`
	Note    int `json:"note"`
	Waived  int `json:"waived"`
}

// CountFindings counts by severity.
func CountFindings(found []pipeline.Finding) (n FindingCounts) {
	for _, f := range found {
		n.add(f)
	}
	return n
}

func (n *FindingCounts) add(f pipeline.Finding) {
	switch {
	case !f.Counts():
		n.Waived++
	case f.Severity == pipeline.Error:
		n.Error++
	case f.Severity == pipeline.Warning:
		n.Warning++
	default:
		n.Note++
	}
}

// StageValues is one stage of the recipe with its final values.
type StageValues = pipeline.StageValues

// Value is one option's final value as a recipe would write it, and where it came from.
type Value = pipeline.Value

// findingsFile is report/findings.json.
type findingsFile struct {
	Schema   int               `json:"schema"`
	Panel    string            `json:"panel"`
	Revision string            `json:"revision"`
	Supplier string            `json:"supplier,omitempty"`
	Reject   pipeline.Severity `json:"reject"` // the least severity that closes the release gate
	Released bool              `json:"released"`
	Notice   string            `json:"notice,omitempty"`
	Counts   FindingCounts     `json:"counts"`
	ByFamily []FindingTotal    `json:"by_family"`
	ByRule   []FindingTotal    `json:"by_rule"`
	Findings []FindingRow      `json:"findings"`
	// Judged is every rule that was judged, by which limit, and every one that the recipe leaves out.
	Judged []pipeline.Judged `json:"judged"`
}

// readManifest reads the manifest of the build folder dir, of this schema or a later one.
func readManifest(dir string) (*Manifest, error) {
	data, err := ReadPlain(filepath.Join(dir, manifestName), 64<<20)
	if err != nil {
		return nil, err
	}
	var m Manifest
	if err := json.Unmarshal(data, &m); err != nil {
		return nil, err
	}
	if m.Schema < 1 || m.Panel == "" || m.Tool.Name == "" {
		return nil, errors.New("not a manifest")
	}
	return &m, nil
}

// wholeBuild tells whether dir is a complete build of panel for supplier: every file that its manifest lists is
// there with the content it lists.
func wholeBuild(dir, panel, supplier string) bool {
	m, err := readManifest(dir)
	if err != nil || m.Panel != panel || m.Supplier != supplier {
		return false
	}
	for _, o := range m.Outputs {
		if CleanName(o.Name) != nil {
			return false
		}
		at := filepath.Join(dir, filepath.FromSlash(o.Name))
		if info, err := os.Lstat(at); err != nil || !info.Mode().IsRegular() || info.Size() != o.Bytes {
			return false
		}
		data, err := os.ReadFile(at)
		if err != nil || sumOf(data) != o.SHA256 {
			return false
		}
	}
	return true
}
