package main

import (
	"embed"
	"fmt"
	"io/fs"
	"math/rand/v2"
	"os"
	"path/filepath"
	"runtime"
	"sync"

	"panelwright/testdata/demoboards/boards"
)

//go:embed standards
var standards embed.FS

// many says what to write.
type many struct {
	recipes, boards, faults int
	seed                    uint64
	lean                    bool
}

// write writes boards, standards and recipes into dir, and gives the number of builds that they stand for.
func (m many) write(dir string) (builds int, err error) {
	set, err := m.makeBoards(dir)
	if err != nil {
		return 0, err
	}
	if err := copyStandards(dir); err != nil {
		return 0, err
	}
	recipes, builds := m.texts(set)
	for _, r := range recipes {
		if err := os.WriteFile(filepath.Join(dir, r.name), []byte(r.text), 0o644); err != nil {
			return 0, err
		}
	}
	return builds, nil
}

// named is a recipe as a file.
type named struct{ name, text string }

// texts makes the recipes over a set of boards, and gives the number of builds that they stand for.
func (m many) texts(set []boards.Made) (recipes []named, builds int) {
	failed := 0
	for i := range m.recipes {
		r := choose(rand.New(rand.NewPCG(m.seed, uint64(i)<<32)), i, set)
		text := r.text(m.lean)
		if (i+1)*m.faults/m.recipes > failed { // evenly strewn
			text = spoil(text, failed)
			failed++
		}
		builds += max(1, len(r.suppliers))
		recipes = append(recipes, named{r.name + ".panel.hcl", text})
	}
	return recipes, builds
}

// makeBoards makes the boards, as many at once as there are processors, and writes them.
func (m many) makeBoards(dir string) ([]boards.Made, error) {
	set, errs := make([]boards.Made, m.boards), make([]error, m.boards)
	var all sync.WaitGroup
	slots := make(chan struct{}, runtime.GOMAXPROCS(0))
	for i := range set {
		all.Go(func() {
			slots <- struct{}{}
			defer func() { <-slots }()
			set[i] = boards.Small(m.seed, i+1)
			errs[i] = set[i].Write(filepath.Join(dir, "boards", set[i].Name))
			set[i].Files = nil // they are on the disk
		})
	}
	all.Wait()
	for _, err := range errs {
		if err != nil {
			return nil, err
		}
	}
	return set, nil
}

func copyStandards(dir string) error {
	return fs.WalkDir(standards, ".", func(name string, e fs.DirEntry, err error) error {
		to := filepath.Join(dir, filepath.FromSlash(name))
		switch {
		case err != nil:
			return err
		case e.IsDir():
			return os.MkdirAll(to, 0o755)
		}
		data, err := standards.ReadFile(name)
		if err != nil {
			return err
		}
		return os.WriteFile(to, data, 0o644)
	})
}

// recipeOf is what one recipe is to say.
type recipeOf struct {
	name          string
	first, second *boards.Made // second may be nil
	columns, rows int
	gap           float64 // mm; tabs only
	scored        bool
	frame         bool // four rails, not two
	marks         bool // bad-board marks and a legend
	suppliers     []string
}

// choose settles what recipe number i says.
func choose(r *rand.Rand, i int, set []boards.Made) recipeOf {
	c := recipeOf{
		first: &set[i%len(set)], columns: 2 + r.IntN(2), rows: 1 + r.IntN(3), gap: []float64{2, 2.4, 3}[r.IntN(3)],
		frame: r.IntN(2) == 0, marks: r.IntN(3) == 0,
	}
	c.name = fmt.Sprintf("%s-%05d", hyphened(c.first.Name), i+1)
	c.scored = c.first.Square && r.IntN(2) == 0
	if second := &set[r.IntN(len(set))]; !c.scored && r.IntN(12) == 0 && second != c.first && second.Layers == c.first.Layers {
		c.second = second
	}
	if r.IntN(20) == 0 {
		c.suppliers = []string{"millrace", "estuary"}
	}
	return c
}
