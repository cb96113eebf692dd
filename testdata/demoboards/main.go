package main

import (
	"flag"
	"fmt"
	"io"
	"os"
	"path/filepath"
)

// makers are the boards, in the order they are written.
var makers = []struct {
	name string
	make func() *board
}{{"gauge", gauge}, {"modem", modem}, {"probe", probe}, {"relay", relay}}

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
	found := false
	for _, m := range makers {
		if only != "" && m.name != only {
			continue
		}
		found = true
		b := m.make()
		b.finish()
		folder := filepath.Join(dir, m.name)
		if err := os.MkdirAll(folder, 0o755); err != nil {
			return err
		}
		for _, f := range b.files() {
			if err := os.WriteFile(filepath.Join(folder, f.name), f.data, 0o644); err != nil {
				return err
			}
		}
		fmt.Fprintln(log, b.summary())
	}
	if !found {
		return fmt.Errorf("no board is called %q; there are gauge, modem, probe and relay", only)
	}
	return nil
}
