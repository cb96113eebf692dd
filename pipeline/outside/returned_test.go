package outside

import (
	"bytes"
	"context"
	"encoding/json"
	"errors"
	"flag"
	"fmt"
	"os"
	"os/exec"
	"path/filepath"
	"regexp"
	"slices"
	"strings"
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"panelwright/pipeline/internal/shared"
)

// everyReturned asks for every open board; the build server holds those that are quick to write again.
var everyReturned = flag.Bool("every-returned", false, "write every open board's panel again by another program and hold that against the build")

// rewritten are the boards of which that is always done: one, for the other program takes its time.
var rewritten = []string{"pilot-2l-mil"}

// foreignName is how the rewritten file of one of a build is called: the other program leaves attributes out, so that names are all
// that tells what a file is.
func foreignName(panel, file string) string {
	key := strings.TrimPrefix(file, panel+"-")
	if m := regexp.MustCompile(`^copper-(\d+)-inner\.gbr$`).FindStringSubmatch(key); m != nil {
		var n int
		fmt.Sscan(m[1], &n)
		return fmt.Sprintf("acme-in%d.gbr", n-1)
	}
	if m := regexp.MustCompile(`^drill-(\w+)-(\d+)-(\d+)\.drl$`).FindStringSubmatch(key); m != nil {
		return fmt.Sprintf("acme-%s-L%s-L%s.drl", m[1], m[2], m[3])
	}
	key = regexp.MustCompile(`^copper-\d+-`).ReplaceAllString(key, "copper-")
	return "acme-" + strings.Replace(key, "drill-breakoff", "breakoff-nonplated", 1)
}

// holdRewritten has the layer viewer gerbv (Debian package gerbv; measured with 2.9.6) write every layer and drill file of a build
// again, in inches, turned by a quarter and moved, and requires that readback --against finds nothing wrong with that. What the
// program loses is named beforehand: its drill export leaves slots out, and writes diameters to a mil.
func holdRewritten(t *testing.T, b built) {
	t.Helper()
	back := t.TempDir()
	files, err := filepath.Glob(filepath.Join(b.dir, "fab", "*.*"))
	require.NoError(t, err)
	slots := false
	for _, f := range files {
		kind := map[string]string{".gbr": "rs274x", ".drl": "drill"}[filepath.Ext(f)]
		if kind == "" || strings.HasSuffix(f, "-array-drawing.gbr") {
			continue
		}
		data, err := os.ReadFile(f)
		require.NoError(t, err)
		if kind == "rs274x" && !bytes.Contains(data, []byte("D01*")) && !bytes.Contains(data, []byte("D03*")) {
			continue // it draws nothing, over which gerbv falls
		}
		slots = slots || kind == "drill" && (bytes.Contains(data, []byte("M15")) || bytes.Contains(data, []byte("G85")))
		ctx, stop := context.WithTimeout(t.Context(), 5*time.Minute)
		out := filepath.Join(back, foreignName(b.name, filepath.Base(f)))
		said, err := exec.CommandContext(ctx, "gerbv", "--translate=1x-2r90", "--export="+kind, "--output="+out, "--", f).CombinedOutput()
		stop()
		require.NoError(t, err, tail(string(said)))
		require.FileExists(t, out, tail(string(said)))
	}
	text, err := exec.Command(program(t), "readback", "--json", "--against", back, b.dir).Output()
	var failed *exec.ExitError
	if err != nil && !errors.As(err, &failed) {
		t.Fatal(err)
	}
	var answer struct {
		Readbacks []struct {
			Error    string
			Findings []struct{ Rule, Severity, Message string }
			Against  struct {
				Found  bool
				Turn   string      `json:"rotation_deg"`
				X      json.Number `json:"x_mm"`
				Y      json.Number `json:"y_mm"`
				Layers int
			}
		}
	}
	require.NoError(t, json.Unmarshal(text, &answer), string(text))
	require.Len(t, answer.Readbacks, 1)
	r := answer.Readbacks[0]
	require.Empty(t, r.Error)
	require.True(t, r.Against.Found)
	require.Equal(t, "90", r.Against.Turn)
	require.InDelta(t, 25_400_000, nm(t, r.Against.X), 3000)
	require.InDelta(t, -50_800_000, nm(t, r.Against.Y), 3000)
	require.Greater(t, r.Against.Layers, 1)
	lost := regexp.MustCompile(`^\d+ (non-)?plated slots? of [\d.]+ mm (is|are) (missing|not cut)`)
	for _, f := range r.Findings {
		if f.Severity != "note" && !(slots && lost.MatchString(f.Message)) {
			t.Errorf("written again by gerbv: %s %s: %s", f.Severity, f.Rule, f.Message)
		}
	}
	if !t.Failed() {
		shared.Ran(t, "returned: "+b.name+" as gerbv writes it again")
	}
}

func isRewritten(folder string) bool { return *everyReturned || slices.Contains(rewritten, folder) }
