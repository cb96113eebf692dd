package intake

import (
	"testing"

	"github.com/stretchr/testify/assert"

	"panelwright/pipeline/panel/artwork"
)

// Names as they are met in the field: common conventions, no published source.
func TestNames(t *testing.T) {
	for name, want := range map[string]string{
		"gauge-F_Cu.gbr": "top copper", "gauge-B.Cu.gbl": "bottom copper", "copper_top.gbr": "top copper", "TopCopper.ger": "top copper",
		"gauge.GTL": "top copper", "HIGH-BOTTOM.gbl": "bottom copper", "CuBottom.gbr": "bottom copper", "gauge.cmp": "top copper",
		"gauge-In1_Cu.gbr": "inner copper 1", "gauge-inner4.gbr": "inner copper 4", "Inner Layer 2.gbr": "", "gauge.g2": "inner copper 2",
		"gauge.gl3": "inner copper 3", "gauge-Inner_2.gbr": "inner copper 2", "L3_copper.gbr": "inner copper, layer 3",
		"gauge-F_Mask.gts": "top mask", "soldermask_bottom.gbr": "bottom mask", "MaskTop.gbr": "top mask", "gauge-B_SilkS.gbo": "bottom legend",
		"silkTop.gto": "top legend", "solderpaste_top.gbr": "top paste", "gauge-B.Paste.gbp": "bottom paste", "gauge-F_Silkscreen.gbr": "top legend",
		"Edge.Cuts.gm1": "profile", "gauge-Edge_Cuts.gko": "profile", "gauge_boardoutline.gbr": "profile", "profile.gbr": "profile", "EdgeCuts.gbr": "profile",
		"gauge v0.3.7_contour.gml": "profile", "Rev_B-copper_top.gbr": "top copper", "mask-maker-F_Cu.gbr": "top copper",
		"GND1.gbr": "", "power.gbr": "", "gauge.gbr": "", "top.gbr": "", "mask.gbr": "", "f_b.gbr": "",
	} {
		c, ok := nameClaim(name)
		got := ""
		if ok {
			got = c.text()
		}
		assert.Equal(t, want, got, name)
	}
	for _, name := range []string{"gauge-drl_map.gbr", "DrillMap.gbr", "gauge-Drawing.gbr"} {
		c, ok := nameClaim(name)
		assert.True(t, ok && c.ignored != "", name)
	}
}

func TestDrillNames(t *testing.T) {
	for _, c := range []struct {
		name     string
		from, to int
	}{
		{"gauge-front-in1.drl", 1, 2}, {"gauge-in1-in2.drl", 2, 3}, {"gauge-in2-back.drl", 3, 4}, {"gauge-L2-L3.drl", 2, 3},
		{"drill_1_16.xln", 1, 4}, {"gauge-PTH-1-2.drl", 1, 2}, {"gauge-1-2.drl", 0, 0}, {"gauge-2024-1-2-final.drl", 0, 0},
		{"1-3.drl", 1, 3}, {"gauge-drill-3-1.drl", 1, 3}, {"gauge.drl", 0, 0}, {"front-back.drl", 1, 4},
		{"gauge-1-2-blind.drl", 1, 2}, {"gauge_L2-L3_buried.drl", 2, 3}, {"gauge-blind-1-2.drl", 1, 2}, {"gauge-1-2-uvia.drl", 1, 2}, {"gauge-buried.drl", 0, 0},
	} {
		from, to, _ := spanByName(c.name, 4)
		assert.Equal(t, []int{c.from, c.to}, []int{from, to}, c.name)
	}
	for name, want := range map[string]artwork.Plating{
		"gauge-NPTH.drl": artwork.NonPlated, "gauge-PTH.drl": artwork.Plated, "gauge_non-plated.xln": artwork.NonPlated,
		"NonPlatedHoles.drl": artwork.NonPlated, "plated.drl": artwork.Plated, "gauge.drl": artwork.PlatingUnknown, "depth.drl": artwork.PlatingUnknown,
	} {
		assert.Equal(t, want, platingByName(name), name)
	}
}

func TestNameWithin(t *testing.T) {
	for _, c := range [][3]string{
		{"data", "data/a.gtl", "a.gtl"}, {"../data", "../data/in/a.gtl", "in/a.gtl"}, {"data/*.gtl", "data/a.gtl", "a.gtl"},
		{"data/**/*.gtl", "data/in/a.gtl", "in/a.gtl"}, {"data/a.gtl", "data/a.gtl", "a.gtl"}, {".", "a.gtl", "a.gtl"},
		{"/far/off/data", "/far/off/data/a.gtl", "a.gtl"}, {"/far/off/a.gtl", "/far/off/a.gtl", "a.gtl"},
	} {
		assert.Equal(t, c[2], nameWithin(c[0], c[1]), c)
	}
}

// FuzzSniff: whatever a file is called and holds, it is told apart without a panic, and a file that
// is not read has a reason.
func FuzzSniff(f *testing.F) {
	f.Add("a.gtl", []byte("%FSLAX46Y46*%"))
	f.Add("a.txt", []byte("M48\nT1C0.1\n"))
	f.Add("a.csv", []byte("Ref,Val,Package,PosX,PosY,Rot,Side\n"))
	f.Add("F_\xff.g1", []byte{0})
	f.Fuzz(func(t *testing.T, name string, data []byte) {
		kind, why := sniff(name, data)
		if (kind == OtherFile) != (why != "") {
			t.Errorf("%q, %q", kind, why)
		}
		nameClaim(name)
		spanByName(name, 4)
		platingByName(name)
		sideByName(name)
	})
}
