package dxf

// readLine reads a LINE: from 10, 20 to 11, 21. Its coordinates are the drawing's own, whatever its
// extrusion direction.
func readLine(t *text, e *entity) error {
	var a, b vertex
	var z, w float64
	if err := t.numbers(e, field{10, &a.x, true}, field{20, &a.y, true}, field{30, &z, false}, field{11, &b.x, true}, field{21, &b.y, true}, field{31, &w, false}); err != nil {
		return err
	}
	e.sloped = z != w
	e.shape = &polyline{corners: []vertex{a, b}}
	return nil
}
