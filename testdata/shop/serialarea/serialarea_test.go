package serialarea

import (
	"context"
	"fmt"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"github.com/zclconf/go-cty/cty"

	"panelwright/cmd/program"
	"panelwright/pipeline"
	"panelwright/pipeline/geom"
	"panelwright/pipeline/panel"
	"panelwright/pipeline/stagetest"
)

const mm = geom.MM

// framed is a board of 60 x 40 mm in a frame of rails 10 mm wide, 2 mm away: 84 x 64 mm. Marks stand where change puts them.
func framed(t *testing.T, change func(*panel.Builder)) panel.Panel {
	t.Helper()
	b := &panel.Board{Name: "sluice", Outline: geom.Outline{Outer: geom.Rectangle(geom.Box{Max: geom.Pt(60*mm, 40*mm)})}}
	e := panel.Panel{}.Edit().AddBoard(b).AddCopy(panel.Copy{ID: "A1", Board: b}).
		LayRails([]panel.RailSide{panel.Upper, panel.Lower, panel.Left, panel.Right}, 10*mm, 2*mm, 0, false)
	if change != nil {
		change(e)
	}
	p, err := e.Build()
	require.NoError(t, err)
	return p
}

func hole(e *panel.Builder, x, y geom.Length) {
	e.AddMark(panel.Mark{ID: fmt.Sprintf("tooling_hole/%d", x/mm), Kind: panel.ToolingHole, At: geom.Pt(x, y), Diameter: 4 * mm})
}

// The shop's stages and rules go with all that the program has.
func TestTheProgramFits(t *testing.T) {
	p := program.New("acme-panels", "1")
	require.NoError(t, pipeline.CheckProgram(append(p.Stages, Kind(), ListKind()), append(p.Rules, Rules()...)))
}

// The upper rail is 84 mm long and lies from y = 54 mm to 64 mm: a patch 6 mm high begins at y = 56 mm, 1 mm from the panel's
// edge at x = 1 mm. A hole of 4 mm at (5, 59) reaches to x = 7 mm: 8 mm is the first place, which is a whole number of half
// millimetres from 1 mm.
func TestPatchByHand(t *testing.T) {
	for name, c := range map[string]struct {
		options    string
		x, y, w, h geom.Length
	}{
		"as the kind has it":  {``, 8 * mm, 56 * mm, 20 * mm, 6 * mm},
		"from the other end":  {`corner = "upper_right"`, 63 * mm, 56 * mm, 20 * mm, 6 * mm},
		"on the lower rail":   {`corner = "lower_left"`, mm, 2 * mm, 20 * mm, 6 * mm},
		"on the bottom, wide": {"side = \"bottom\"\nwidth = 40\nheight = \"8 mm\"", 8 * mm, 55 * mm, 40 * mm, 8 * mm},
	} {
		t.Run(name, func(t *testing.T) {
			got := stagetest.Run(t, Kind(), c.options, framed(t, func(e *panel.Builder) { hole(e, 5*mm, 59*mm) }), nil)
			assert.Empty(t, got.Findings)
			require.Len(t, patches(got.Panel), 1)
			p := patches(got.Panel)[0]
			want := geom.Box{Min: geom.Pt(c.x, c.y), Max: geom.Pt(c.x+c.w, c.y+c.h)}
			assert.Equal(t, want, p.Area)
			assert.Equal(t, want, p.Areas[0].Box(), "what is drawn")
			value := got.Values["acme_serial."+string(p.Layers[0].Side)]
			for name, l := range map[string]geom.Length{"x": c.x, "y": c.y, "width": c.w, "height": c.h} {
				assert.True(t, value.GetAttr(name).RawEquals(cty.MustParseNumberVal(l.Decimal())), name)
			}
		})
	}
}

// Holes 16 mm apart leave no 20 mm between them: a finding, no patch, and the corner's own place to read.
func TestNoRoom(t *testing.T) {
	crowded := framed(t, func(e *panel.Builder) {
		for x := 6 * mm; x < 84*mm; x += 16 * mm {
			hole(e, x, 59*mm)
		}
	})
	got := stagetest.Run(t, Kind(), ``, crowded, nil)
	assert.Empty(t, patches(got.Panel))
	require.Len(t, got.Findings, 1)
	f := got.Findings[0]
	assert.Equal(t, pipeline.Error, f.Severity)
	assert.Equal(t, room, f.Rule)
	assert.Equal(t, "acme_serial_area/top, 20 mm along it and 6 mm across, kept 1 mm clear, has no room on rail/upper: "+
		"from the corner on, the first thing in the way is tooling_hole/6", f.Message)
	assert.True(t, got.Values["acme_serial.top"].GetAttr("x").RawEquals(cty.NumberIntVal(1)))
}

func TestRefusals(t *testing.T) {
	for options, want := range map[string]string{
		"colour = 1":                "stage.panel.hcl:5:1: stage acme_serial_area has no option \"colour\"",
		"widht = 1":                 "no option \"widht\"; nearest: width",
		"height = 12":               "option width must be at least twice the height, 24 mm: a serial number is long and low",
		"width = 200":               "option width is 200 mm; it must lie between 5 and 100 mm",
		"corner = \"left\"":         "option corner knows no \"left\"",
		"height = 9\nwidth = 30":    "the patch is larger than the rail",
		"width = 90\nheight = 2":    "the patch is larger than the rail",
		"clearance = 3\nheight = 5": "the patch is larger than the rail",
	} {
		assert.ErrorContains(t, stagetest.Fails(t, Kind(), options, framed(t, nil), nil), want, options)
	}
}

// A patch 5 mm high meets a limit of 5 mm, and not one of 5.001 mm.
func TestReadable(t *testing.T) {
	p := stagetest.Run(t, Kind(), "height = 5", framed(t, nil), nil).Panel
	rule := Rules()[0]
	for limit, findings := range map[float64]int{*rule.Default: 0, 5.001: 1} {
		found, err := rule.Judge(context.Background(), pipeline.Case{Panel: p, Limit: limit})
		require.NoError(t, err)
		require.Len(t, found, findings)
		for _, f := range found {
			assert.Equal(t, "acme_serial_area/top is 5 mm high; at least 5.001 mm are asked for", f.Message)
			assert.Equal(t, 5.0, *f.Measured)
		}
	}
	why, err := rule.Missing(context.Background(), pipeline.Case{Panel: framed(t, nil)})
	require.NoError(t, err)
	assert.Equal(t, "the panel has no patch for a serial number", why)
}

func TestList(t *testing.T) {
	p := stagetest.Run(t, Kind(), ``, framed(t, nil), nil).Panel
	got := stagetest.Run(t, ListKind(), `remarks = false`, p, nil)
	assert.Equal(t, "area,side,x_mm,y_mm,width_mm,height_mm\nacme_serial_area/top,top,1,56,20,6\n",
		string(got.Outputs["assembly/stage-test-serial-areas.csv"]))
}
