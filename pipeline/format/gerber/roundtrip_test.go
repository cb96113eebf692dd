package gerber

import (
	"bytes"
	"fmt"
	"path/filepath"
	"reflect"
	"slices"
	"testing"

	"github.com/stretchr/testify/require"

	"panelwright/pipeline/geom"
	"panelwright/pipeline/panel/artwork"
)

// difference compares two images object by object, with apertures, regions and attributes looked
// up; "" when they are the same. Names of macros do not count.
func difference(a, b *artwork.Image) string {
	if !reflect.DeepEqual(a.Attributes, b.Attributes) {
		return fmt.Sprintf("file attributes %q and %q", a.Attributes, b.Attributes)
	}
	if a.Negative != b.Negative {
		return fmt.Sprintf("negative: %v and %v", a.Negative, b.Negative)
	}
	if len(a.Objects) != len(b.Objects) {
		return fmt.Sprintf("%d and %d objects", len(a.Objects), len(b.Objects))
	}
	set := func(m *artwork.Image, i int32) artwork.Attributes {
		if len(m.Sets[i]) == 0 {
			return nil
		}
		return m.Sets[i]
	}
	for i := range a.Objects {
		o, q := a.Objects[i], b.Objects[i]
		if o.Kind != q.Kind || o.Clear != q.Clear || o.Edge != q.Edge {
			return fmt.Sprintf("object %d: %+v and %+v", i, o, q)
		}
		if !sameAttributes(set(a, o.Set), set(b, q.Set)) || !sameAttributes(set(a, o.AperSet), set(b, q.AperSet)) {
			return fmt.Sprintf("object %d: attributes %q %q and %q %q", i, set(a, o.Set), set(a, o.AperSet), set(b, q.Set), set(b, q.AperSet))
		}
		if o.Kind == artwork.Fill {
			if r, s := a.Regions[o.Region], b.Regions[q.Region]; !slices.EqualFunc(r.Contours, s.Contours, slices.Equal[geom.Path]) {
				return fmt.Sprintf("object %d: region %v and %v", i, r, s)
			}
			continue
		}
		p, r := a.Apertures[o.Aperture], b.Apertures[q.Aperture]
		if !sameAttributes(set(a, p.Set), set(b, r.Set)) {
			return fmt.Sprintf("object %d: aperture attributes %q and %q", i, set(a, p.Set), set(b, r.Set))
		}
		p.Set, r.Set, p.Name, r.Name = 0, 0, "", ""
		if len(p.Primitives)+len(r.Primitives) == 0 { // none is none, be it nil or empty
			p.Primitives, r.Primitives = nil, nil
		}
		if !reflect.DeepEqual(p, r) {
			return fmt.Sprintf("object %d: aperture %+v and %+v", i, p, r)
		}
	}
	return ""
}

// placed moves an image by a transform of quarter turns, independently of the writer.
func placed(m *artwork.Image, t geom.Transform) *artwork.Image {
	out := *m
	out.Apertures = nil
	for _, a := range m.Apertures {
		out.Apertures = append(out.Apertures, canonical(a.Turned(t.Turn)))
	}
	out.Regions = nil
	for _, r := range m.Regions {
		var c []geom.Path
		for _, p := range r.Contours {
			c = append(c, t.Path(p))
		}
		out.Regions = append(out.Regions, artwork.Region{Contours: c})
	}
	out.Objects = nil
	for _, o := range m.Objects {
		switch o.Kind {
		case artwork.Flash:
			o.Edge.From = t.Apply(o.Edge.From)
		case artwork.Stroke:
			o.Edge = t.Edge(o.Edge)
		}
		out.Objects = append(out.Objects, o)
	}
	return &out
}

func written(t testing.TB, m *artwork.Image, place ...geom.Transform) []byte {
	var b bytes.Buffer
	var pieces []Piece
	for _, p := range place {
		pieces = append(pieces, Piece{Image: m, Place: p})
	}
	require.NoError(t, Write(&b, Header{Attributes: m.Attributes}, pieces))
	return b.Bytes()
}

func reread(t testing.TB, data []byte) *artwork.Image {
	m, rep, err := Read("again.gbr", data, Options{})
	require.NoError(t, err)
	if m.Negative { // there is no other way to write one
		require.Len(t, rep.Deprecated, 1)
		require.Equal(t, remarks[oldImagePolarity], rep.Deprecated[0].What)
	} else {
		require.Empty(t, rep.Deprecated)
	}
	require.Empty(t, rep.Warnings)
	require.True(t, rep.HasEnd)
	return m
}

func TestRoundTripOfEveryBoard(t *testing.T) {
	files := layers(t, "boards")
	shift := geom.Point{X: 123_456_789, Y: -98_765_431}
	for _, name := range names(files) {
		t.Run(name, func(t *testing.T) {
			m, _, err := Read(name, files[name], Options{})
			require.NoError(t, err)
			for _, place := range []geom.Transform{{}, {Shift: shift}, {Turn: geom.Quarter}, {Turn: geom.Half, Shift: shift}, {Turn: 3 * geom.Quarter, Shift: shift}} {
				out := written(t, m, place)
				again := reread(t, out)
				require.Equal(t, "", difference(placed(m, place), again), "%v", place)
				require.True(t, bytes.Equal(out, written(t, again, geom.Transform{})), "%v: rewriting our own file changes it", place)
			}
		})
	}
}

// Two copies in one file are the two images one after the other, with shared apertures.
func TestPiecesFollowOneAnother(t *testing.T) {
	files := layers(t, "boards")
	at := []geom.Transform{{Shift: geom.Point{X: 1}}, {Turn: geom.Half, Shift: geom.Point{X: 200 * geom.MM}}}
	for _, name := range names(files) {
		m, _, err := Read(name, files[name], Options{})
		require.NoError(t, err)
		again := reread(t, written(t, m, at...))
		n := len(m.Objects)
		require.Len(t, again.Objects, 2*n)
		first, second := *again, *again
		first.Objects, second.Objects = again.Objects[:n], again.Objects[n:]
		require.Equal(t, "", difference(placed(m, at[0]), &first), name)
		require.Equal(t, "", difference(placed(m, at[1]), &second), name)
	}
}

// corpusRefused names every file of the open test corpus that the reader refuses, and why. All
// others must read, and come back unchanged from what the writer makes of them.
var corpusRefused = map[string]string{
	"parse_aperture_strtok.1.poc":       "a number was expected here", // made to break readers
	"test-aperture-circle-1.gbx":        "arc whose radii disagree: 6.475755 mm from the centre to its start, 5.679613 mm to its end",
	"test-aperture-obround-1.gbx":       "arc whose radii disagree",
	"test-aperture-rectangle-1.gbx":     "arc whose radii disagree",
	"test-aperture-polygon-flash-1.gbx": "too many sizes in an aperture definition",
	"test-circular-interpolation-1.gbx": "single-quadrant arc (G74) that fits none of the four centres",
	"test-image-justify-1.gbx":          "image justification (IJ) is not supported",
	"test-image-justify-2.gbx":          "image justification (IJ) is not supported",
	"test-include-file-1.gbx":           "the file includes another file (IF)",
	"test-layer-rotation-1.gbx":         `unknown command "RO"`,
	"test-polygon-fill-1.gbx":           "arc without a centre",
}

func TestReadCorpus(t *testing.T) {
	files := layers(t, "corpus")
	refused := map[string]bool{}
	for _, name := range names(files) {
		m, _, err := Read(name, files[name], Options{})
		if why := corpusRefused[filepath.Base(name)]; why != "" {
			require.ErrorContains(t, err, why)
			refused[filepath.Base(name)] = true
			continue
		}
		require.NoError(t, err)
		out := written(t, m, geom.Transform{})
		again := reread(t, out)
		require.Equal(t, "", difference(m, again), name)
		require.True(t, bytes.Equal(out, written(t, again, geom.Transform{})), name)
	}
	for name := range corpusRefused {
		require.True(t, refused[name], "%s is no longer in the corpus", name)
	}
	t.Logf("%d files, %d refused", len(files), len(refused))
}
