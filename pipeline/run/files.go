package run

import (
	"context"
	"crypto/sha256"
	"encoding/hex"
	"sync"

	"panelwright/pipeline"
)

// FileSum is a file by name, content and size.
type FileSum = pipeline.FileSum

// Files is the pipeline.Files of one build. Its methods may be called from several goroutines.
type Files struct {
	ctx   context.Context
	base  string   // absolute: the recipe's folder, which input names are relative to
	own   []string // absolute: folders that this build replaces, and so may not read
	stage string   // absolute: where outputs go; empty when nothing may be written

	mu       sync.Mutex
	inputs   map[string]FileSum
	stamps   map[string]Stamp // of the inputs
	asked    map[question]string
	scratch  []string // folders of stages, to be removed
	outputs  map[string]*output
	names    Names // of outputs
	archives []archive
	broken   error // the first failure of the machine, in case a stage loses its type
	syncs    sync.WaitGroup
	slots    chan struct{}
}

var _ pipeline.Files = (*Files)(nil)

// NewFiles gives Files that name inputs relative to the folder base and create outputs in the folder
// stage, which exists and is empty. With stage empty, Create refuses.
func NewFiles(ctx context.Context, base, stage string) *Files {
	return &Files{
		ctx: ctx, base: base, stage: stage,
		inputs:  map[string]FileSum{},
		stamps:  map[string]Stamp{},
		asked:   map[question]string{},
		outputs: map[string]*output{},
		names:   Names{},
		slots:   make(chan struct{}, 8),
	}
}

// fail remembers the first failure of the machine.
func (f *Files) fail(err error) error {
	f.mu.Lock()
	defer f.mu.Unlock()
	if f.broken == nil {
		f.broken = err
	}
	return err
}

func sumOf(data []byte) string {
	s := sha256.Sum256(data)
	return hex.EncodeToString(s[:])
}
