package recipe

import (
	"errors"
	"os"
	"path/filepath"
	"strings"
	"testing"
	"time"
)

// FuzzLoad reads any bytes as a recipe, in either syntax. It must end, without a panic, in a plan
// whose stages can be listed or in mistakes that point into the file.
func FuzzLoad(f *testing.F) {
	cases, _ := filepath.Glob("testdata/mistakes/*.txt")
	for _, path := range cases {
		data, err := os.ReadFile(path)
		if err != nil {
			f.Fatal(err)
		}
		archive, _, _ := strings.Cut(string(data), want)
		for i, part := range strings.Split(archive, "-- p.panel.") {
			if i > 0 {
				kind, text, _ := strings.Cut(part, " --\n")
				f.Add([]byte(text), kind == "json")
			}
		}
	}
	_, recipe, _ := strings.Cut(whole, "--\n")
	f.Add([]byte(recipe), false)
	dir := f.TempDir()
	settings := fakes()
	f.Fuzz(func(t *testing.T, data []byte, json bool) {
		path := filepath.Join(dir, "p.panel.hcl")
		if json {
			path = filepath.Join(dir, "p.panel.json")
		}
		if err := os.WriteFile(path, data, 0o644); err != nil {
			t.Fatal(err)
		}
		watch := time.AfterFunc(20*time.Second, func() { panic("this input takes too long") })
		defer watch.Stop()
		p, err := Load(path, settings)
		if err != nil {
			var all Mistakes
			if !errors.As(err, &all) {
				t.Fatalf("not a mistake in the recipe: %v", err)
			}
			_ = all.Error()
			for _, m := range all {
				if m.What == "" || m.Do == "" || m.Line > strings.Count(string(data), "\n")+1 {
					t.Fatalf("mistake without words or place: %#v", m)
				}
			}
			return
		}
		for _, c := range p.Calls {
			c.Settled(nil)
			_, _ = c.Stage(nil)
		}
	})
}
