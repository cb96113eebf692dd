package geom

import "encoding/binary"

// Alike groups the outlines of a region that are equal but for a shift, edge by edge: positions in the
// region, groups by their first. What holds for the first of a group holds for all, moved by the
// difference of their boxes' corners.
func Alike(r Region) [][]int {
	at := map[string]int{}
	var out [][]int
	for i, o := range r {
		low := o.Outer.Box().Min
		var key []byte
		for _, p := range append([]Path{o.Outer}, o.CutOuts...) {
			for _, e := range p {
				points := [3]Point{e.From.Sub(low), e.To.Sub(low), {}}
				if e.Sense != Straight {
					points[2] = e.Center.Sub(low)
				}
				for _, q := range points {
					key = binary.LittleEndian.AppendUint64(key, uint64(q.X))
					key = binary.LittleEndian.AppendUint64(key, uint64(q.Y))
				}
				key = append(key, byte(e.Sense))
			}
			key = append(key, 0xff)
		}
		k, ok := at[string(key)]
		if !ok {
			k = len(out)
			at[string(key)] = k
			out = append(out, nil)
		}
		out[k] = append(out[k], i)
	}
	return out
}
