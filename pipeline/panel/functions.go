package panel

// Functions lists the functions of the layers that the panel is made of, in the order in which boards list theirs: of
// any placed board, and those that the panel's own marks and prints need. A copper layer's Type is empty where boards
// disagree.
func (p Panel) Functions() []Function {
	var out []Function
	at := map[string]int{}
	add := func(f Function) {
		i, ok := at[f.Key()]
		if !ok {
			at[f.Key()] = len(out)
			out = append(out, f)
		} else if out[i].Type != f.Type {
			out[i].Type = "" // the boards disagree: say nothing
		}
	}
	seen := map[*Board]bool{}
	for _, c := range p.Copies() {
		if seen[c.Board] {
			continue
		}
		seen[c.Board] = true
		for _, l := range c.Board.Layers {
			add(l.Function)
		}
	}
	for _, m := range p.Marks() {
		for _, side := range m.Sides {
			mask := Function{Kind: Soldermask, Side: side}
			if _, ok := at[mask.Key()]; !ok {
				add(mask)
			}
		}
	}
	for _, x := range p.Prints() {
		for _, f := range x.Layers {
			if _, ok := at[f.Key()]; !ok {
				add(f)
			}
		}
	}
	return out
}
