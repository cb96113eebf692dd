package mechanics

import (
	"bufio"
	"fmt"
	"io"
)

const gravity = 9806.65 // mm/s², standard

// orthotropic is a homogeneous orthotropic material, axes along x, y and z: MPa and tonnes per mm³.
type orthotropic struct {
	ex, ey, ez    float64
	xy, xz, yz    float64 // contraction along the second where the first is pulled
	gxy, gxz, gyz float64
	density       float64
}

// held is a node that is held in a direction: 1, 2, 3 for x, y, z.
type held struct{ node, direction int32 }

// force is a force down in N at a node; mass a mass in tonnes that rests on it. Those of the whole panel are meant.
type force struct {
	node  int32
	value float64
}

// job is what the outside program is asked.
type job struct {
	*solid
	laminates   []orthotropic
	held        []held
	forces      []force
	masses      []force
	weightless  bool
	cuts        []cut
	frequencies int // how many; 0: the panel is only loaded
}

// hold holds nodes that are chosen, in the directions given.
func (j *job) hold(chosen func(p [3]float64) bool, directions ...int32) {
	for i, p := range j.nodes {
		if chosen(p) {
			for _, d := range directions {
				j.held = append(j.held, held{int32(i), d})
			}
		}
	}
}

// deck writes the job as the program reads it. Of the panel it has the upper half, which bears half of everything.
func (j *job) deck(out io.Writer) error {
	w := bufio.NewWriter(out)
	p := func(format string, args ...any) { fmt.Fprintf(w, format+"\n", args...) }
	p("*NODE")
	for i, n := range j.nodes {
		p("%d,%.10g,%.10g,%.10g", i+1, n[0], n[1], n[2])
	}
	p("*NSET, NSET=MIDDLE")
	for i := range j.nodes {
		if j.middle(i) {
			p("%d,", i+1)
		}
	}
	used := make([]bool, len(j.laminates))
	for _, e := range j.elements {
		used[e.kind] = true
	}
	for k, x := range j.laminates {
		if !used[k] {
			continue
		}
		name := "C3D15"
		if len(j.elements[0].nodes) == 20 {
			name = "C3D20R"
		}
		p("*ELEMENT, TYPE=%s, ELSET=KIND%d", name, k+1)
		for i, e := range j.elements {
			if int(e.kind) != k {
				continue
			}
			fmt.Fprint(w, i+1)
			for i, n := range e.nodes {
				if i == 10 { // a line has at most 16 entries; one that goes on ends with a comma
					fmt.Fprintln(w, ",")
				} else {
					fmt.Fprint(w, ",")
				}
				fmt.Fprint(w, n+1)
			}
			fmt.Fprintln(w)
		}
		p("*MATERIAL, NAME=LAMINATE%d", k+1)
		p("*ELASTIC, TYPE=ENGINEERING CONSTANTS")
		p("%.9g,%.9g,%.9g,%.9g,%.9g,%.9g,%.9g,%.9g,", x.ex, x.ey, x.ez, x.xy, x.xz, x.yz, x.gxy, x.gxz)
		p("%.9g", x.gyz)
		p("*DENSITY")
		p("%.9g", x.density)
		p("*SOLID SECTION, ELSET=KIND%d, MATERIAL=LAMINATE%d", k+1, k+1)
	}
	for i, m := range j.masses {
		p("*ELEMENT, TYPE=MASS, ELSET=MASS%d", i+1)
		p("%d,%d", len(j.elements)+i+1, m.node+1)
		p("*MASS, ELSET=MASS%d", i+1)
		p("%.9g", m.value/2)
	}
	if len(j.cuts) > 0 {
		p("*ELSET, ELSET=CUT")
		for _, c := range j.cuts {
			for _, e := range c.side {
				p("%d,", e+1)
			}
		}
	}
	p("*BOUNDARY")
	p("MIDDLE,1,2")
	for _, h := range j.held {
		if h.direction == 3 || !j.middle(int(h.node)) {
			p("%d,%d,%d", h.node+1, h.direction, h.direction)
		}
	}
	p("*STEP")
	p("*STATIC")
	if !j.weightless {
		p("*DLOAD")
		for k := range j.laminates {
			if used[k] {
				p("KIND%d,GRAV,%.9g,0,0,-1", k+1, gravity)
			}
		}
	}
	if len(j.forces)+len(j.masses) > 0 {
		p("*CLOAD")
		for _, f := range j.forces {
			p("%d,3,%.9g", f.node+1, -f.value/2)
		}
		for _, m := range j.masses {
			p("%d,3,%.9g", m.node+1, -m.value*gravity/2)
		}
	}
	p("*NODE PRINT, NSET=MIDDLE")
	p("U")
	if len(j.cuts) > 0 {
		p("*EL PRINT, ELSET=CUT")
		p("S")
	}
	p("*END STEP")
	if j.frequencies > 0 {
		p("*STEP")
		p("*FREQUENCY")
		p("%d", j.frequencies)
		p("*NODE PRINT, NSET=MIDDLE, FREQUENCY=0") // what the first step prints of nodes is not printed of modes
		p("*END STEP")
	}
	return w.Flush()
}
