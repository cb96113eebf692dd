package dxf

import "fmt"

// layerState is a layer while the file is read.
type layerState struct{ index int }

func (l *layerState) name(r *reader) string { return r.out.Layers[l.index].Name }

func (l *layerState) frozen(r *reader) bool { return r.out.Layers[l.index].Frozen }

// layer gives the layer of a name, a new one where there is none.
func (r *reader) layer(name string) *layerState {
	key := fold(name)
	l := r.layers[key]
	if l == nil {
		l = &layerState{len(r.out.Layers)}
		r.layers[key] = l
		// What stands on this layer is never plotted, by its name (common practice, no published source).
		r.out.Layers = append(r.out.Layers, Layer{Name: name, Plots: key != "DEFPOINTS"})
	}
	return l
}

// readTables reads the layer table and passes over the others. Of an entry of the layer table, 2 is the
// name, bit 1 of 70 says that it is frozen, 62 below zero that it is off, 290 of 0 that it is not plotted.
func (r *reader) readTables() error {
	within := false // an entry of the layer table
	var entry Layer
	for {
		p, ok, err := r.next()
		if err != nil {
			return err
		}
		if !ok {
			return r.fault(p.at, doAgain, "the drawing ends within its tables")
		}
		if p.code == 0 {
			if within && entry.Name != "" {
				l := &r.out.Layers[r.layer(entry.Name).index]
				l.Frozen, l.Off, l.Plots = entry.Frozen, entry.Off, l.Plots && entry.Plots
			}
			if r.value(p) == "ENDSEC" {
				return nil
			}
			within, entry = r.value(p) == "LAYER", Layer{Plots: true}
			continue
		}
		if !within {
			continue
		}
		switch p.code {
		case 2:
			entry.Name = r.word(p)
		case 70, 62, 290:
			v, err := r.whole(p)
			if err != nil {
				return err
			}
			switch p.code {
			case 70:
				entry.Frozen = v&1 != 0
			case 62:
				entry.Off = v < 0
			case 290:
				entry.Plots = v != 0
			}
		}
	}
}

// tellHidden tells of curves that are not to be seen, or not on paper.
func (r *reader) tellHidden() {
	for _, l := range r.out.Layers {
		if n := len(l.Curves); n > 0 && !l.Plots {
			r.rep.Notes = append(r.rep.Notes, Note{Line: l.Curves[0].Line, What: fmt.Sprintf("layer %q is not to be plotted, yet has curves", short(l.Name)), Count: n})
		}
		line, n := 0, 0
		for _, c := range l.Curves {
			if c.Hidden {
				if n++; n == 1 {
					line = c.Line
				}
			}
		}
		if n == 0 {
			continue
		}
		why := "marked invisible, or inserted on a frozen layer"
		switch {
		case l.Frozen:
			why = "the layer is frozen"
		case l.Off:
			why = "the layer is off"
		}
		r.rep.Notes = append(r.rep.Notes, Note{Line: line, What: fmt.Sprintf("curves of layer %q are hidden: %s", short(l.Name), why), Count: n})
	}
}
