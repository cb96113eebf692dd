package writereport

import (
	"slices"

	"panelwright/pipeline/panel"
	"panelwright/pipeline/panel/artwork"
)

// roomForLayers is how many bytes the layers of all boards may take in the page together: it stays small enough to be
// opened on a phone and sent by mail (common practice, no published source).
const roomForLayers = 5 << 20

// tooLarge says which layers of boards are left out of the page, by their ids and in words. The layers that are seen
// from outside come first, copper before mask, legend, paste, and inner copper last.
func tooLarge(p panel.Panel) (leftOut, []string) {
	room := roomForLayers
	out := leftOut{}
	var words []string
	d := newPicture(nil, p, panel.Top)
	for _, kind := range append(slices.Clone(pictured), "") {
		for _, b := range placed(p) {
			for _, l := range b.Layers {
				inner := l.Function.Side == panel.Inner
				if inner != (kind == "") || !inner && l.Function.Kind != kind || inner && l.Function.Kind != panel.Copper {
					continue
				}
				need := about(l.Image, room)
				if need > room {
					out[d.id(b, l.Function.Key())] = true
					words = append(words, l.Function.Key()+" of "+b.Name)
					continue
				}
				room -= need
			}
		}
	}
	return out, words
}

// about reckons how many bytes a layer takes as a drawing, as far as enough.
func about(m *artwork.Image, enough int) int {
	n := 200
	for _, o := range m.Objects {
		switch o.Kind {
		case artwork.Flash:
			n += 42
		case artwork.Stroke:
			n += 16
		case artwork.Fill:
			n += 20
			for _, c := range m.Regions[o.Region].Contours {
				n += 11 * len(c)
			}
		}
		if n > enough {
			return n
		}
	}
	return n
}
