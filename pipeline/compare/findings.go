package compare

import (
	"cmp"
	"fmt"
	"slices"
	"strconv"
	"strings"

	"panelwright/pipeline"
)

// findingsDoc is report/findings.json.
type findingsDoc struct {
	Schema   int               `json:"schema"`
	Findings []findingRow      `json:"findings"`
	Judged   []pipeline.Judged `json:"judged"`
}

// findingRow is one finding; its place is in millimetres.
type findingRow struct {
	pipeline.Finding
	At *struct {
		X length `json:"x"`
		Y length `json:"y"`
	} `json:"at"`
}

func readFindings(text []byte) (*findingsDoc, error) {
	var d findingsDoc
	if err := unmarshal(text, &d); err != nil {
		return nil, err
	}
	if d.Schema != 1 {
		return nil, fmt.Errorf("its schema is %d, and this program reads schema 1", d.Schema)
	}
	return &d, nil
}

func (f *findingRow) place() place {
	if f.At == nil {
		return place{}
	}
	return place{X: f.At.X.nm(), Y: f.At.Y.nm()}
}

// ofFindings compares what was found, and by which limits.
func (c *comparison) ofFindings() {
	o, n := c.old.findings, c.new.findings
	if o == nil || n == nil {
		for _, b := range []*build{c.old, c.new} {
			if b.findings == nil {
				c.notes = append(c.notes, b.shown+" has no "+findingsName+": findings and limits are not compared")
			}
		}
		return
	}
	before := len(c.changes)
	bounds := map[string]pipeline.Bound{}
	for _, j := range n.Judged {
		bounds[j.Rule] = j.Bound
	}
	taken := make([]bool, len(o.Findings))
	pairs := make([]int, len(n.Findings))
	// From the surest likeness to the least.
	likeness := []func(a, b *findingRow) bool{
		func(a, b *findingRow) bool {
			return a.Feature == b.Feature && a.Message == b.Message && a.place() == b.place()
		},
		func(a, b *findingRow) bool { return a.Feature == b.Feature && a.Message == b.Message },
		func(a, b *findingRow) bool { return a.Feature == b.Feature && a.place() == b.place() },
		func(a, b *findingRow) bool { return a.Feature == b.Feature },
		func(a, b *findingRow) bool { return slices.Equal(a.Copies, b.Copies) && a.Message == b.Message },
	}
	byRule := map[string][]int{}
	for i, f := range o.Findings {
		byRule[f.Rule] = append(byRule[f.Rule], i)
	}
	for i := range pairs {
		pairs[i] = -1
	}
	for _, like := range likeness {
		for i := range n.Findings {
			if pairs[i] >= 0 {
				continue
			}
			for _, k := range byRule[n.Findings[i].Rule] {
				if !taken[k] && like(&o.Findings[k], &n.Findings[i]) {
					taken[k], pairs[i] = true, k
					break
				}
			}
		}
	}
	pairReckoned(o.Findings, n.Findings, taken, pairs)
	for i := range n.Findings {
		f := &n.Findings[i]
		if pairs[i] < 0 {
			c.add(c.finding(f, Appeared, "new "+severity(f)+": "+findingTitle(f), "new"))
		} else if says := c.findingWords(&o.Findings[pairs[i]], f, bounds[f.Rule]); says != "" {
			c.add(c.finding(f, Changed, says, "new"))
		}
	}
	for i := range o.Findings {
		if f := &o.Findings[i]; !taken[i] {
			c.add(c.finding(f, Gone, severity(f)+" gone: "+findingTitle(f), "old"))
		}
	}
	c.judged(o.Judged, n.Judged)
	if len(c.changes) > before {
		c.told[findingsName] = FindingsGroup
	}
}

// pairReckoned pairs what is left where a rule that reckons has one finding left on either side, of one kind of feature and with a copy
// in common: such a finding tells of the worst of many places, and that may be another one now.
func pairReckoned(old, new []findingRow, taken []bool, pairs []int) {
	left := func(list []findingRow, done func(int) bool) map[string][]int {
		out := map[string][]int{}
		for i := range list {
			if k := kindOf(&list[i]); !done(i) && list[i].Basis != "" && k != "" {
				out[k] = append(out[k], i)
			}
		}
		return out
	}
	was := left(old, func(i int) bool { return taken[i] })
	for k, is := range left(new, func(i int) bool { return pairs[i] >= 0 }) {
		if len(is) != 1 || len(was[k]) != 1 {
			continue
		}
		a, b := was[k][0], is[0]
		if slices.ContainsFunc(old[a].Copies, func(id string) bool { return slices.Contains(new[b].Copies, id) }) {
			taken[a], pairs[b] = true, a
		}
	}
}

// kindOf is the rule and the kind of feature of a finding that tells of the worst of many places; empty for others.
func kindOf(f *findingRow) string {
	for _, k := range []string{"/tab/", "/part/"} {
		if strings.Contains(f.Feature, k) {
			return f.Rule + k
		}
	}
	return ""
}

func severity(f *findingRow) string {
	s := plainText(string(f.Severity))
	if f.Waived != nil {
		s = "waived " + s
	}
	return s
}

func findingTitle(f *findingRow) string {
	return plainText(f.Rule) + ": " + plainText(f.Message)
}

func (c *comparison) finding(f *findingRow, kind Kind, says, on string) Change {
	x := Change{Group: FindingsGroup, Kind: kind, Text: says, Copies: f.Copies}
	if f.Feature != "" {
		x.Features = []string{f.Feature}
	}
	weight := map[pipeline.Severity]int{pipeline.Error: 0, pipeline.Warning: 10}
	w, ok := weight[f.Severity]
	if !ok {
		w = 20
	}
	x.rank = w + map[Kind]int{Appeared: 0, Changed: 3, Gone: 6}[kind]
	if f.Waived != nil {
		x.rank += 30
	}
	if f.At != nil {
		x.At = spot(on, f.place().point().Box().Grow(500_000))
	}
	return x
}

func figure(v *float64, unit string) string {
	if v == nil {
		return "none"
	}
	return strings.TrimSpace(strconv.FormatFloat(*v, 'f', -1, 64) + " " + plainText(unit))
}

// findingWords says how a finding changed, empty where it did not.
func (c *comparison) findingWords(o, n *findingRow, bound pipeline.Bound) string {
	var says []string
	if o.Feature != n.Feature && n.Basis != "" && o.Basis != "" && kindOf(o) != "" {
		says = append(says, "worst there now, before at "+plainText(o.Feature))
	}
	if o.Severity != n.Severity {
		says = append(says, fmt.Sprintf("%s, before %s", n.Severity, o.Severity))
	}
	switch {
	case o.Waived == nil && n.Waived != nil:
		says = append(says, "is waived now: "+plainText(n.Waived.Reason))
	case o.Waived != nil && n.Waived == nil:
		says = append(says, "is waived no longer")
	case o.Waived != nil && (o.Waived.Reason != n.Waived.Reason || o.Waived.Revision != n.Waived.Revision || !sameFigure(o.Waived.AtWorst, n.Waived.AtWorst)):
		says = append(says, "its waiver changed")
	}
	if !sameFigure(o.Measured, n.Measured) {
		word := "measured"
		if o.Measured != nil && n.Measured != nil {
			switch {
			case bound == pipeline.AtLeast && *n.Measured < *o.Measured, bound == pipeline.AtMost && *n.Measured > *o.Measured:
				word = "worse: measured"
			case bound == pipeline.AtLeast, bound == pipeline.AtMost:
				word = "better: measured"
			}
		}
		says = append(says, fmt.Sprintf("%s %s → %s", word, figure(o.Measured, ""), figure(n.Measured, n.Unit)))
	}
	if !sameFigure(o.Limit, n.Limit) {
		says = append(says, fmt.Sprintf("limit %s → %s", figure(o.Limit, ""), figure(n.Limit, n.Unit)))
	}
	if !slices.Equal(c.lasting(o.Copies, c.isGone), c.lasting(n.Copies, c.isNew)) {
		says = append(says, fmt.Sprintf("holds for %s, before for %d", count(len(n.Copies), "copy", "copies"), len(o.Copies)))
	}
	if len(says) == 0 && o.Message != n.Message {
		says = append(says, "is worded otherwise; before: "+plainText(o.Message))
	}
	if len(says) == 0 && o.place() != n.place() {
		says = append(says, moved(n.place().point().Sub(o.place().point())))
	}
	if len(says) == 0 {
		return ""
	}
	return severity(n) + " " + plainText(n.Rule) + " at " + plainText(cmp.Or(n.Feature, "the panel")) + ": " + strings.Join(says, ", ")
}

// lasting gives the copies that both panels have, by their new names: what holds for the others follows from their
// coming and going.
func (c *comparison) lasting(copies []string, leave func(string) bool) (out []string) {
	newNames := map[string]string{}
	for now, was := range c.oldOwner {
		newNames[was] = now
	}
	for _, id := range copies {
		switch {
		case leave(id):
		case newNames[id] != "" && !c.isNew(id) && c.oldOwner[id] == "":
			out = append(out, newNames[id])
		default:
			out = append(out, id)
		}
	}
	slices.Sort(out)
	return out
}

func sameFigure(a, b *float64) bool {
	return a == nil && b == nil || a != nil && b != nil && *a == *b
}

// judged compares the rules that were judged, and their limits.
func (c *comparison) judged(old, new []pipeline.Judged) {
	before := map[string]pipeline.Judged{}
	for _, j := range old {
		before[j.Rule] = j
	}
	put := func(rule string, rank int, kind Kind, says string) {
		c.add(Change{Group: FindingsGroup, Kind: kind, rank: rank, Features: nil, Text: "rule " + plainText(rule) + ": " + says})
	}
	for _, n := range new {
		o, ok := before[n.Rule]
		delete(before, n.Rule)
		switch {
		case !ok && n.Unchecked != "":
			put(n.Rule, 41, Appeared, "is left out: "+plainText(n.Unchecked))
			continue
		case !ok:
			put(n.Rule, 43, Appeared, "is judged now")
			continue
		case o.Unchecked == "" && n.Unchecked != "":
			put(n.Rule, 40, Changed, "is left out now: "+plainText(n.Unchecked))
			continue
		case o.Unchecked != "" && n.Unchecked == "":
			put(n.Rule, 42, Changed, "is judged now, and was left out")
			continue
		case o.Unchecked != n.Unchecked:
			put(n.Rule, 44, Changed, "the reason for leaving it out changed: "+plainText(n.Unchecked))
		}
		switch {
		case o.Missing == n.Missing:
		case n.Missing == "":
			put(n.Rule, 42, Changed, "is judged now, and was not: "+plainText(o.Missing))
		default:
			put(n.Rule, 40, Changed, "is not judged now: "+plainText(n.Missing))
		}
		if !sameFigure(o.Limit, n.Limit) || o.Bound != n.Bound || o.Unit != n.Unit {
			put(n.Rule, 41, Changed, fmt.Sprintf("limit %s %s → %s %s", strings.ReplaceAll(string(o.Bound), "_", " "), figure(o.Limit, o.Unit),
				strings.ReplaceAll(string(n.Bound), "_", " "), figure(n.Limit, n.Unit)))
		} else if o.Source != n.Source {
			put(n.Rule, 46, Changed, "its limit has another source: "+plainText(n.Source))
		}
		if !sameFigure(o.Worst, n.Worst) {
			put(n.Rule, 45, Changed, fmt.Sprintf("worst figure %s → %s", figure(o.Worst, ""), figure(n.Worst, n.Unit)))
		}
	}
	for _, o := range old {
		if _, ok := before[o.Rule]; ok {
			put(o.Rule, 40, Gone, "is judged no longer")
		}
	}
}
