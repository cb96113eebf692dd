package mesh

import (
	"math"

	"panelwright/pipeline/geom"
)

// divide parts segments evenly by the sizes along them, those with a sharp end left out: halving them alone would make pieces
// down to half as long as asked for.
func (r *refiner) divide() {
	done := make([]bool, len(r.p.segments))
	for k := range int32(len(r.t.tris)) { // new triangles hold no segment that is not done
		for i := range int8(3) {
			s := r.t.tris[k].s[i]
			if s == none || done[s] || r.acute[s][0] || r.acute[s][1] {
				continue
			}
			done[s] = true
			q := &r.t.tris[k]
			a, b := q.v[next(i)], q.v[prev(i)]
			for _, p := range r.steps(r.t.nodes[a], r.t.nodes[b]) {
				e, ok := r.t.find(a, b)
				if !ok {
					break
				}
				n := r.add(p, s)
				if !r.t.split(n, e) {
					r.drop()
					break
				}
				a = n
			}
		}
	}
}

// steps gives the places between a and b that part the way into pieces about as long as the sizes ask for.
func (r *refiner) steps(a, b geom.Point) []geom.Point {
	l := a.Distance(b)
	// The other way round the same.
	if b.Less(a) {
		out := r.steps(b, a)
		for i, j := 0, len(out)-1; i < j; i, j = i+1, j-1 {
			out[i], out[j] = out[j], out[i]
		}
		return out
	}
	ax, ay, dx, dy := float64(a.X), float64(a.Y), float64(b.X-a.X), float64(b.Y-a.Y)
	size := func(f float64) float64 { return r.f.at(ax+float64(f*dx), ay+float64(f*dy)) }
	// How many pieces are asked for from a on, at places a quarter of the size apart.
	type mark struct{ f, pieces float64 }
	marks := []mark{{0, 0}}
	for h := size(0); ; {
		m := marks[len(marks)-1]
		f := min(m.f+h/4/l, 1)
		g := size(f)
		marks = append(marks, mark{f, m.pieces + float64((f-m.f)*l/float64((h+g)/2))})
		if h = g; f == 1 || len(marks) > mostNodes {
			break
		}
	}
	all := marks[len(marks)-1].pieces
	const spare = 0.3 // pieces may be longer than asked for by so much in all
	n := math.Ceil(all - spare)
	var out []geom.Point
	i := 1
	for k := 1.0; k < n; k++ {
		want := float64(k / n * all)
		for marks[i].pieces < want && i < len(marks)-1 {
			i++
		}
		u, v := marks[i-1], marks[i]
		f := u.f + float64((v.f-u.f)*(want-u.pieces)/(v.pieces-u.pieces))
		out = append(out, geom.Pt(a.X+geom.Round(float64(f*dx)), a.Y+geom.Round(float64(f*dy))))
	}
	return out
}
