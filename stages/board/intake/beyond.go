package intake

import (
	"fmt"

	"panelwright/pipeline"
	"panelwright/pipeline/geom"
	"panelwright/pipeline/panel"
)

const (
	bare = 4 // so many times wider and higher than all its copper a board is told to be (common sense, no published source)
	told = 8 // objects of copper on one layer, so that it tells anything
)

// checkBeyond tells of layers most of which lies beyond the board: in another unit than the outline's or
// of another board, nothing of them would come to lie where it belongs (common practice, no published source;
// a few texts and targets beside a board are usual).
func (r *Result) checkBeyond() {
	if !r.Outline.Found {
		return
	}
	board := r.Outline.Outline.Box()
	drawn, objects := geom.EmptyBox(), 0
	for _, l := range r.layers {
		m := l.file.Image
		if l.is.Kind == panel.Profile || m == nil || len(m.Objects) == 0 {
			continue
		}
		if l.is.Kind == panel.Copper {
			objects = max(objects, len(m.Objects))
		}
		off := 0
		for _, o := range m.Objects {
			b := m.Box(o)
			if l.is.Kind == panel.Copper {
				drawn = drawn.Union(b)
			}
			if !b.Overlaps(board) {
				off++
			}
		}
		if 2*off > len(m.Objects) {
			r.find("layer-off-board", pipeline.Warning, fmt.Sprintf("%s: %d of its %s lie beyond the board, which lies from %s to %s mm: it may be in another unit or with another origin than the outline, or of another board",
				l.file.Name, off, counted(len(m.Objects), "object"), board.Min, board.Max))
		}
	}
	if w, h := drawn.Width(), drawn.Height(); objects >= told && bare*w < board.Width() && bare*h < board.Height() {
		r.find("board-nearly-bare", pipeline.Warning, fmt.Sprintf("%s: the board is %s × %s, and its copper covers %s × %s of it: the outline may be in another unit, or be a sheet's frame",
			r.Outline.Source, board.Width().Decimal(), board.Height(), w.Decimal(), h))
	}
}
