package mechanics

import (
	"crypto/sha256"
	"flag"
	"fmt"
	"math"
	"os"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"panelwright/pipeline/geom"
	"panelwright/pipeline/panel"
)

var update = flag.Bool("update", false, "write the digests anew")

// TestSameDigitsOnEveryProcessor holds digests of whole answers, every bit of them; "make arm64" runs it on another processor.
func TestSameDigitsOnEveryProcessor(t *testing.T) {
	pressing := func(s *panel.Support) { s.Force = panel.Constant{Value: 2, Unit: "N"} }
	scored := held(t, 1600*geom.UM, []int{10, 30}, []int{20}).AddScore(panel.Score{ID: "score/x1", From: geom.Pt(20*geom.MM, 0), To: geom.Pt(20*geom.MM, 64*geom.MM),
		RemainingWeb: 400 * geom.UM, Depth: 600 * geom.UM, IncludedAngle: 30 * geom.Degree})
	var out strings.Builder
	for _, x := range []struct {
		name string
		p    panel.Panel
	}{
		{"tabs", supported(t, held(t, 1600*geom.UM, []int{8, 22, 33}, []int{12, 30}), pressing)},
		{"tabs and a score line", supported(t, scored, pressing)},
	} {
		a := of(t, x.p)
		h := sha256.New()
		for _, s := range a.States {
			fmt.Fprintf(h, "%s %x %v %s %x\n", s.Kind, math.Float64bits(s.Sag), s.SagAt, s.Pressed, math.Float64bits(s.Pull))
		}
		for _, v := range a.Hertz {
			fmt.Fprintf(h, "%x\n", math.Float64bits(v))
		}
		for _, tab := range a.Tabs {
			fmt.Fprintf(h, "%s %x %x %x\n", tab.Tab, math.Float64bits(tab.Least), math.Float64bits(tab.Without.Sag), math.Float64bits(tab.Without.Reserve))
		}
		for _, l := range a.Lines {
			fmt.Fprintf(h, "%s %x\n", l.Score, math.Float64bits(l.Least))
		}
		fmt.Fprintf(&out, "%x  %s, %d nodes, %.6g mm, %.6g Hz\n", h.Sum(nil), x.name, a.Nodes, a.States[1].Sag, a.Hertz[0])
	}
	if *update {
		require.NoError(t, os.WriteFile("testdata/digests.txt", []byte(out.String()), 0o666))
	}
	want, err := os.ReadFile("testdata/digests.txt")
	require.NoError(t, err)
	assert.Equal(t, string(want), out.String(), "write them anew with -update, and say why")
}
