// Package boards makes the fabrication data of invented boards of Reedwater Gauges. It stands on the standard library
// only; see the command one folder up for what the four demo boards are.
package boards

import (
	"os"
	"path/filepath"
)

// File is one finished file, by name.
type File struct {
	Name string
	Data []byte
}

// Made is a finished board: its fabrication data, and what a recipe says of it.
type Made struct {
	Name, PartNumber, Revision string
	Layers                     int
	Square                     bool // its corners are not rounded, and its copper keeps far enough from the edge for score lines
	Summary                    string
	Files                      []File
}

// demo are the demo boards, in the order they are written.
var demo = []struct {
	name string
	make func() *board
}{{"gauge", gauge}, {"modem", modem}, {"probe", probe}, {"relay", relay}}

// Demo gives the names of the demo boards, in the order they are written.
func Demo() (names []string) {
	for _, m := range demo {
		names = append(names, m.name)
	}
	return names
}

// MakeDemo makes the demo board of a name; ok tells whether there is one.
func MakeDemo(name string) (m Made, ok bool) {
	for _, d := range demo {
		if d.name == name {
			b := d.make()
			b.finish()
			return b.made(), true
		}
	}
	return Made{}, false
}

func (b *board) made() Made {
	return Made{Name: b.name, PartNumber: b.partNo, Revision: b.rev, Layers: b.layers, Square: b.square, Summary: b.summary(), Files: b.files()}
}

// Write writes the board's files into a folder, which it makes.
func (m Made) Write(folder string) error {
	if err := os.MkdirAll(folder, 0o755); err != nil {
		return err
	}
	for _, f := range m.Files {
		if err := os.WriteFile(filepath.Join(folder, f.Name), f.Data, 0o644); err != nil {
			return err
		}
	}
	return nil
}
