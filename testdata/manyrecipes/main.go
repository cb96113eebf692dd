// Manyrecipes writes as many recipes as a shop has after some years, over a set of small boards, for measuring and for tests
// of what happens when there are thousands:
//
//	go run ./testdata/manyrecipes -recipes 1000 -boards 50 -seed 1 -o DIR
//
// DIR holds the recipes, and the folders boards and standards. Equal flags give equal bytes. Each board has about as many
// recipes as the next; some recipes hold two boards, some are for two suppliers. The recipes differ in columns, rows, gap, rails,
// tabs or score lines, standards. With -faults K, K of them, evenly strewn, fail on purpose, in the ways that faults.go lists.
package main

import (
	"flag"
	"fmt"
	"io"
	"os"
)

func main() {
	var m many
	flag.IntVar(&m.recipes, "recipes", 1000, "how many recipes")
	flag.IntVar(&m.boards, "boards", 50, "how many boards")
	flag.Uint64Var(&m.seed, "seed", 1, "what the choices follow from")
	flag.IntVar(&m.faults, "faults", 0, "how many recipes fail on purpose")
	flag.BoolVar(&m.lean, "lean", false, "recipes without support, drawing, report and assembly data, which are built sooner")
	out := flag.String("o", "", "folder to write into; must be empty or absent")
	flag.Parse()
	if err := run(m, *out, os.Stdout); err != nil {
		fmt.Fprintln(os.Stderr, "manyrecipes:", err)
		os.Exit(1)
	}
}

func run(m many, dir string, log io.Writer) error {
	switch {
	case dir == "":
		return fmt.Errorf("where to? name a folder with -o")
	case m.recipes < 1 || m.boards < 1 || m.recipes > 100_000 || m.boards > 1000:
		return fmt.Errorf("1 to 100000 recipes over 1 to 1000 boards can be made")
	case m.faults < 0 || m.faults > m.recipes:
		return fmt.Errorf("of %d recipes %d cannot fail", m.recipes, m.faults)
	}
	if left, err := os.ReadDir(dir); err == nil && len(left) > 0 {
		return fmt.Errorf("%s is not empty", dir)
	}
	builds, err := m.write(dir)
	if err != nil {
		return err
	}
	fmt.Fprintf(log, "%d recipes for %d builds over %d boards, %d that fail on purpose, in %s\n", m.recipes, builds, m.boards, m.faults, dir)
	return nil
}
