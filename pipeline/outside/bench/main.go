// Command bench measures how fast, and with how little memory, layer files are read, against a
// reader from the npm registry (testdata/outside): same files, whole processes, in one run.
//
//	go run ./pipeline/outside/bench [-n repeats] [-boards folder]
//
// It prints a table for the board with the most bytes of layers and one for all boards together, and
// holds the first against the targets. Runs of the readers take turns, so that a machine that slows
// down slows all of them down; what counts is the best run of each, and medians stand beside it.
//
// With -read it is itself the reader that is measured: it reads the files named, as the board stage
// reads them, and ends.
package main

import (
	"context"
	"flag"
	"fmt"
	"os"
)

func main() {
	var (
		read    = flag.Bool("read", false, "read the files named, and say as JSON what came of it")
		times   = flag.Int("times", 1, "with -read: read them so often, for a profile")
		profile = flag.String("profile", "", "with -read: write a profile of processor time to this file")
		memory  = flag.String("memory", "", "with -read: write a profile of all memory taken to this file")
		spin    = flag.Bool("arithmetic", false, "do some arithmetic instead, which shows what the machine's cores give")
		n       = flag.Int("n", 9, "runs of each reader")
		boards  = flag.String("boards", "", "the folder of boards (default: boards in $PANELWRIGHT_SHARED, else in ../shared)")
		scripts = flag.String("scripts", "testdata/outside", "where read-layers.mjs and its packages are")
	)
	flag.Parse()
	var err error
	switch {
	case *spin:
		err = arithmetic(context.Background())
	case *read:
		err = readAll(context.Background(), flag.Args(), max(1, *times), *profile, *memory)
	default:
		err = measure(*boards, *scripts, max(1, *n))
	}
	if err != nil {
		fmt.Fprintln(os.Stderr, "bench:", err)
		os.Exit(1)
	}
}
