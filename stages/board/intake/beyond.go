package intake

import (
	"fmt"

	"panelwright/pipeline"
	"panelwright/pipeline/panel"
)

// checkBeyond tells of layers most of which lies beyond the board: in another unit than the outline's or
// of another board, nothing of them would come to lie where it belongs (common practice, no published source;
// a few texts and targets beside a board are usual).
func (r *Result) checkBeyond() {
	if !r.Outline.Found {
		return
	}
	board := r.Outline.Outline.Box()
	for _, l := range r.layers {
		m := l.file.Image
		if l.is.Kind == panel.Profile || m == nil || len(m.Objects) == 0 {
			continue
		}
		off := 0
		for _, o := range m.Objects {
			if b := m.Box(o); b.Min.X > board.Max.X || b.Max.X < board.Min.X || b.Min.Y > board.Max.Y || b.Max.Y < board.Min.Y {
				off++
			}
		}
		if 2*off > len(m.Objects) {
			r.find("layer-off-board", pipeline.Warning, fmt.Sprintf("%s: %d of its %s lie beyond the board, which lies from %s to %s mm: it may be in another unit or with another origin than the outline, or of another board",
				l.file.Name, off, counted(len(m.Objects), "object"), board.Min, board.Max))
		}
	}
}
