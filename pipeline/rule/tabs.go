package rule

import (
	"context"
	"fmt"

	"panelwright/pipeline"
	"panelwright/pipeline/geom"
	"panelwright/pipeline/panel"
)

// rowsOf calls f for every row of perforations; rows without holes are cut off by hand.
func rowsOf(p panel.Panel, f func(t panel.Tab, n int, r panel.Row, first panel.Perforation)) {
	first := map[rowKey]panel.Perforation{}
	for _, h := range p.Perforations() {
		if k := (rowKey{h.Tab, h.Row}); first[k].ID == "" {
			first[k] = h
		}
	}
	for _, t := range p.Tabs() {
		for n, r := range t.Rows {
			if h := first[rowKey{t.ID, n}]; h.ID != "" {
				f(t, n, r, h)
			}
		}
	}
}

// ofRows judges one figure of every row: rows of one figure are one finding.
func ofRows(p panel.Panel, figure func(panel.Row) geom.Length, bad func(v float64) bool, say func(tab string, v float64) string) []pipeline.Finding {
	told := map[geom.Length]int{}
	var out []pipeline.Finding
	rowsOf(p, func(t panel.Tab, _ int, r panel.Row, h panel.Perforation) {
		d := figure(r)
		v := d.MM()
		if !bad(v) {
			return
		}
		i, ok := told[d]
		if !ok {
			i = len(out)
			told[d] = i
			at := h.At
			out = append(out, pipeline.Finding{Message: say(t.ID, v), At: &at, Feature: t.ID, Measured: &v})
		}
		f := &out[i]
		for _, c := range r.Copies {
			if n := len(f.Copies); n == 0 || f.Copies[n-1] != c {
				f.Copies = append(f.Copies, c)
			}
		}
	})
	for i := range out {
		out[i].Copies = distinct(out[i].Copies)
	}
	return out
}

// distinct leaves the first of equal words.
func distinct(words []string) []string {
	seen := map[string]bool{}
	var out []string
	for _, w := range words {
		if !seen[w] {
			seen[w] = true
			out = append(out, w)
		}
	}
	return out
}

// webAtWorst finds rows whose holes may run into one another.
func webAtWorst(_ context.Context, in pipeline.Case) ([]pipeline.Finding, error) {
	return ofRows(in.Panel, func(r panel.Row) geom.Length { return r.WorstWeb },
		func(v float64) bool { return v < in.Limit-tolerance },
		func(tab string, v float64) string {
			return fmt.Sprintf("%s mm of material stay between holes of %s at the worst of their position and diameter; at least %v mm are asked for", trim(v), tab, in.Limit)
		}), nil
}

// stubHeight finds rows that leave much on the board's edge.
func stubHeight(_ context.Context, in pipeline.Case) ([]pipeline.Finding, error) {
	return ofRows(in.Panel, func(r panel.Row) geom.Length { return r.Stub },
		func(v float64) bool { return v > in.Limit+tolerance },
		func(tab string, v float64) string {
			return fmt.Sprintf("what stays of %s stands %s mm out of the board's edge; at most %v mm are allowed", tab, trim(v), in.Limit)
		}), nil
}

// tabsPerBoard finds copies that too few tabs hold, and nothing else.
func tabsPerBoard(_ context.Context, in pipeline.Case) ([]pipeline.Finding, error) {
	p := in.Panel
	if len(p.Tabs()) == 0 {
		return nil, nil
	}
	count := map[string]int{}
	for _, t := range p.Tabs() {
		for _, c := range t.Copies {
			count[c]++
		}
	}
	type key struct {
		board *panel.Board
		n     int
	}
	told := map[key]int{}
	var out []pipeline.Finding
	for _, c := range p.Copies() {
		n := count[c.ID]
		v := float64(n)
		if v >= in.Limit || onScore(p, c) {
			continue
		}
		k := key{c.Board, n}
		if i, ok := told[k]; ok {
			out[i].Copies = append(out[i].Copies, c.ID)
			continue
		}
		told[k] = len(out)
		at := c.Box().Center()
		out = append(out, pipeline.Finding{Message: fmt.Sprintf("%s (board %s) is held by %s; at least %v are asked for", c.ID, c.Board.Name, counted(n, "tab", "tabs"), in.Limit),
			At: &at, Feature: c.ID, Copies: []string{c.ID}, Measured: &v})
	}
	return out, nil
}

// onScore tells whether a score line runs along a copy's edge.
func onScore(p panel.Panel, c panel.Copy) bool {
	box := c.Box()
	for _, s := range p.Scores() {
		line := geom.Line(s.From, s.To)
		if !line.Box().Overlaps(box.Grow(s.Leave + touching)) {
			continue
		}
		for _, e := range c.Outline().Outer {
			if d, _, _ := geom.EdgeDistance(e, line); d <= float64(s.Leave+touching) {
				return true
			}
		}
	}
	return false
}
