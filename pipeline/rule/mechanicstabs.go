package rule

import (
	"cmp"
	"fmt"
	"math"
	"slices"
	"strconv"
	"strings"

	"panelwright/pipeline"
	"panelwright/pipeline/geom"
	"panelwright/pipeline/mechanics"
	"panelwright/pipeline/panel"
)

// bearer is a tab or score line that bears too little.
type bearer struct {
	id      string
	at      geom.Point
	copies  []string
	reserve float64
	says    string // a sentence about it alone
}

// namedBearers is how many of those that bear more than the worst, and too little all the same, a finding names.
const namedBearers = 3

// gathered makes one finding of all tabs or score lines of the same boards, which tells of the worst, for they are many and hardly
// two bear exactly the same. words are "tab" and "tabs".
func gathered(p panel.Panel, all []bearer, basis string, words [2]string) []pipeline.Finding {
	names := map[string]string{} // of the copies' boards
	for _, c := range p.Copies() {
		names[c.ID] = c.Board.Name
	}
	group := map[string][]bearer{}
	var order []string
	for _, x := range all {
		var boards []string
		for _, c := range x.copies {
			if n := names[c]; !slices.Contains(boards, n) {
				boards = append(boards, n)
			}
		}
		slices.Sort(boards)
		k := strings.Join(boards, "\n")
		if group[k] == nil {
			order = append(order, k)
		}
		group[k] = append(group[k], x)
	}
	var out []pipeline.Finding
	for _, k := range order {
		own := group[k]
		var copies []string
		for _, x := range own {
			for _, c := range x.copies {
				if !slices.Contains(copies, c) {
					copies = append(copies, c)
				}
			}
		}
		own = slices.Clone(own)
		slices.SortStableFunc(own, func(a, b bearer) int { return cmp.Compare(a.reserve, b.reserve) })
		worst := own[0]
		f := pipeline.Finding{At: &worst.at, Feature: worst.id, Copies: copies, Measured: &worst.reserve, Basis: basis, Message: worst.says}
		if more := own[1:]; len(more) > 0 {
			var named []string
			for _, x := range more[:min(len(more), namedBearers)] {
				named = append(named, x.id+" "+mechanics.Figure(x.reserve))
			}
			f.Message += "; likewise " + strings.Join(named, ", ")
			if n := len(more) - len(named); n > 0 {
				f.Message += " and " + counted(n, "other "+words[0], "other "+words[1])
			}
		}
		out = append(out, f)
	}
	return out
}

var (
	tabWords  = [2]string{"tab", "tabs"}
	lineWords = [2]string{"score line", "score lines"}
)

// weakest gives of each tab the row that is strained most, in the state in which it is, in the order of the tabs: of those whose
// reserve is below a limit.
func weakest(a *mechanics.Answers, limit float64, of func(mechanics.Tab) (reserve float64, state int)) []tabReserve {
	at := map[string]int{}
	var out []tabReserve
	for _, t := range a.Tabs {
		r, state := of(t)
		if math.IsNaN(r) || math.IsInf(r, 0) {
			continue
		}
		i, ok := at[t.Tab]
		if !ok {
			at[t.Tab] = len(out)
			out = append(out, tabReserve{t, mechanics.Digits(r), state})
		} else if r < out[i].reserve {
			out[i] = tabReserve{t, mechanics.Digits(r), state}
		}
	}
	return slices.DeleteFunc(out, func(w tabReserve) bool { return w.reserve >= limit })
}

// tabReserve is a tab's row with its least reserve, and the state of that.
type tabReserve struct {
	mechanics.Tab
	reserve float64
	state   int // index into Answers.States; -1: none of them
}

func (w tabReserve) bearer(says string) bearer {
	return bearer{w.Tab.Tab, mechanics.Place(w.At), w.Copies, w.reserve, says}
}

// webs gives the score lines whose web has too small a reserve in the state that of names, in the panel's order.
func webs(p panel.Panel, a *mechanics.Answers, limit float64, of func(mechanics.Line) int, says func(l mechanics.Line, k int, reserve float64) string) []bearer {
	var out []bearer
	for _, x := range a.Lines {
		k := of(x)
		if k < 0 || k >= len(x.Loads) || k >= len(a.States) || !(mechanics.Digits(x.Loads[k].Reserve) < limit) {
			continue
		}
		v := mechanics.Digits(x.Loads[k].Reserve)
		out = append(out, bearer{x.Score, mechanics.Place(x.At), nil, v, says(x, k, v)})
	}
	return out
}

// strong says how strong something is for what strains it, in a state: with the fourth digit where three would look like the limit.
func strong(what string, v, limit float64, state string) string {
	times := mechanics.Figure(v)
	if times == mechanics.Figure(limit) {
		times = strconv.FormatFloat(v, 'f', -1, 64) // Digits has rounded it
	}
	if v < 1 {
		return fmt.Sprintf("%s breaks: it is only %s times as strong as it is strained, %s", what, times, state)
	}
	return fmt.Sprintf("%s is %s times as strong as it is strained, %s", what, times, state)
}

// tabStrength finds the tabs and webs whose reserve is too small.
func tabStrength(p panel.Panel, a *mechanics.Answers, limit float64) []pipeline.Finding {
	var tabs []bearer
	for _, w := range weakest(a, limit, func(t mechanics.Tab) (float64, int) {
		k := least(t.Loads)
		if k < 0 || k >= len(a.States) {
			return math.Inf(1), -1
		}
		return t.Loads[k].Reserve, k
	}) {
		l := w.Loads[w.state]
		tabs = append(tabs, w.bearer(fmt.Sprintf("%s: a moment of %s N·mm over %s mm³ (beside a twist of %s N·mm) stresses its worst ligament to %s MPa with the notch factor, and it bears %s MPa; "+
			"at least %v times are asked for", strong(w.Tab.Tab, w.reserve, limit, a.States[w.state].Words(a)), mechanics.Small(l.Moment), mechanics.Figure(w.Modulus), mechanics.Small(l.Twist),
			mechanics.Figure(l.Stress), mechanics.Figure(l.Strength), limit)))
	}
	lines := webs(p, a, limit, func(x mechanics.Line) int { return least(x.Loads) }, func(x mechanics.Line, k int, v float64) string {
		l := x.Loads[k]
		return fmt.Sprintf("%s: a moment of %s N·mm on each mm of it over %s mm³ stresses it to %s MPa with the notch factor, and it bears %s MPa; at least %v times are asked for",
			strong("the web of "+x.Score, v, limit, a.States[k].Words(a)), mechanics.Small(l.Moment), mechanics.Figure(x.Modulus), mechanics.Figure(l.Stress), mechanics.Figure(l.Strength), limit)
	})
	return append(gathered(p, tabs, held(a), tabWords), gathered(p, lines, held(a), lineWords)...)
}

// least gives the load with the least reserve, -1 where there is none.
func least(loads []mechanics.RowLoad) int {
	k := -1
	for i, l := range loads {
		if k < 0 || l.Reserve < loads[k].Reserve {
			k = i
		}
	}
	return k
}

// tabLeftOut finds the tabs without which the others do not hold.
func tabLeftOut(p panel.Panel, a *mechanics.Answers, limit float64) []pipeline.Finding {
	var tabs []bearer
	for _, w := range weakest(a, limit, func(t mechanics.Tab) (float64, int) {
		if t.Without.Falls {
			return 0, -1
		}
		return t.Without.Reserve, -1
	}) {
		says := fmt.Sprintf("without %s a piece comes loose or turns freely: nothing else holds it", w.Tab.Tab)
		if !w.Without.Falls {
			says = fmt.Sprintf("without %s the panel sags %s mm, cold, and %s bears it with a strength of %s times what it is strained; at least %v times are asked for",
				w.Tab.Tab, mechanics.Figure(w.Without.Sag), w.Without.Worst, mechanics.Figure(w.reserve), limit)
		}
		tabs = append(tabs, w.bearer(says))
	}
	return gathered(p, tabs, held(a), tabWords)
}

// transportShock finds the tabs and webs that a jolt breaks too soon.
func transportShock(p panel.Panel, a *mechanics.Answers, limit float64) []pipeline.Finding {
	cold := slices.IndexFunc(a.States, func(s mechanics.State) bool { return s.Kind == mechanics.Cold })
	says := func(what string, l mechanics.RowLoad, v float64) string {
		return fmt.Sprintf("%s breaks by a jolt of %s times the panel's own weight (%s MPa at rest, and it bears %s MPa); at least %v times are asked for",
			what, mechanics.Figure(v), mechanics.Figure(l.Stress), mechanics.Figure(l.Strength), limit)
	}
	var tabs []bearer
	for _, w := range weakest(a, limit, func(t mechanics.Tab) (float64, int) {
		if cold < 0 || cold >= len(t.Loads) {
			return math.Inf(1), -1
		}
		return t.Loads[cold].Reserve, cold
	}) {
		tabs = append(tabs, w.bearer(says(w.Tab.Tab, w.Loads[w.state], w.reserve)))
	}
	lines := webs(p, a, limit, func(mechanics.Line) int { return cold }, func(x mechanics.Line, k int, v float64) string {
		return says("the web of "+x.Score, x.Loads[k], v)
	})
	return append(gathered(p, tabs, held(a), tabWords), gathered(p, lines, held(a), lineWords)...)
}
