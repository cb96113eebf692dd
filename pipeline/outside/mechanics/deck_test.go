package mechanics

import (
	"bufio"
	"fmt"
	"io"
)

const gravity = 9806.65 // mm/s², standard

// fixed is a node of the solid that is held in a direction: 1, 2, 3 for x, y, z.
type fixed struct{ node, direction int32 }

// force is a force in N on a node of the solid.
type force struct {
	fixed
	value float64
}

// job is what the outside program is asked.
type job struct {
	*solid
	laminates   []laminate
	held        []fixed
	forces      []force
	weightless  bool
	masses      []force        // tonnes at nodes; directions mean nothing
	stresses    []int32        // wedges whose stresses are wanted: those on one side of a cut that have nodes on it
	cut         map[int32]bool // the nodes on the cut
	frequencies int            // how many; 0: the panel is only loaded
}

// deck writes the job as the program reads it.
func (j *job) deck(out io.Writer) error {
	w := bufio.NewWriter(out)
	p := func(format string, args ...any) { fmt.Fprintf(w, format+"\n", args...) }
	p("*NODE, NSET=ALL")
	for i, n := range j.nodes {
		p("%d,%.9g,%.9g,%.9g", i+1, n[0], n[1], n[2])
	}
	for k := range j.laminates {
		some := false
		for t := range j.tri {
			if j.kindOf(t) != k {
				continue
			}
			if !some {
				p("*ELEMENT, TYPE=C3D15, ELSET=KIND%d", k+1)
				some = true
			}
			for l := range j.layers {
				e := t*j.layers + l
				fmt.Fprint(w, e+1)
				for i, n := range j.wedges[e] {
					if i == 10 { // a line has at most 16 entries; the program wants a comma at the end of one that goes on
						fmt.Fprint(w, ",\n", n+1)
						continue
					}
					fmt.Fprint(w, ",", n+1)
				}
				fmt.Fprintln(w)
			}
		}
		if !some {
			continue
		}
		x := j.laminates[k]
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
		p("%d,%d", len(j.wedges)+i+1, m.node+1)
		p("*MASS, ELSET=MASS%d", i+1)
		p("%.9g", m.value)
	}
	if len(j.stresses) > 0 {
		p("*ELSET, ELSET=CUT")
		for _, e := range j.stresses {
			p("%d,", e+1)
		}
	}
	p("*BOUNDARY")
	for _, h := range j.held {
		p("%d,%d,%d", h.node+1, h.direction, h.direction)
	}
	p("*STEP")
	p("*STATIC")
	if !j.weightless {
		p("*DLOAD")
		for k := range j.laminates {
			p("KIND%d,GRAV,%.9g,0,0,-1", k+1, gravity)
		}
		for i := range j.masses {
			p("MASS%d,GRAV,%.9g,0,0,-1", i+1, gravity)
		}
	}
	if len(j.forces) > 0 {
		p("*CLOAD")
		for _, f := range j.forces {
			p("%d,%d,%.9g", f.node+1, f.direction, f.value)
		}
	}
	p("*NODE PRINT, NSET=ALL")
	p("U")
	if len(j.stresses) > 0 {
		p("*EL PRINT, ELSET=CUT")
		p("S")
	}
	p("*END STEP")
	if j.frequencies > 0 {
		p("*STEP")
		p("*FREQUENCY")
		p("%d", j.frequencies)
		p("*NODE PRINT, NSET=ALL, FREQUENCY=0") // what the first step prints of nodes is not printed of modes
		p("*END STEP")
	}
	return w.Flush()
}

// kindOf is which laminate a triangle is of.
func (j *job) kindOf(t int) int {
	if j.kind == nil {
		return 0
	}
	return int(j.kind[t])
}
