package overlay

// A chain is a run of a path's segments that rises from one node to another, by x, then y, and that
// nothing else meets on the way. Untouched shapes have few chains, however many corners: what follows
// the search for crossings works on chains, and only passes along their segments.
type chain struct {
	first, count int32 // its segments, in the path's order
	up           bool  // whether the path rises along it
}

// chains parts segments into chains.
func chains(segs []segment) []chain {
	var out []chain
	for i := range segs {
		s := &segs[i]
		if i > 0 {
			last, c := &segs[i-1], &out[len(out)-1]
			if !last.met(false) && last.up == s.up && last.to() == s.from() {
				c.count++
				continue
			}
		}
		out = append(out, chain{int32(i), 1, s.up})
	}
	return out
}

// at gives the segment k-th from the chain's lower end.
func (c *chain) at(segs []segment, k int32) *segment {
	if c.up {
		return &segs[c.first+k]
	}
	return &segs[c.first+c.count-1-k]
}

func (c *chain) lo(segs []segment) place { return c.at(segs, 0).lo }
func (c *chain) hi(segs []segment) place { return c.at(segs, c.count-1).hi }
