package gerber

import (
	"testing"

	"github.com/stretchr/testify/require"

	"panelwright/pipeline/geom"
	"panelwright/pipeline/panel/artwork"
)

const stateHead = "%FSLAX34Y34*%%MOMM*%%ADD10R,2X1*%"

func inMM(x, y float64) geom.Point {
	return geom.Pt(geom.Round(x*float64(geom.MM)), geom.Round(y*float64(geom.MM)))
}

// Old image statements: the deprecated chapter of the layer format specification (from memory), which
// gives the order mirror, scale, offset, rotation, axes, and leaves apertures alone but for the last
// two.
func TestImageStatements(t *testing.T) {
	for _, c := range []struct {
		name, statements string
		at               geom.Point // of a flash at 3, 1 mm
		wide             bool       // the rectangle lies as it was defined
	}{
		{"none", "", inMM(3, 1), true},
		{"mirror A", "%MIA1B0*%", inMM(-3, 1), true},
		{"mirror B", "%MIB1*%", inMM(3, -1), true},
		{"scale", "%SFA2B2*%", inMM(6, 2), true},
		{"scale unequally", "%SFA2B0.5*%", inMM(6, 0.5), true},
		{"offset", "%OFA10B20*%", inMM(13, 21), true},
		{"offsets of image and of coordinates", "%IOA10*%%OFB20*%", inMM(13, 21), true},
		{"offset replaced before drawing", "%OFA10*%%OFA20*%", inMM(23, 1), true},
		{"rotation", "%IR90*%", inMM(-1, 3), false},
		{"axes", "%ASAYBX*%", inMM(1, 3), false},
		{"axes back", "%ASAYBX*%%ASAXBY*%", inMM(3, 1), true},
		{"all, in any order", "%ASAYBX*%%IR90*%%OFA10B0*%%SFA2B2*%%MIA1B0*%", inMM(4, -2), true},
	} {
		t.Run(c.name, func(t *testing.T) {
			m, _, err := Read("old.gbr", []byte(stateHead+c.statements+"D10*X30000Y10000D03*M02*"), Options{})
			require.NoError(t, err)
			require.Len(t, m.Objects, 1)
			require.Equal(t, c.at, m.Objects[0].Edge.From)
			box := m.Box(m.Objects[0])
			require.Equal(t, c.wide, box.Width() == 2*geom.MM, box)
			require.Equal(t, c.wide, box.Height() == geom.MM, box)
		})
	}
}

func TestImageStatementsMidway(t *testing.T) {
	m, rep, err := Read("old.gbr", []byte(stateHead+"D10*X30000Y10000D03*%MIA1B0*%X30000Y10000D03*M02*"), Options{})
	require.NoError(t, err)
	require.Equal(t, inMM(3, 1), m.Objects[0].Edge.From)
	require.Equal(t, inMM(-3, 1), m.Objects[1].Edge.From)
	require.Len(t, rep.Warnings, 1)
	for _, s := range []string{"%IR90*%", "%IOA1*%"} {
		_, _, err = Read("old.gbr", []byte(stateHead+"D10*X30000Y10000D03*"+s+"M02*"), Options{})
		require.ErrorContains(t, err, "after drawing has begun")
	}
}

// An asymmetric aperture shows that swapped axes mirror it, and that mirrored coordinates do not.
func TestAxesMirrorApertures(t *testing.T) {
	const hook = "%FSLAX34Y34*%%MOMM*%%AMHOOK*4,1,3,0,0,3,0,0,1,0,0,0*%%ADD10HOOK*%"
	box := func(statement string) geom.Box {
		m, _, err := Read("old.gbr", []byte(hook+statement+"D10*X0Y0D03*M02*"), Options{})
		require.NoError(t, err)
		d := m.Drawn(m.Objects[0])
		return d.Box()
	}
	require.Equal(t, geom.Box{Max: inMM(3, 1)}, box(""))
	require.Equal(t, geom.Box{Max: inMM(1, 3)}, box("%ASAYBX*%"))
	require.Equal(t, geom.Box{Max: inMM(3, 1)}, box("%MIA1B1*%"))
}

func TestUnequalScaleOfArcs(t *testing.T) {
	const file = "%FSLAX34Y34*%%MOMM*%%SFA2B1*%G75*G36*X10000Y0D02*G03X10000Y0I-10000J0D01*G37*M02*"
	m, rep, err := Read("old.gbr", []byte(file), Options{})
	require.NoError(t, err)
	require.Len(t, rep.Warnings, 1)
	path := m.Regions[0].Contours[0]
	area := 0.0
	for _, e := range path {
		area += float64(e.From.X)*float64(e.To.Y) - float64(e.To.X)*float64(e.From.Y)
		x, y := float64(e.From.X)/2, float64(e.From.Y)
		require.InDelta(t, 1e12, x*x+y*y, 3e6, "every corner lies on the ellipse")
	}
	require.InEpsilon(t, 2*3.14159265358979*1e12, area/2, 4e-4) // chords within 0.5 µm take off a third of their height times the length
}

func TestKnockout(t *testing.T) {
	read := func(body string) *artwork.Image {
		m, _, err := Read("old.gbr", []byte(stateHead+"D10*"+body+"M02*"), Options{})
		require.NoError(t, err)
		return m
	}
	m := read("X0Y0D03*%KOCX-1.5Y-1.5I3J4*%X10000Y0D03*")
	require.Len(t, m.Objects, 3)
	require.Equal(t, artwork.Fill, m.Objects[1].Kind)
	require.True(t, m.Objects[1].Clear)
	require.Equal(t, geom.Box{Min: inMM(-1.5, -1.5), Max: inMM(1.5, 2.5)}, m.Box(m.Objects[1]))

	// A border lies round what follows, up to the next level, and under it.
	m = read("X0Y0D03*%KODK0.5*%%LPC*%X10000Y0D03*X30000D03*%LPD*%X90000Y90000D03*")
	require.Len(t, m.Objects, 5)
	require.Equal(t, artwork.Fill, m.Objects[1].Kind)
	require.False(t, m.Objects[1].Clear)
	require.Equal(t, geom.Box{Min: inMM(-0.5, -1), Max: inMM(4.5, 1)}, m.Box(m.Objects[1]))
	require.True(t, m.Objects[2].Clear)

	// Within a step-and-repeat it belongs to the block.
	m = read("%SRX2Y1I20J0*%%KOCK1*%X0Y0D03*%SR*%")
	require.Len(t, m.Objects, 4)
	require.True(t, m.Objects[0].Clear && m.Objects[2].Clear)
	require.Equal(t, geom.Box{Min: inMM(18, -1.5), Max: inMM(22, 1.5)}, m.Box(m.Objects[2]))

	// Nothing follows: nothing is drawn.
	require.Len(t, read("X0Y0D03*%KOCK1*%").Objects, 1)
}

func TestNegativeImage(t *testing.T) {
	m, rep, err := Read("old.gbr", []byte("%IPNEG*%"+stateHead+"D10*X0Y0D03*M02*"), Options{})
	require.NoError(t, err)
	require.True(t, m.Negative)
	require.Len(t, rep.Deprecated, 1)
	require.Contains(t, string(written(t, m, geom.Transform{})), "%IPNEG*%")
}
