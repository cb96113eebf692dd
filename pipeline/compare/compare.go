package compare

import (
	"context"
	"fmt"
	"runtime"
	"slices"
	"strings"

	"panelwright/pipeline/geom"
	"panelwright/pipeline/run"
)

// Side is one of the two builds.
type Side struct {
	Folder   string `json:"folder"`
	Panel    string `json:"panel"`
	Revision string `json:"revision"`
	Supplier string `json:"supplier,omitempty"`
	Version  string `json:"version"` // of the program that wrote it
	Released bool   `json:"released"`
	Files    int    `json:"files"`
}

// Result is what a comparison found.
type Result struct {
	Old     Side     `json:"old"`
	New     Side     `json:"new"`
	Same    bool     `json:"same"`
	Changes []Change `json:"changes"`
	// Warnings tell what of the folders is not as their manifests list it. Notes are differences that do not count.
	Warnings []string `json:"warnings,omitempty"`
	Notes    []string `json:"notes,omitempty"`

	found *comparison
}

// Options say how to compare.
type Options struct {
	Workers int // one per processor when 0
}

// Folders compares two finished builds by their folders. An error is about a folder that is no finished build or is damaged, a
// *run.MachineError about one that cannot be read, or ctx's.
func Folders(ctx context.Context, old, new string, opt Options) (*Result, error) {
	if opt.Workers <= 0 {
		opt.Workers = runtime.GOMAXPROCS(0)
	}
	var r *Result
	err := run.Steady(ctx, []string{old, new}, func() (err error) {
		r, err = folders(ctx, old, new, opt)
		return err
	})
	if err != nil {
		return nil, err
	}
	return r, nil
}

func folders(ctx context.Context, old, new string, opt Options) (*Result, error) {
	a, err := open(ctx, old)
	if err != nil {
		return nil, err
	}
	defer a.close()
	b, err := open(ctx, new)
	if err != nil {
		return nil, err
	}
	defer b.close()
	c := &comparison{old: a, new: b, told: map[string]Group{}, workers: opt.Workers}
	if err := c.all(ctx); err != nil {
		return nil, err
	}
	r := &Result{Old: side(a), New: side(b), Changes: fold(c.changes), Notes: c.notes, Warnings: append(warnings(a), warnings(b)...), found: c}
	r.Same = len(r.Changes) == 0
	if r.Changes == nil {
		r.Changes = []Change{}
	}
	return r, nil
}

func side(b *build) Side {
	m := b.manifest
	return Side{b.shown, m.Panel, m.Revision, m.Supplier, m.Tool.Version, m.Released, len(b.files)}
}

func (c *comparison) start() *comparison {
	c.moves, c.oldOwner = map[string]geom.Point{}, map[string]string{}
	return c
}

// all compares everything. Whether anything differs is decided by bytes: where features tell nothing and files differ,
// the files are told.
func (c *comparison) all(ctx context.Context) error {
	if err := c.start().ofPanel(ctx); err != nil {
		return err
	}
	if err := c.artwork(ctx); err != nil {
		return err
	}
	if err := c.holes(ctx); err != nil {
		return err
	}
	if err := c.assembly(); err != nil {
		return err
	}
	c.ofFindings()
	c.values()
	c.quiet()
	c.headers()
	return c.ofFiles()
}

// quiet leaves out what lines of drawings tell where the plan tells it in better words.
func (c *comparison) quiet() {
	shapes := slices.ContainsFunc(c.changes, func(x Change) bool {
		return x.File == "" && (x.Group == CutsGroup || x.Group == CopiesGroup || x.Group == PanelGroup && len(x.At) > 0)
	})
	if !shapes {
		return
	}
	c.changes = slices.DeleteFunc(c.changes, func(x Change) bool {
		return x.Group == CutsGroup && x.File != "" && x.rank >= 60
	})
}

// headers tells in one change of the files that have the same content under another header.
func (c *comparison) headers() {
	var names []string
	kept := slices.Clone(c.changes[:0:0])
	for _, x := range c.changes {
		if x.File != "" && x.AreaMM2 == nil && strings.Contains(x.Text, "another header") {
			names = append(names, x.File)
			continue
		}
		kept = append(kept, x)
	}
	if len(names) > 1 {
		slices.Sort(names)
		c.changes = append(kept, Change{Group: FilesGroup, Kind: Changed, rank: 4, Files: names,
			Text: plainText(fmt.Sprintf("%d files have the same pictures, lines and holes and another header: %s", len(names), listed(names, 5)))})
	}
}

// Summary says in one line how much differs.
func (r *Result) Summary() string {
	if r.Same {
		return "the same"
	}
	var parts []string
	for _, g := range Groups {
		if n := len(r.In(g)); n > 0 {
			parts = append(parts, fmt.Sprintf("%d in %s", n, g))
		}
	}
	return count(len(r.Changes), "change", "changes") + ": " + listed(parts, len(Groups))
}

// In gives the changes of one group.
func (r *Result) In(g Group) (out []Change) {
	for _, x := range r.Changes {
		if x.Group == g {
			out = append(out, x)
		}
	}
	return out
}
