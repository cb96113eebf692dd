// Package known tells whether a build would come out as one that is known already: from what the program is, what the recipe and
// its standards say, what was set from outside, and what the build asked of the world, with the answers that it got. Contents count,
// not dates.
//
// Beside the build folders a Record is kept for each build. A Checker holds it against what is there now, looking at stamps
// first and reading only what they cannot vouch for.
package known

import (
	"crypto/sha256"
	"encoding/hex"
	"encoding/json"

	"panelwright/pipeline"
	"panelwright/pipeline/run"
)

// Settings is what a build hangs on besides recipe and inputs.
type Settings struct {
	Program  string            `json:"program"` // its name, which files state
	Version  string            `json:"version"`
	Image    string            `json:"image"` // what it is by content, see Image
	Contract int               `json:"contract"`
	Reject   pipeline.Severity `json:"reject"`
	Supplier string            `json:"supplier,omitempty"`
	Given    map[string]string `json:"given,omitempty"` // as they came from outside
	Epoch    *int64            `json:"source_date_epoch,omitempty"`
}

// SettingsOf gives the settings of a build.
func SettingsOf(opt run.Options, supplier string, given map[string]string) (Settings, error) {
	image, err := Image()
	if err != nil {
		return Settings{}, err
	}
	return Settings{
		Program: opt.Program.Name, Version: opt.Program.Version, Image: image, Contract: pipeline.Contract,
		Reject: opt.Gate.Level(), Supplier: supplier, Given: given, Epoch: opt.SourceDateEpoch,
	}, nil
}

// key gives the settings as a text to be compared.
func (s Settings) key() string {
	text, err := json.Marshal(s) // maps are written in order
	if err != nil {
		return ""
	}
	return string(text)
}

// RecipeKey names all builds by these settings of a recipe and its standards, by their contents: 64 hexadecimal digits. What
// inputs they are made from is not in it.
func RecipeKey(s Settings, files []run.FileSum) (string, error) {
	text, err := json.Marshal(struct {
		Settings Settings      `json:"settings"`
		Files    []run.FileSum `json:"files"`
	}{s, files})
	if err != nil {
		return "", err
	}
	sum := sha256.Sum256(text)
	return hex.EncodeToString(sum[:]), nil
}
