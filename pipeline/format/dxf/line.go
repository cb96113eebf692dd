package dxf

// readLine reads a LINE: from 10, 20 to 11, 21. Its coordinates are the drawing's own, whatever its
// extrusion direction.
func readLine(t *text, e *entity) error {
	var a, b vertex
	var z, w float64
	had, err := t.numbers(e, map[int32]*float64{10: &a.x, 20: &a.y, 30: &z, 11: &b.x, 21: &b.y, 31: &w})
	if err != nil {
		return err
	}
	if err := t.need(e, had, 10, 20, 11, 21); err != nil {
		return err
	}
	e.sloped = z != w
	e.shape = &polyline{corners: []vertex{a, b}}
	return nil
}
