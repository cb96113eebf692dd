package outside

import (
	"bytes"
	"fmt"
	"image"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"sync"
	"testing"

	"github.com/stretchr/testify/require"

	"panelwright/pipeline/format/gerber"
	"panelwright/pipeline/format/xnc"
	"panelwright/pipeline/geom"
	"panelwright/pipeline/internal/corpus"
	"panelwright/pipeline/internal/shared"
	"panelwright/pipeline/panel/artwork"
)

// openFile is one file of the open data as our reader understands it: as an image (holes are flashes,
// slots are strokes), and written again by our own writer.
type openFile struct {
	row     corpus.Row
	path    string
	image   *artwork.Image
	written string // the file that our writer made of it
	second  secondPicture
}

// openFiles reads those layer and drill files of the open data for which want holds and which the
// table says can be read.
func openFiles(t *testing.T, want func(r corpus.Row) bool) []openFile {
	t.Helper()
	root := filepath.Dir(shared.Dir(t, "corpus"))
	dir := t.TempDir()
	var files []openFile
	var kinds, paths []string
	for _, r := range corpus.All() {
		if r.Kind == corpus.Other || r.Refused != "" || !want(r) {
			continue
		}
		found, err := r.Find(root)
		require.NoError(t, err)
		data, err := os.ReadFile(found[0])
		require.NoError(t, err)
		f := openFile{row: r, path: found[0], written: filepath.Join(dir, fmt.Sprint(len(files)))}
		var out bytes.Buffer
		if r.Kind == corpus.Layer {
			f.image, _, err = gerber.Read(r.Path, data, gerber.Options{})
			require.NoError(t, err)
			require.NoError(t, gerber.Write(&out, gerber.Header{}, []gerber.Piece{{Image: f.image}}))
		} else {
			d, _, err := xnc.Read(r.Path, data, xnc.Options{})
			require.NoError(t, err)
			f.image = drilledImage(d)
			// Nibbled slots, for the viewer leaves routed ones out.
			require.NoError(t, xnc.Write(&out, xnc.Header{}, []xnc.Piece{{Drilling: d}}, xnc.Nibbled))
		}
		require.NoError(t, os.WriteFile(f.written, out.Bytes(), 0o644))
		files = append(files, f)
		kinds, paths = append(kinds, r.Kind.String()), append(paths, f.path)
	}
	for i, p := range secondReads(t, kinds, paths) {
		files[i].second = p
	}
	return files
}

func drilledImage(d *artwork.Drilling) *artwork.Image {
	m := &artwork.Image{Sets: []artwork.Attributes{nil}}
	for _, t := range d.Tools {
		m.Apertures = append(m.Apertures, artwork.Aperture{Width: t.Diameter})
	}
	for _, h := range d.Holes {
		m.Objects = append(m.Objects, artwork.Object{Kind: artwork.Flash, Aperture: h.Tool, Region: -1, Edge: geom.Edge{From: h.At}})
	}
	for _, r := range d.Routs {
		for _, e := range r.Path {
			m.Objects = append(m.Objects, artwork.Object{Kind: artwork.Stroke, Aperture: r.Tool, Region: -1, Edge: e})
		}
	}
	return m
}

// resolutions are those in dots per inch that are tried: their pixels, and those of twice the
// resolution, are whole nanometres.
var resolutions = []int64{100, 125, 200, 250, 400, 500, 800, 1000, 2000}

// resolutionFor gives the finest resolution at which a picture of b has no more than so many pixels.
func resolutionFor(b geom.Box, most int) int64 {
	best := resolutions[0]
	for _, dpi := range resolutions[1:] {
		if w := windowAt(b, dpi); w.w*w.h <= most {
			best = dpi
		}
	}
	return best
}

// windowAt gives the window that shows b with a margin. Like that of windowOn it begins where no usual
// grid lies half-way between two pixels.
func windowAt(b geom.Box, dpi int64) window {
	px := 25_400_000 / dpi
	margin := int64(b.Width()+b.Height())/40 + 4*px
	x := floorDiv(int64(b.Min.X)-margin, px)*px + px*2933/10_000
	y := floorDiv(int64(b.Min.Y)-margin, px)*px + px*3799/10_000
	w := window{x: x, y: y, w: int(floorDiv(int64(b.Max.X)+margin-x, px)), h: int(floorDiv(int64(b.Max.Y)+margin-y, px))}
	w.inner = image.Rect(0, 0, w.w, w.h)
	return w
}

// way is how a picture of a file comes about.
type way uint8

const (
	viewerOnSource  way = iota // the viewer draws the source
	viewerOnWritten            // the viewer draws what our writer made of our reading
	ownSVG                     // our own SVG of our reading
	secondSVG                  // the second reader's SVG of the source
)

// drawings draws one file in several ways, each once.
type drawings struct {
	v    *viewer
	r    *rasteriser
	file openFile
	box  geom.Box
	dpi  int64
	done map[drawingKey]*bitmap
}

type drawingKey struct {
	way
	dpi   int64
	crisp bool
}

func (d *drawings) draw(k drawingKey) (m *bitmap, err error) {
	if k.way == viewerOnSource || k.way == viewerOnWritten {
		k.crisp = false
	}
	if m = d.done[k]; m != nil {
		return m, nil
	}
	w, px := windowAt(d.box, k.dpi), 25_400_000/k.dpi
	switch k.way {
	case viewerOnSource:
		m, err = d.v.drawAs(w, int(k.dpi), 0, d.file.path)
	case viewerOnWritten:
		m, err = d.v.drawAs(w, int(k.dpi), 0, d.file.written)
	case ownSVG:
		m, err = d.r.draw(ownPicture(d.file.image, w, px), w.w, w.h, k.crisp)
	case secondSVG:
		var text []byte
		if text, err = d.file.second.within(w, px); err == nil {
			m, err = d.r.draw(text, w.w, w.h, k.crisp)
		}
	}
	if err == nil {
		d.done[k] = m
	}
	return m, err
}

// differs draws the file in two ways and gives what differs: how many pixels there are in all blobs,
// by the rule of differences, and a place. Zero is "the same".
//
// The viewer's two pictures of one thing are the same, for it rounds both alike. Between an SVG and
// another picture, what differs at one resolution but not at twice that, or with one of the rasteriser's
// two ways of covering pixels but not with the other, comes from pixels: from gaps and slivers thinner
// than two of them. What is missing or elsewhere shows in every way. A difference that is known is
// looked at once.
func (d *drawings) differs(a, b way, known bool) (pixels int, where string, err error) {
	keys := []drawingKey{{dpi: d.dpi}, {dpi: d.dpi, crisp: true}, {dpi: 2 * d.dpi}, {dpi: 2 * d.dpi, crisp: true}}
	if known || a <= viewerOnWritten && b <= viewerOnWritten {
		keys = keys[:1]
	}
	for i, k := range keys {
		k.way = a
		p, err := d.draw(k)
		if err != nil {
			return 0, "", err
		}
		k.way = b
		q, err := d.draw(k)
		if err != nil {
			return 0, "", err
		}
		w := windowAt(d.box, k.dpi)
		found, err := differences(p, q, w.inner)
		if err != nil || len(found) == 0 {
			return 0, "", err
		}
		if i == 0 { // numbers are told at the resolution that the file is drawn at
			big := slices.MaxFunc(found, func(x, y blob) int { return x.size - y.size })
			for _, f := range found {
				pixels += f.size
			}
			px := 25_400_000 / k.dpi
			where = fmt.Sprintf("%d blobs, the largest of %d pixels at %s, %s mm (%d dpi)", len(found), big.size,
				mm(w.x+int64(big.x)*px, 1000), mm(w.y+int64(w.h-1-big.y)*px, 1000), k.dpi)
		}
	}
	return pixels, where, nil
}

// drawnByOpenBoards tells whether TestOpenBoards compares the file as the viewer draws it, copy by copy.
func drawnByOpenBoards(f openFile) bool {
	folder, isBoard := strings.CutPrefix(f.row.Path, "boards/")
	if !isBoard {
		return false
	}
	folder, _, _ = strings.Cut(folder, "/")
	for pattern := range functions[folder] {
		if ok, err := filepath.Match(pattern, filepath.Base(f.path)); ok && err == nil {
			return true
		}
	}
	return false
}

// mostPixels says how fine a file is drawn: boards of the test files finer than single shapes, and the
// open boards, of which there are many, coarsely.
func mostPixels(path string) int {
	switch {
	case strings.HasSuffix(path, "square-10l-inch/*-F_SilkS.gto"): // strokes of 0.2 mm on 170 mm
		return 3 << 20
	case strings.HasPrefix(path, "boards/"):
		return 1 << 20
	case strings.HasSuffix(path, "RoundHoles.drl"): // 0.2 mm holes on 200 mm
		return 9 << 20
	case strings.Contains(path, "/boards/"):
		return 3 << 19
	}
	return 1 << 19
}

// TestOpenFiles draws every layer and drill file that our reader can read, of the open boards and of the
// test files, in four ways, and compares: what the viewer draws of the source with what it draws of
// our reading, written again; our own picture of our reading with the second reader's of the source;
// and the two outside readers with each other. What differs stands in the table disputes, with who is
// right.
//
// Of the open boards the viewer draws here only what TestOpenBoards does not compare. About 65 s of one
// processor.
func TestOpenFiles(t *testing.T) {
	v, r := newViewer(t), newRasteriser(t)
	files := openFiles(t, func(corpus.Row) bool { return true })
	open := map[string]dispute{}
	for _, x := range disputes {
		require.NotContains(t, open, x.path, "named twice")
		open[x.path] = x
	}
	var mu sync.Mutex
	var wg sync.WaitGroup
	atOnce := make(chan struct{}, 2*cap(turns)) // a file's pictures are kept until it is done
	for _, f := range files {
		x := open[f.row.Path]
		delete(open, f.row.Path)
		atOnce <- struct{}{}
		wg.Go(func() {
			defer func() { <-atOnce }()
			said, found := compareOpen(v, r, f, x)
			mu.Lock()
			defer mu.Unlock()
			if x.path != "" {
				t.Logf("%s: %s is right: %s; pixels: %s", x.path, x.right, x.why, strings.Join(found, ", "))
			}
			for _, s := range said {
				t.Errorf("%s: %s", f.row.Path, s)
			}
			if len(said) == 0 {
				shared.Ran(t, "open file: "+f.row.Path)
			}
		})
	}
	wg.Wait()
	for path := range open {
		t.Errorf("%s is in the table of disputes, but was not drawn", path)
	}
}

func area(b geom.Box) float64 { return b.Width().MM() * b.Height().MM() }

// compareOpen gives what is wrong with one file, as sentences, and in how many pixels each pair of
// pictures differs, of how many that may.
func compareOpen(v *viewer, r *rasteriser, f openFile, x dispute) (said, found []string) {
	say := func(format string, args ...any) { said = append(said, fmt.Sprintf(format, args...)) }
	if f.second.Error != "" {
		say("the second reader fails: %s", f.second.Error)
		return said, nil
	}
	box := f.image.Extent()
	of, drawn := f.second.extent()
	switch {
	case box.Empty() && !drawn:
		return nil, nil // nothing, by both
	case box.Empty():
		say("the second reader draws something")
		return said, nil
	case drawn && area(box.Union(of)) < 8*area(box): // else it took unit or digits for others, and all is too coarse to see
		box = box.Union(of)
	}
	d := &drawings{v: v, r: r, file: f, box: box, dpi: resolutionFor(box, mostPixels(f.row.Path)), done: map[drawingKey]*bitmap{}}
	hold := func(a, b way, most int, what string) {
		n, where, err := d.differs(a, b, most > 0)
		found = append(found, fmt.Sprintf("%d of %d", n, most))
		switch {
		case a == viewerOnSource && x.fails != "":
			if err == nil || !strings.Contains(err.Error(), x.fails) {
				say("the viewer should fail on the source with %q, but: %v", x.fails, err)
			}
		case err != nil:
			say("%v", err)
		case n > most:
			say("%s differ: %s, %d pixels in all; %d may", what, where, n, most)
		case n == 0 && most > 0 && x.right != bothRight:
			say("%s are the same by now: strike it from the table of disputes", what)
		}
	}
	hold(ownSVG, secondSVG, x.second, "the second reader's picture and ours")
	if !drawnByOpenBoards(f) {
		hold(viewerOnSource, viewerOnWritten, x.viewer, "the viewer's pictures of the source and of our reading")
		hold(viewerOnSource, secondSVG, x.between, "the viewer's and the second reader's picture")
	}
	return said, found
}
