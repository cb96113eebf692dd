package compare

import (
	"context"
	"fmt"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"

	"panelwright/pipeline/format/gerber"
)

// layerText is a layer file with a body; lengths in it are nanometres.
func layerText(body string) string {
	return "%FSLAX46Y46*%\n%MOMM*%\nG01*\nG75*\n%ADD10C,1*%\n%ADD11R,2X1*%\n%ADD12C,2X0.5*%\n%LPD*%\n" + body + "M02*\n"
}

func at(x, y float64) string { return fmt.Sprintf("X%.0fY%.0f", x*1e6, y*1e6) }

// rect is a filled rectangle.
func rect(x0, y0, x1, y1 float64) string {
	return "G36*\n" + at(x0, y0) + "D02*\n" + at(x1, y0) + "D01*\n" + at(x1, y1) + "D01*\n" + at(x0, y1) + "D01*\n" + at(x0, y0) + "D01*\nG37*\n"
}

// halfTurned is rect turned by half: it begins at the other corner.
func halfTurned(x0, y0, x1, y1 float64) string { return rect(x1, y1, x0, y0) }

func flash(aperture int, x, y float64) string {
	return fmt.Sprintf("D%d*\n%sD03*\n", aperture, at(x, y))
}

func stroke(x0, y0, x1, y1 float64) string {
	return "D10*\n" + at(x0, y0) + "D02*\n" + at(x1, y1) + "D01*\n"
}

// Areas of symmetric difference against hand calculation.
func TestAreaByHand(t *testing.T) {
	const pi = 3.14159265358979
	for _, c := range []struct {
		name        string
		old, new    string
		gone, added float64 // mm²
	}{
		{"10 x 1 mm moved by 0.5 mm across: 10 x 0.5 each way", rect(0, 0, 10, 1), rect(0, 0.5, 10, 1.5), 5, 5},
		{"10 x 1 mm moved by 0.5 mm along: 0.5 x 1 each way, 1 mm² in all", rect(0, 0, 10, 1), rect(0.5, 0, 10.5, 1), 0.5, 0.5},
		{"disc appeared", "", flash(10, 5, 5), 0, pi / 4},
		{"disc gone beside another", flash(10, 5, 5) + flash(10, 8, 5), flash(10, 8, 5), pi / 4, 0},
		{"disc with a hole became whole: the hole", flash(12, 5, 5), "D10*\n" + "%ADD13C,2*%\n" + flash(13, 5, 5), 0, pi / 4 * 0.25},
		{"under a plane nothing shows", rect(0, 0, 10, 10), rect(0, 0, 10, 10) + flash(10, 5, 5), 0, 0},
		{"erased in a plane", rect(0, 0, 10, 10), rect(0, 0, 10, 10) + "%LPC*%\n" + rect(1, 1, 3, 2), 2, 0},
		{"erased, and filled again after", rect(0, 0, 10, 10) + "%LPC*%\n" + rect(1, 1, 3, 2), rect(0, 0, 10, 10) + "%LPC*%\n" + rect(1, 1, 3, 2) + "%LPD*%\n" + rect(1, 1, 2, 2), 0, 1},
		// The same objects in another order: first drawn and then erased, or first erased and then drawn.
		{"order counts", rect(0, 0, 4, 4) + "%LPC*%\n" + rect(1, 1, 3, 3), "%LPC*%\n" + rect(1, 1, 3, 3) + "%LPD*%\n" + rect(0, 0, 4, 4), 0, 4},
		{"order does not count where nothing is erased", rect(0, 0, 4, 4) + flash(10, 9, 9), flash(10, 9, 9) + rect(0, 0, 4, 4), 0, 0},
		{"the same stroke in two", stroke(0, 0, 10, 0), stroke(0, 0, 4, 0) + stroke(4, 0, 10, 0), 0, 0},
		{"the same stroke backwards", stroke(0, 0, 10, 0), stroke(10, 0, 0, 0), 0, 0},
		{"a stroke 1 mm longer", stroke(0, 0, 10, 0), stroke(0, 0, 11, 0), 0, 1},
		{"a rectangle flashed or filled", flash(11, 5, 5), rect(4, 4.5, 6, 5.5), 0, 0},
		{"all gone", rect(0, 0, 2, 3), "", 6, 0},
		{"overlapping areas count once", rect(0, 0, 1, 1), rect(0, 0, 1, 1) + rect(2, 0, 4, 1) + rect(3, 0, 5, 1), 0, 3},
	} {
		t.Run(c.name, func(t *testing.T) {
			a, _, err := gerber.Read("old", []byte(layerText(c.old)), gerber.Options{})
			require.NoError(t, err)
			b, _, err := gerber.Read("new", []byte(layerText(c.new)), gerber.Options{})
			require.NoError(t, err)
			gone, added, err := between(context.Background(), a, b)
			require.NoError(t, err)
			// Arcs are chords within 1 µm: of a perimeter of some mm that is some thousandths of a mm² at most.
			require.InDelta(t, c.gone, mm2(gone.Area()), 2e-3)
			require.InDelta(t, c.added, mm2(added.Area()), 2e-3)
			back, forth, err := between(context.Background(), b, a)
			require.NoError(t, err)
			require.InDelta(t, mm2(gone.Area()), mm2(forth.Area()), 1e-6)
			require.InDelta(t, mm2(added.Area()), mm2(back.Area()), 1e-6)
		})
	}
}

// onBoth writes a layer for both copies of onePanel: the board's own frame begins at the copy's corner. tail is what the
// panel adds after them.
func onBoth(body func(x, y float64) string, tail string) string {
	return layerText("G04 A1*\n" + body(2, 6) + "G04 B1*\n" + body(24, 6) + "G04 panel*\n%LPD*%\n" + tail)
}

func TestArtworkOfBoards(t *testing.T) {
	const file = "fab/two-copper-1-top.gbr"
	p := onePanel()
	plain := func(x, y float64) string { return rect(x+1, y+1, x+11, y+2) + flash(10, x+15, y+5) }
	mark := flash(10, 5, 2)
	base := aTree(p).with(file, onBoth(plain, mark))
	for _, c := range []struct {
		name string
		p    plan
		new  string
		want []string
	}{
		{"a rectangle moved by 0.5 mm on the board", p, onBoth(func(x, y float64) string { return rect(x+1, y+1.5, x+11, y+2.5) + flash(10, x+15, y+5) }, mark),
			[]string{"artwork: copper layer 1 of gauge changed over 10 mm² (5 mm² added, 5 mm² gone), on each of its 2 copies"}},
		{"on one copy only", p, layerText(plain(2, 6) + rect(3+22, 7.5, 13+22, 8.5) + flash(10, 15+24, 11) + mark),
			[]string{"artwork: copper layer 1 of gauge changed over 10 mm² (5 mm² added, 5 mm² gone), on 1 of its 2 copies (B1)"}},
		{"beside the copies", p, onBoth(plain, mark+flash(11, 30, 2)), []string{"artwork: copper layer 1 beside the copies changed over 2 mm² (2 mm² added, 0 mm² gone)"}},
		{"outside of the outline, and of the board", p, onBoth(func(x, y float64) string { return flash(11, x+10, y+10.4) + plain(x, y) }, mark), // 1 x 2 mm, centre 0.4 mm above the edge
			[]string{"artwork: copper layer 1 of gauge changed over 2 mm² (2 mm² added, 0 mm² gone), on each of its 2 copies"}},
		{"written otherwise", p, strings.Replace(onBoth(plain, mark), "G75*\n", "G75*\nG04 another word*\n", 1),
			[]string{"artwork: copper layer 1: fab/two-copper-1-top.gbr has the same picture, object by object, and another header"}},
		{"drawn otherwise", p, onBoth(func(x, y float64) string {
			return rect(x+1, y+1, x+6, y+2) + rect(x+6, y+1, x+11, y+2) + flash(10, x+15, y+5)
		}, mark),
			[]string{"artwork: copper layer 1 of gauge has the same picture, drawn otherwise, on each of its 2 copies"}},
		{"other nets", p, onBoth(func(x, y float64) string { return "%TO.N,GND*%\n" + plain(x, y) + "%TD*%\n" }, mark),
			[]string{"artwork: copper layer 1 of gauge has the same picture and other attributes (nets, functions of pads), on each of its 2 copies"}},
		{"a copy moved, its artwork with it", p.with("copies", p.lists["copies"][0], aCopy("B1", "gauge", 25, 7, 0)), layerText(plain(2, 6) + plain(25, 7) + mark),
			[]string{"copies: copy B1 moved 1 mm to the right and 1 mm up", "cuts: tab B1/tab/lower/1 stayed while its copy moved"}},
		{"a copy turned, its artwork with it", p.with("copies", p.lists["copies"][0], aCopy("B1", "gauge", 44, 16, 180)), layerText(plain(2, 6) + halfTurned(33, 14, 43, 15) + flash(10, 29, 11) + mark),
			[]string{"copies: copy B1 turned by 180°"}},
		{"a copy turned, its artwork not", p.with("copies", p.lists["copies"][0], aCopy("B1", "gauge", 44, 16, 180)), layerText(plain(2, 6) + plain(24, 6) + mark),
			// On the turned board the bar of 10 x 1 mm and the disc lie elsewhere, apart from where they were.
			[]string{"copies: copy B1 turned by 180°", "artwork: copper layer 1 of gauge changed over 21.6 mm² (10.8 mm² added, 10.8 mm² gone), on 1 of its 2 copies (B1)"}},
		{"no layer file", p, "%FSLAX46Y46*%\nwhat", []string{"artwork: fab/two-copper-1-top.gbr differs, and NEW/fab/two-copper-1-top.gbr cannot be read:"}},
	} {
		t.Run(c.name, func(t *testing.T) {
			next := aTree(c.p).with(file, c.new)
			old, new := base.manifest(p, nil).lay(t), next.manifest(c.p, nil).lay(t)
			r, err := Folders(context.Background(), old, new, Options{})
			require.NoError(t, err)
			got := told(r)
			require.Len(t, got, len(c.want), "%q", got)
			for i := range got {
				got[i] = strings.ReplaceAll(got[i], strings.TrimPrefix(new, ""), "NEW")
				require.True(t, strings.HasPrefix(got[i], c.want[i]), "%q is wanted, not %q", c.want[i], got[i])
			}
		})
	}
}

// A board turned by 30 degrees: coordinates are rounded once, and no sliver is told.
func TestArtworkOfATurnedCopy(t *testing.T) {
	turn := func(deg string) plan {
		p := onePanel()
		return p.with("copies", `{"id":"A1","board":"gauge","x_mm":20,"y_mm":20,"rotation_deg":`+deg+`,"box_mm":[[0,0],[50,50]]}`)
	}
	// cos 30° = 0.866025404, sin 30° = 0.5.
	put := func(x, y float64) (float64, float64) { return 20 + 0.866025404*x - 0.5*y, 20 + 0.5*x + 0.866025404*y }
	quad := func(x0, y0, x1, y1 float64) string {
		var c [4]string
		for i, p := range [][2]float64{{x0, y0}, {x1, y0}, {x1, y1}, {x0, y1}} {
			c[i] = at(put(p[0], p[1]))
		}
		return "G36*\n" + c[0] + "D02*\n" + c[1] + "D01*\n" + c[2] + "D01*\n" + c[3] + "D01*\n" + c[0] + "D01*\nG37*\n"
	}
	const file = "fab/two-copper-1-top.gbr"
	p := turn("30")
	straight := layerText(rect(22, 22, 32, 23))
	turned := layerText(quad(2, 2, 12, 3))
	r := compared(t, aTree(turn("0")).with(file, straight).manifest(p, nil), aTree(p).with(file, turned).manifest(p, nil))
	require.Equal(t, []string{"copies: copy A1 turned by 30° counter-clockwise", "artwork: copper layer 1 of gauge has the same picture, drawn otherwise"}, told(r))
	r = compared(t, aTree(p).with(file, turned).manifest(p, nil), aTree(p).with(file, layerText(quad(2, 2, 13, 3))).manifest(p, nil))
	require.Equal(t, []string{"artwork: copper layer 1 of gauge changed over 1 mm² (1 mm² added, 0 mm² gone)"}, told(r))
}
