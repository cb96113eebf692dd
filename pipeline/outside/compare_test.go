package outside

import (
	"fmt"
	"image"
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
func (v *viewer) windows(b boxNM, files []string) ([]window, error) {
	if b.x1-b.x0 <= wholeUpTo && b.y1-b.y0 <= wholeUpTo {
		return []window{windowOn(b)}, nil
	}
	sx, sy := min(int64(windowSide), b.x1-b.x0), min(int64(windowSide), b.y1-b.y0)
	at := func(x, y int64) window { return windowOn(boxNM{x, y, x + sx, y + sy}) }
	dx, dy, err := v.densest(b, sx, sy, files)
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
func (v *viewer) densest(b boxNM, sx, sy int64, files []string) (x, y int64, err error) {
	const px = 25_400_000 / overviewDPI
	w := window{x: b.x0, y: b.y0, w: int((b.x1-b.x0)/px) + 1, h: int((b.y1-b.y0)/px) + 1}
	m, err := v.drawAs(w, overviewDPI, 0, files...)
	if err != nil {
		return 0, 0, err
	}
	e := m.edges()
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
	fail := func(e error) {
		mu.Lock()
		defer mu.Unlock()
		if err == nil {
			err = e
		}
	}
	for _, p := range pairs {
		windows, e := v.windows(b.outline, p.source)
		if e != nil {
			return nil, nil, e
		}
		for _, w := range windows {
			for quarters := range 4 {
				copies := map[string]place{}
				for id, at := range b.copies {
					if at.quarters&3 == quarters {
						copies[id] = at
					}
				}
				if len(copies) == 0 {
					continue
				}
				wg.Go(func() {
					turned := w.on(place{quarters: quarters})
					want, e := v.drawAs(turned, dpi, quarters, p.source...)
					if e != nil {
						fail(e)
						return
					}
					mu.Lock()
					s := seen[p.name]
					s.inks += int64(want.ink())
					seen[p.name] = s
					mu.Unlock()
					for id, at := range copies {
						wg.Go(func() {
							on := w.on(at)
							got, e := v.draw(on, p.panel...)
							if e != nil {
								fail(e)
								return
							}
							blobs, e := differences(want, got, turned.inner)
							if e != nil {
								fail(e)
								return
							}
							mu.Lock()
							defer mu.Unlock()
							s := seen[p.name]
							s.pictures++
							s.pixels += int64(pixels(turned.inner))
							seen[p.name] = s
							if len(blobs) > 0 {
								found = append(found, mismatch{p.name, id, on, blobs})
							}
						})
					}
				})
			}
		}
	}
	wg.Wait()
	return found, seen, err
}

func pixels(r image.Rectangle) int { return r.Dx() * r.Dy() }
