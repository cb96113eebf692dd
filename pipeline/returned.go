package pipeline

import (
	"panelwright/pipeline/panel"
	"panelwright/pipeline/panel/artwork"
)

// Returned is what the files say that a fabricator sends back for approval before a panel is made: the same panel, written by other
// programs. Nothing is settled about them but what each says by itself.
type Returned struct {
	Files  []ReturnedFile // every file, by name
	Layers []ReturnedLayer
	Drills []ReturnedDrill
}

// ReturnedFile is one of the files and what became of it.
type ReturnedFile struct {
	Name    string
	Ignored string   // why nothing was made of it
	Fault   string   // why it could not be read
	Doubts  []string // what its reader was not sure of
	Cut     bool     // it has no end code, and may be cut short
}

// ReturnedLayer is a picture in the layer format.
type ReturnedLayer struct {
	Source   string
	Function panel.Function // without a Kind: nobody says what it is for
	By       string         // who says it: "its attribute .FileFunction", "its name" …
	Score    bool           // it is said to draw score lines
	Negative string         // why it is taken for a negative; empty for a positive
	Image    *artwork.Image
}

// ReturnedDrill is a file of holes and slots.
type ReturnedDrill struct {
	Source   string
	Drilling *artwork.Drilling // plating and span as far as attributes, tools, the job file or its name say them
	Unsaid   string            // how its numbers were read, where the file does not say it
	// Otherwise gives what it holds when its numbers are read in other usual ways; may be nil.
	Otherwise func() []ReturnedReading
}

// ReturnedReading is a drill file read in one way, and which.
type ReturnedReading struct {
	How      string
	Against  bool // what the file says of its numbers itself
	Drilling *artwork.Drilling
}
