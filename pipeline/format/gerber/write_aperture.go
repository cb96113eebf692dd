package gerber

import (
	"fmt"
	"strconv"

	"panelwright/pipeline/geom"
	"panelwright/pipeline/panel/artwork"
)

// apertures defines what the piece draws with, in the order of first use, and gives the D number of
// each of the image's apertures (0 for one that is not used).
func (x *writer) apertures(pc Piece) ([]int32, error) {
	m := pc.Image
	plan := make([]int32, len(m.Apertures))
	_, quarter := pc.Place.Turn.Quarters()
	for i := range m.Objects {
		o := &m.Objects[i]
		if o.Kind == artwork.Fill {
			continue
		}
		if o.Aperture < 0 || int(o.Aperture) >= len(m.Apertures) {
			return nil, fmt.Errorf("object %d has no aperture", i+1)
		}
		if plan[o.Aperture] != 0 {
			continue
		}
		a := &m.Apertures[o.Aperture]
		if o.Kind == artwork.Stroke && a.Shape == artwork.Rectangle && !quarter {
			continue // becomes a region
		}
		d, err := x.aperture(m, a, pc.Place.Turn)
		if err != nil {
			return nil, fmt.Errorf("object %d: %w", i+1, err)
		}
		plan[o.Aperture] = d
	}
	return plan, nil
}

// aperture gives the D number of an aperture turned, defining it when it is new.
func (x *writer) aperture(m *artwork.Image, a *artwork.Aperture, turn geom.Angle) (int32, error) {
	t := canonical(a.Turned(turn))
	set, err := setOf(m, a.Set)
	if err != nil {
		return 0, err
	}
	x.key = appendAperture(x.key[:0], t)
	x.key = append(x.key, 0xff)
	x.key = appendAttributes(x.key, set)
	if d, ok := x.dcodes[string(x.key)]; ok {
		return d, nil
	}
	d := int32(10 + len(x.dcodes))
	name := ""
	if t.Shape == artwork.Macro {
		if name, err = x.macro(t); err != nil {
			return 0, err
		}
	}
	for _, s := range set {
		x.attribute('A', s)
	}
	b := append(x.buf[:0], "%ADD"...)
	b = strconv.AppendInt(b, int64(d), 10)
	switch t.Shape {
	case artwork.Circle:
		b = appendMM(append(b, "C,"...), t.Width)
	case artwork.Rectangle, artwork.Obround:
		b = append(b, "RO"[t.Shape-artwork.Rectangle], ',')
		b = appendMM(append(appendMM(b, t.Width), 'X'), t.Height)
	case artwork.Polygon:
		b = appendMM(append(b, "P,"...), t.Width)
		b = strconv.AppendInt(append(b, 'X'), int64(t.Vertices), 10)
		if t.Turn != 0 || t.Hole != 0 {
			b = appendMM(append(b, 'X'), geom.Length(t.Turn))
		}
	case artwork.Macro:
		b = append(b, name...)
	default:
		return 0, fmt.Errorf("aperture of unknown shape")
	}
	if t.Hole != 0 && t.Shape != artwork.Macro {
		b = appendMM(append(b, 'X'), t.Hole)
	}
	x.buf = append(b, "*%\n"...)
	x.w.Write(x.buf)
	if len(set) > 0 {
		x.text("%TD*%\n")
	}
	x.dcodes[string(x.key)] = d
	return d, nil
}

// macro gives the name of the macro that draws the primitives, writing it when it is new.
func (x *writer) macro(a artwork.Aperture) (string, error) {
	var b []byte
	for i := range a.Primitives {
		q := &a.Primitives[i]
		var err error
		if b, err = appendPrimitive(b, q); err != nil {
			return "", fmt.Errorf("macro %s: %w", a.Name, err)
		}
	}
	if len(b) == 0 {
		b = append(b, "0 nothing*\n"...)
	}
	if name, ok := x.bodies[string(b)]; ok {
		return name, nil
	}
	base := macroName(a.Name)
	name := base
	for n := 2; x.taken[upper(name)]; n++ {
		name = base + "_" + strconv.Itoa(n)
	}
	x.taken[upper(name)] = true
	x.bodies[string(b)] = name
	x.text("%AM" + name + "*\n")
	x.w.Write(b)
	x.text("%\n")
	return name, nil
}

func upper(s string) string {
	b := []byte(s)
	for i, c := range b {
		if c >= 'a' && c <= 'z' {
			b[i] = c - 32
		}
	}
	return string(b)
}

// macroName makes a name that the format allows of what the source called a macro.
func macroName(s string) string {
	b := []byte{}
	for _, c := range []byte(s) {
		letter := c >= 'a' && c <= 'z' || c >= 'A' && c <= 'Z'
		digit := c >= '0' && c <= '9'
		switch {
		case letter || digit && len(b) > 0:
			b = append(b, c)
		default:
			b = append(b, '_')
		}
		if len(b) == 100 {
			break
		}
	}
	if len(b) < 2 { // one letter could be taken for a standard aperture
		b = append([]byte("Shape"), b...)
	}
	return string(b)
}

func appendPrimitive(b []byte, q *artwork.Primitive) ([]byte, error) {
	points := map[artwork.PrimitiveKind]int{artwork.PrimVectorLine: 2, artwork.PrimOutline: 2}[q.Kind]
	if q.Kind > artwork.PrimThermal || len(q.Points) < max(points, 1) {
		return b, fmt.Errorf("primitive without its points")
	}
	exposure := func(code string) {
		b = append(b, code...)
		if q.Off {
			b = append(b, ",0"...)
		} else {
			b = append(b, ",1"...)
		}
	}
	mm := func(l ...geom.Length) {
		for _, v := range l {
			b = appendMM(append(b, ','), v)
		}
	}
	at := q.Points[0]
	switch q.Kind {
	case artwork.PrimCircle:
		exposure("1")
		mm(q.Size[0], at.X, at.Y)
		return append(b, "*\n"...), nil // its turn is in the centre: see canonical
	case artwork.PrimVectorLine:
		exposure("20")
		mm(q.Size[0], at.X, at.Y, q.Points[1].X, q.Points[1].Y)
	case artwork.PrimCenterLine:
		exposure("21")
		mm(q.Size[0], q.Size[1], at.X, at.Y)
	case artwork.PrimOutline:
		exposure("4")
		b = strconv.AppendInt(append(b, ','), int64(len(q.Points)-1), 10)
		for _, p := range q.Points {
			mm(p.X, p.Y)
		}
	case artwork.PrimPolygon:
		exposure("5")
		b = strconv.AppendInt(append(b, ','), int64(q.Vertices), 10)
		mm(at.X, at.Y, q.Size[0])
	case artwork.PrimMoire:
		b = append(b, '6')
		mm(at.X, at.Y, q.Size[0], q.Size[1], q.Size[2])
		b = strconv.AppendInt(append(b, ','), int64(q.Vertices), 10)
		mm(q.Size[3], q.Size[4])
	case artwork.PrimThermal:
		b = append(b, '7')
		mm(at.X, at.Y, q.Size[0], q.Size[1], q.Size[2])
	}
	mm(geom.Length(q.Turn))
	return append(b, "*\n"...), nil
}

func setOf(m *artwork.Image, i int32) (artwork.Attributes, error) {
	if i == 0 {
		return nil, nil
	}
	if i < 0 || int(i) >= len(m.Sets) {
		return nil, fmt.Errorf("attributes number %d do not exist", i)
	}
	return m.Sets[i], nil
}
