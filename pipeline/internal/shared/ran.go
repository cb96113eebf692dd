package shared

import (
	"os"
	"strings"
	"testing"
)

// Ran records that the outside check called what has really run: one line in the file that the
// environment variable PANELWRIGHT_OUTSIDE_COUNT names. Without the variable it does nothing. Lines
// are told apart by their text, so what must differ from check to check.
//
// Call it at the end of a check, once the outside program has answered: a check that was skipped or
// that stopped early must not count.
func Ran(t testing.TB, what string) {
	t.Helper()
	name := os.Getenv("PANELWRIGHT_OUTSIDE_COUNT")
	if name == "" {
		return
	}
	// One short write in append mode: test binaries of several packages share the file.
	f, err := os.OpenFile(name, os.O_APPEND|os.O_CREATE|os.O_WRONLY, 0o644)
	if err != nil {
		t.Fatalf("cannot record that the outside check %q ran: %v", what, err)
	}
	_, err = f.WriteString(strings.ReplaceAll(what, "\n", " ") + "\n")
	if e := f.Close(); err == nil {
		err = e
	}
	if err != nil {
		t.Fatalf("cannot record that the outside check %q ran: %v", what, err)
	}
}
