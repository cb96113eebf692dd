// Package jobfile reads and writes the Gerber job file (.gbrjob, revision 2020.08): JSON that tells
// what a set of layer files is for. Key names are those of its public samples and schema.
package jobfile

import "panelwright/pipeline/geom"

// Job is the content of a job file that this program deals in; on reading, other keys are passed over.
type Job struct {
	Software     Software
	CreationDate string // ISO 8601 with zone; not written when empty
	Project      Project
	Size         geom.Point // of the board or panel; not written when zero
	LayerNumber  int        // of copper layers; not written when zero
	Thickness    geom.Length
	Finish       string
	Files        []File
	Stackup      []Material // from the top
}

// Software is the program that wrote the files.
type Software struct{ Vendor, Application, Version string }

// Project is the ProjectId: part number, GUID and revision.
type Project struct{ Name, GUID, Revision string }

// File is one layer file.
type File struct {
	Path     string // relative to the job file
	Function string // as the .FileFunction attribute has it: "Copper,L1,Top"
	Polarity string // "Positive", "Negative", or empty where it has no meaning (drill files)
}

// Material is one sheet of the stackup.
type Material struct {
	Type      string // Legend, Solderpaste, SolderMask, Copper, Dielectric …
	Name      string
	Material  string
	Color     string
	Thickness geom.Length // not written when zero
	Notes     string
}
