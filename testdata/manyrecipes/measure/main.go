// Measure measures how long the program takes for many recipes, and how much memory, and prints a Markdown table:
//
//	go run ./testdata/manyrecipes/measure -sizes 10,100,1000
//
// For each number of recipes over 50 boards: the first build of all, all of them unchanged, one of them unchanged as a whole process
// (the median of 20), one board changed (only its users may be built again), dates touched (nothing may be built again), and two
// processes of one processor each with --part against one such process. Whatever is built again is seen from the build
// folders, not from what the program says. It ends with 1 where the wrong builds were made. -unchanged 10000 builds so many
// lean recipes and measures them unchanged.
//
// It is run from the repository. Nothing else should be running.
package main

import (
	"flag"
	"fmt"
	"os"
	"path/filepath"
	"runtime"
	"strconv"
	"strings"
)

func main() {
	sizes := flag.String("sizes", "10,100,1000", "numbers of recipes, with commas")
	boards := flag.Int("boards", 50, "how many boards they are over")
	pairs := flag.Int("pairs", 1000, "the largest number of recipes for which two processes are held against one")
	unchanged := flag.Int("unchanged", 0, "lean recipes of which only the first build and the unchanged one are measured; 0: none")
	work := flag.String("work", "", "folder to work in, removed at the end; one of the system's unless given")
	flag.Parse()
	if err := measure(*sizes, *boards, *pairs, *unchanged, *work); err != nil {
		fmt.Fprintln(os.Stderr, "measure:", err)
		os.Exit(1)
	}
}

func measure(sizes string, boards, pairs, unchanged int, work string) error {
	var numbers []int
	for _, s := range strings.FieldsFunc(sizes, func(r rune) bool { return r == ',' }) {
		n, err := strconv.Atoi(s)
		if err != nil || n < 1 {
			return fmt.Errorf("-sizes does not take %q", s)
		}
		numbers = append(numbers, n)
	}
	dir, err := os.MkdirTemp(work, "measure")
	if err != nil {
		return err
	}
	defer os.RemoveAll(dir)
	m := &meter{program: filepath.Join(dir, "panelwright"), generator: filepath.Join(dir, "manyrecipes"), dir: dir}
	for from, to := range map[string]string{"./cmd/panelwright": m.program, "./testdata/manyrecipes": m.generator} {
		if err := plain("go", "build", "-buildvcs=false", "-o", to, from); err != nil {
			return err
		}
	}
	fmt.Printf("%s, %d processors\n\n", runtime.Version(), runtime.NumCPU())
	fmt.Println("| recipes (builds) | boards | first build | processor time | peak memory | all unchanged | one unchanged, whole process | one board changed | dates touched | two processes : one |")
	fmt.Println("|---|---|---|---|---|---|---|---|---|---|")
	for _, n := range numbers {
		if err := m.row(n, min(boards, n), n <= pairs); err != nil {
			return err
		}
	}
	if unchanged > 0 {
		if err := m.lean(unchanged, boards); err != nil {
			return err
		}
	}
	if m.wrong > 0 {
		return fmt.Errorf("%d times the wrong builds were made", m.wrong)
	}
	return nil
}
