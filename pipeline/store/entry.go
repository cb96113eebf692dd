// Package store keeps finished builds where all workers find them, by what they were made from.
package store

import "panelwright/pipeline/run"

// Entry is one finished build of a recipe. Who gets the same answers to all that it asked may take it.
type Entry struct {
	Panel    string      `json:"panel"`
	Supplier string      `json:"supplier,omitempty"`
	Asked    []run.Asked `json:"asked"`
	Manifest string      `json:"manifest"` // SHA-256 of its manifest.json
}
