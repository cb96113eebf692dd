// Package shared finds, for tests, the open board data that lives outside the repository.
package shared

import (
	"os"
	"path/filepath"
	"testing"
)

// Dir gives the folder called name within the shared data. Where it is absent the test is skipped
// with a message; with PANELWRIGHT_REQUIRE_OUTSIDE=1, as in continuous integration, it fails.
func Dir(t testing.TB, name string) string {
	t.Helper()
	root := os.Getenv("PANELWRIGHT_SHARED")
	if root == "" {
		dir, err := os.Getwd()
		for err == nil {
			if _, e := os.Stat(filepath.Join(dir, "go.mod")); e == nil {
				root = filepath.Join(filepath.Dir(dir), "shared")
				break
			}
			up := filepath.Dir(dir)
			if up == dir {
				break
			}
			dir = up
		}
	}
	path := filepath.Join(root, name)
	if _, err := os.Stat(path); root == "" || err != nil {
		Missing(t, "the open board data ("+name+") are not here: set PANELWRIGHT_SHARED to the folder that holds them")
	}
	return path
}

// Missing skips a test that needs something outside the project, or fails it where such tests are
// compulsory.
func Missing(t testing.TB, what string) {
	t.Helper()
	if os.Getenv("PANELWRIGHT_REQUIRE_OUTSIDE") == "1" {
		t.Fatal(what)
	}
	t.Skip(what)
}
