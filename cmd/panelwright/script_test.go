package main

import (
	"bytes"
	"errors"
	"os"
	"path/filepath"
	"strconv"
	"strings"
	"testing"

	"github.com/rogpeppe/go-internal/testscript"
)

// The scripts in testdata run the program as people do, with its own stages. With UPDATE_SCRIPTS=1 the
// expected texts are written anew.
func TestScripts(t *testing.T) {
	testscript.Run(t, testscript.Params{
		Dir:                 "testdata",
		UpdateScripts:       os.Getenv("UPDATE_SCRIPTS") == "1",
		RequireExplicitExec: true,
		Setup: func(e *testscript.Env) error {
			e.Setenv("XDG_CACHE_HOME", filepath.Join(e.WorkDir, ".cache"))
			e.Setenv("NIGHTLY", filepath.Join(root(t), "recipes", "nightly", "nightly.sh"))
			return nil
		},
		Cmds: map[string]func(*testscript.TestScript, bool, []string){"exits": exits, "edit": edit},
	})
}

// exits runs a program that must end with the code: exits 2 panelwright build x.
func exits(ts *testscript.TestScript, neg bool, args []string) {
	if neg || len(args) < 2 {
		ts.Fatalf("usage: exits code program args...")
	}
	err := ts.Exec(args[1], args[2:]...)
	code := 0
	var exit interface{ ExitCode() int }
	if errors.As(err, &exit) {
		code = exit.ExitCode()
	} else if err != nil {
		ts.Fatalf("%v", err)
	}
	if strconv.Itoa(code) != args[0] {
		ts.Fatalf("exit code %d, and %s was expected", code, args[0])
	}
}

// edit replaces a text that a file holds by another, once: edit file old new. \n begins a new line.
func edit(ts *testscript.TestScript, neg bool, args []string) {
	if neg || len(args) != 3 {
		ts.Fatalf("usage: edit file old new")
	}
	at := ts.MkAbs(args[0])
	args[2] = strings.ReplaceAll(args[2], `\n`, "\n")
	data, err := os.ReadFile(at)
	ts.Check(err)
	if !bytes.Contains(data, []byte(args[1])) {
		ts.Fatalf("%s does not hold %q", args[0], args[1])
	}
	ts.Check(os.WriteFile(at, bytes.Replace(data, []byte(args[1]), []byte(args[2]), 1), 0o644))
}
