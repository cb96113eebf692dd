package boardset_test

import (
	"context"
	"fmt"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"panelwright/pipeline"
	"panelwright/pipeline/geom"
	"panelwright/pipeline/internal/boardset"
	"panelwright/pipeline/internal/shared"
	"panelwright/pipeline/panel"
	"panelwright/pipeline/run"
	"panelwright/stages/board/intake"
)

// TestPlantedPlacements writes the placement of an open board in other coordinates: with an origin of
// its own, with the bottom mirrored, in another unit that nothing names. Each must be found by the
// board's pads, and undone.
func TestPlantedPlacements(t *testing.T) {
	dir := shared.Dir(t, "boards")
	units := map[string]struct {
		of       geom.Length
		decimals int
	}{"mm": {geom.MM, 4}, "mil": {geom.Mil, 2}, "inch": {geom.Inch, 5}, "um": {geom.UM, 1}}
	for _, b := range boardset.All() {
		if b.Folder != "pilot-2l-mil" && b.Folder != "module-6l-slots" && b.Folder != "watch-2l-loops" {
			continue
		}
		p, _, err := read(t, dir, b, 1)
		require.NoError(t, err)
		is := p.Board(b.Name()).Parts
		for _, c := range []struct {
			unit   string
			named  bool
			shift  geom.Point // of the board's origin, seen in the file
			mirror bool
		}{
			{"mm", true, geom.Point{}, false},
			{"mil", false, geom.Point{}, false},
			{"inch", false, geom.Point{}, false},
			{"um", false, geom.Point{}, false},
			{"mm", true, geom.Pt(-40*geom.MM, 55_500*geom.UM), false},
			{"inch", false, geom.Pt(-40*geom.MM, 55_500*geom.UM), false},
			{"mm", true, geom.Point{}, true},
			{"mil", false, geom.Pt(100*geom.MM, 0), true},
		} {
			t.Run(fmt.Sprintf("%s/%s %v %v %v", b.Folder, c.unit, c.named, c.shift, c.mirror), func(t *testing.T) {
				if c.mirror && b.Folder == "watch-2l-loops" {
					t.Skip("four parts on the bottom, three of which agree: too few to tell")
				}
				u := units[c.unit]
				var text strings.Builder
				if c.named {
					fmt.Fprintf(&text, "# Unit: %s\n", c.unit)
				}
				text.WriteString("Ref,Value,Package,X,Y,Rotation,Side\n")
				for _, x := range is {
					at := x.At.Add(c.shift)
					if c.mirror && x.Side == panel.Bottom {
						at.X = c.shift.X - x.At.X
					}
					n := func(v geom.Length) string { return fmt.Sprintf("%.*f", u.decimals, float64(v)/float64(u.of)) }
					fmt.Fprintf(&text, "%q,%q,%q,%s,%s,%s,%s\n", x.Refdes, x.Value, x.Package, n(at.X), n(at.Y), x.Turn.Decimal(), x.Side)
				}
				tmp := t.TempDir()
				require.NoError(t, os.WriteFile(filepath.Join(tmp, "planted.csv"), []byte(text.String()), 0o666))
				paths := []pipeline.InPath{{Text: "planted.csv", Dir: tmp}}
				files, err := os.ReadDir(filepath.Join(dir, b.Folder))
				require.NoError(t, err)
				for _, f := range files {
					if n := strings.ToLower(f.Name()); strings.Contains(n, "mask") || strings.Contains(n, "cu") && !strings.Contains(n, "edgecuts") || strings.HasPrefix(n, "copper") ||
						strings.Contains(n, "edgecuts") || strings.Contains(n, "profile") || strings.Contains(n, "outline") || strings.HasSuffix(n, ".gtl") || strings.HasSuffix(n, ".gbl") || strings.HasSuffix(n, ".gts") || strings.HasSuffix(n, ".gbs") {
						paths = append(paths, pipeline.InPath{Text: b.Folder + "/" + f.Name(), Dir: dir})
					}
				}
				count := p.Board(b.Name()).CopperCount
				r, err := intake.Read(context.Background(), run.NewFiles(context.Background(), dir, ""), intake.Request{Name: "b", Paths: paths, Tolerance: intake.DefaultTolerance, CopperCount: count, Workers: 2})
				require.NoError(t, err)
				require.Len(t, r.Places, 1)
				q := r.Places[0]
				assert.Equal(t, c.unit, q.Unit)
				want := intake.AsWritten
				if c.mirror || c.shift != (geom.Point{}) {
					want = intake.Moved
				}
				assert.Equal(t, want, q.Verdict)
				assert.Equal(t, c.mirror, q.Mirrored)
				assert.Less(t, q.Shift.Add(c.shift).Distance(geom.Point{}), float64(15*geom.UM), "moved by %v", q.Shift)
				assert.GreaterOrEqual(t, 10*q.Agree, 8*q.Of, "%d of %d agree", q.Agree, q.Of)
			})
		}
	}
}
