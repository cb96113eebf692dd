package main

import (
	"flag"
	"fmt"
	"io"
	"os"
	"path/filepath"

	"panelwright/testdata/demoboards/boards"
)

func main() {
	out := flag.String("o", "testdata/boards", "folder to write into; one folder a board")
	only := flag.String("only", "", "write this board only: gauge, modem, probe or relay")
	flag.Parse()
	if err := run(*out, *only, os.Stdout); err != nil {
		fmt.Fprintln(os.Stderr, "demoboards:", err)
		os.Exit(1)
	}
}

func run(dir, only string, log io.Writer) error {
	names := boards.Demo()
	if only != "" {
		names = []string{only}
	}
	for _, name := range names {
		b, ok := boards.MakeDemo(name)
		if !ok {
			return fmt.Errorf("no board is called %q; there are gauge, modem, probe and relay", name)
		}
		if err := b.Write(filepath.Join(dir, name)); err != nil {
			return err
		}
		fmt.Fprintln(log, b.Summary)
	}
	return nil
}
