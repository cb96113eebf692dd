package writereport

import (
	"fmt"
	"math"

	"panelwright/pipeline"
	"panelwright/pipeline/format/svg"
	"panelwright/pipeline/panel"
)

// A picture is taken to be nominal units wide on the screen, which a script sets right; a mark is markSize of them.
const nominal, markSize = 580, 28

// marks draws the marks of findings. Each is a link to what is said of the finding. Its shape tells the severity; where
// marks would lie on each other they step aside, on a line that leads to the place.
func (f *figures) marks(c *svg.Canvas, id string, side panel.Side, mm float64, rows []*row) (drawn, beyond int) {
	type spot struct{ x, y float64 }
	var taken []spot
	c.Add(`<g class="la-findings findings">`)
	rings := 0
	for _, r := range rows {
		for _, at := range r.Alike {
			if rings++; rings > mostMarks {
				break
			}
			x, y := f.at(side, at)
			c.Add(`<g class="alike %s" transform="translate(%s %s)"><circle class="fixed" r="5"/></g>`, r.Kind, svg.Num(x), svg.Num(y))
		}
	}
	for _, r := range rows {
		if r.Place == nil {
			continue
		}
		if drawn == mostMarks {
			beyond++
			continue
		}
		drawn++
		x, y := f.at(side, *r.Place)
		// In marks' own units: the first free place on rings round the true one.
		px, py := x/mm, y/mm
		vx, vy, vw, vh := f.view()
		free := func(qx, qy float64) bool {
			if (qx != px || qy != py) && (qx < vx/mm+markSize/2 || qx > (vx+vw)/mm-markSize/2 || qy < vy/mm+markSize/2 || qy > (vy+vh)/mm-markSize/2) {
				return false // out of the picture
			}
			for _, t := range taken {
				if math.Abs(t.x-qx) < markSize && math.Abs(t.y-qy) < markSize {
					return false
				}
			}
			return true
		}
		dx, dy := 0.0, 0.0
		for ring := 0; ring < 6 && !free(px+dx, py+dy); ring++ {
			for _, way := range ways {
				if nx, ny := float64(way[0]*float64(ring+1)*markSize), float64(way[1]*float64(ring+1)*markSize); free(px+nx, py+ny) {
					dx, dy = nx, ny
					break
				}
			}
			if dx != 0 || dy != 0 {
				break
			}
		}
		taken = append(taken, spot{px + dx, py + dy})
		name := fmt.Sprintf("mark-%s-%d", id, r.Number)
		r.Marks = append(r.Marks, markLink{name, string(side)})
		c.Add(`<a class="mark %s" id="%s" href="#finding-%d" aria-label="%s"><title>%s</title><g transform="translate(%s %s)"><g class="fixed">`,
			r.Kind, name, r.Number, svg.Escape(r.Label()), svg.Escape(r.Label()), svg.Num(x), svg.Num(y))
		if dx != 0 || dy != 0 {
			c.Add(`<path class="lead" d="M0 0L%s %s"/><circle class="spot" r="2.5"/>`, svg.Num(dx), svg.Num(dy))
		}
		c.Add(`<g transform="translate(%s %s)">%s<text y="4">%d</text></g></g></g></a>`, svg.Num(dx), svg.Num(dy), markShape[r.Severity], r.Number)
	}
	c.Add("</g>")
	return drawn, beyond
}

// ways are the directions in which marks step aside.
var ways = [...][2]float64{{1, 0}, {0, -1}, {-1, 0}, {0, 1}, {1, -1}, {-1, -1}, {-1, 1}, {1, 1}}

// markShape is a square on its corner for an error, a triangle for a warning, a disc for a note.
var markShape = map[pipeline.Severity]string{
	pipeline.Error:   `<path class="shape" d="M0 -14L14 0L0 14L-14 0Z"/>`,
	pipeline.Warning: `<path class="shape" d="M0 -14L14 10L-14 10Z"/>`,
	pipeline.Note:    `<circle class="shape" r="11"/>`,
}
