// Package corpus is the table of the open data that tests read: every file of the open boards and of
// the test files that other readers' authors publish, and what reading each must give.
//
// The table was written before our readers saw the files: by looking at them, and with a program of
// its own that counts statements and knows no geometry. What is refused, and with which words, was decided
// by the layer format specification (sections are those of the 2024.05 edition, from memory) and by
// XNC 2021.11. The data lie outside the repository; package shared finds them.
package corpus

import (
	"fmt"
	"path/filepath"
)

// Kind says which reader a file is for.
type Kind uint8

// The kinds.
const (
	Other Kind = iota // no layer and no drill file; Why says what it is
	Layer
	Drill
)

func (k Kind) String() string { return [...]string{"other", "layer", "drill"}[k%3] }

// Row is what is expected of one file; a row of kind Other may stand for several.
type Row struct {
	Path  string // pattern as of filepath.Match, from the folder of the open data
	Files int    // how many files the pattern means
	Kind  Kind
	Why   string // of kind Other: what the file is

	// Counts of what is drawn, with step-and-repeat written out. Areas are pairs of G36 and G37 that
	// enclose something, however many contours they have, and rectangles that KO lays under others.
	Flashes, Strokes, Areas int
	Holes, Slots            int // a slot is nibbled (G85) or routed, once from M15 to M16

	Refused string // what the reader says that is wrong, when it must refuse the file
	Line    int    // where
}

// Find gives the files that the row means, in the folder of the open data.
func (r Row) Find(root string) ([]string, error) {
	found, err := filepath.Glob(filepath.Join(root, filepath.FromSlash(r.Path)))
	if err != nil {
		return nil, err
	}
	if len(found) != r.Files {
		return nil, fmt.Errorf("%s means %d files, not %d", r.Path, len(found), r.Files)
	}
	return found, nil
}

func layer(path string, flashes, strokes, areas int) Row {
	return Row{Path: path, Files: 1, Kind: Layer, Flashes: flashes, Strokes: strokes, Areas: areas}
}

func drill(path string, holes, slots int) Row {
	return Row{Path: path, Files: 1, Kind: Drill, Holes: holes, Slots: slots}
}

func refused(k Kind, path string, line int, what string) Row {
	return Row{Path: path, Files: 1, Kind: k, Line: line, Refused: what}
}

func other(path, why string) Row { return others(1, path, why) }

func others(files int, path, why string) Row {
	return Row{Path: path, Files: files, Why: why}
}
