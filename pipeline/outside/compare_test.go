package outside

import (
	"fmt"
	"image"
	"maps"
	"slices"
	"strings"
	"sync"
)

// pair is what is compared: the files of one function of a board, and the panel's files of the same
// function. Several files on one side are drawn over one another.
type pair struct {
	name          string
	source, panel []string
}

// board is one board and its copies on a panel.
type board struct {
	outline boxNM // the box of its outline, in the coordinates of its files
	copies  map[string]place
}

const (
	wholeUpTo   = 60_000_000 // nm; larger boards are compared in windows
	windowSide  = 20_000_000
	overviewDPI = 100
)

// windows gives the windows in which the files of one function are compared: the whole board, or
// for a larger one its four corners, its centre and its densest place.
func (p *painter) windows(b boxNM, files []string) ([]window, error) {
	if b.x1-b.x0 <= wholeUpTo && b.y1-b.y0 <= wholeUpTo {
		return []window{windowOn(b)}, nil
	}
	sx, sy := min(int64(windowSide), b.x1-b.x0), min(int64(windowSide), b.y1-b.y0)
	at := func(x, y int64) window { return windowOn(boxNM{x, y, x + sx, y + sy}) }
	dx, dy, err := p.densest(b, sx, sy, files)
	if err != nil {
		return nil, err
	}
	return []window{
		at(b.x0, b.y0), at(b.x1-sx, b.y0), at(b.x0, b.y1-sy), at(b.x1-sx, b.y1-sy),
		at((b.x0+b.x1-sx)/2, (b.y0+b.y1-sy)/2),
		at(dx, dy),
	}, nil
}

// densest gives the lower left corner of the rectangle of the given sides in which the layer has the
// most edges, as the viewer draws it: the place with the most and the finest objects. An empty
// layer's is the lower left corner.
func (p *painter) densest(b boxNM, sx, sy int64, files []string) (x, y int64, err error) {
	const px = 25_400_000 / overviewDPI
	w := window{x: b.x0, y: b.y0, w: int((b.x1-b.x0)/px) + 1, h: int((b.y1-b.y0)/px) + 1}
	m, err := p.draw([]window{w}, overviewDPI, 0, files)
	if err != nil {
		return 0, 0, err
	}
	e := m[0].edges()
	sum := make([][]int32, e.h+1) // sum[j][i]: edge pixels left of i and below j rows from the bottom
	sum[0] = make([]int32, e.w+1)
	for j := range e.h {
		sum[j+1] = make([]int32, e.w+1)
		var line int32
		for i := range e.w {
			if e.at(i, e.h-1-j) {
				line++
			}
			sum[j+1][i+1] = sum[j][i+1] + line
		}
	}
	best := int32(-1)
	nx, ny := int(sx/px), int(sy/px)
	const step = 4 // pixels, about a millimetre
	for j := 0; j+ny <= e.h; j += step {
		for i := 0; i+nx <= e.w; i += step {
			if n := sum[j+ny][i+nx] - sum[j][i+nx] - sum[j+ny][i] + sum[j][i]; n > best {
				best, x, y = n, b.x0+int64(i)*px, b.y0+int64(j)*px
			}
		}
	}
	return min(x, b.x1-sx), min(y, b.y1-sy), nil
}

// mismatch is one copy of one function that does not look like its source.
type mismatch struct {
	pair, copy string
	at         window // on the panel
	blobs      []blob
}

func (m mismatch) String() string {
	var s strings.Builder
	fmt.Fprintf(&s, "%s of copy %s differs from its source in %d places:", m.pair, m.copy, len(m.blobs))
	for _, b := range m.blobs[:min(len(m.blobs), 5)] {
		fmt.Fprintf(&s, " %d pixels in the source's window at pixel %d,%d (window on the panel from %s, %s mm);",
			b.size, b.x, b.y, mm(m.at.x, 1), mm(m.at.y, 1))
	}
	return s.String()
}

// tally is what a comparison has seen: how many pictures, how many pixels were compared in all, and
// how many of the sources' pixels were drawn.
type tally struct {
	pictures     int
	pixels, inks int64
}

// compare draws every pair's source and every copy of it and gives those that differ.
func (v *viewer) compare(b board, pairs []pair) (found []mismatch, seen map[string]tally, err error) {
	seen = map[string]tally{}
	var mu sync.Mutex
	var wg sync.WaitGroup
	for _, p := range pairs {
		wg.Go(func() {
			differ, s, e := []mismatch(nil), tally{}, error(nil)
			e = v.with(func(by *painter) (e error) {
				differ, s, e = by.comparePair(b, p)
				return e
			})
			mu.Lock()
			defer mu.Unlock()
			found, seen[p.name] = append(found, differ...), s
			if err == nil {
				err = e
			}
		})
	}
	wg.Wait()
	return found, seen, err
}

// comparePair draws the pair's source in every turn that copies have, and every copy, in all windows.
func (p *painter) comparePair(b board, q pair) (found []mismatch, seen tally, err error) {
	windows, err := p.windows(b.outline, q.source)
	if err != nil {
		return nil, seen, err
	}
	want := make([][]*bitmap, 4)
	for quarters := range want {
		if !slices.ContainsFunc(slices.Collect(maps.Values(b.copies)), func(at place) bool { return at.quarters&3 == quarters }) {
			continue
		}
		want[quarters], err = p.draw(allOn(windows, place{quarters: quarters}), dpi, quarters, q.source)
		if err != nil {
			return nil, seen, err
		}
		for _, m := range want[quarters] {
			seen.inks += int64(m.ink())
		}
	}
	for _, id := range sorted(b.copies) {
		at := b.copies[id]
		on := allOn(windows, at)
		got, err := p.draw(on, dpi, 0, q.panel)
		if err != nil {
			return nil, seen, err
		}
		for i, m := range got {
			blobs, err := differences(want[at.quarters&3][i], m, on[i].inner)
			if err != nil {
				return nil, seen, err
			}
			seen.pictures++
			seen.pixels += int64(pixels(on[i].inner))
			if len(blobs) > 0 {
				found = append(found, mismatch{q.name, id, on[i], blobs})
			}
		}
	}
	return found, seen, nil
}

// allOn gives the windows that show on a panel what the given ones show of a board whose copy lies at p.
func allOn(windows []window, p place) []window {
	out := make([]window, len(windows))
	for i, w := range windows {
		out[i] = w.on(p)
	}
	return out
}

func pixels(r image.Rectangle) int { return r.Dx() * r.Dy() }
