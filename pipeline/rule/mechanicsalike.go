package rule

import (
	"slices"
	"strings"

	"panelwright/pipeline"
)

// alike gathers findings: those that are the same but for their place become one.
type alike struct {
	at    map[string]int
	more  []int // how many more each holds for
	out   []pipeline.Finding
	tails []string  // what each says after that
	words [2]string // "other tab", "other tabs"
}

// add adds a finding; those with the same words in same are one. tail is said at the end.
func (a *alike) add(same string, f pipeline.Finding, tail ...string) {
	if a.at == nil {
		a.at = map[string]int{}
	}
	i, ok := a.at[same]
	if !ok {
		a.at[same] = len(a.out)
		f.Copies = slices.Clone(f.Copies)
		a.out, a.more, a.tails = append(a.out, f), append(a.more, 0), append(a.tails, strings.Join(tail, ""))
		return
	}
	a.more[i]++
	for _, c := range f.Copies {
		if !slices.Contains(a.out[i].Copies, c) {
			a.out[i].Copies = append(a.out[i].Copies, c)
		}
	}
}

func (a *alike) all() []pipeline.Finding {
	for i, n := range a.more {
		if n > 0 && a.words[0] != "" {
			a.out[i].Message += ", the same for " + counted(n, a.words[0], a.words[1])
		}
		a.out[i].Message += a.tails[i]
	}
	return a.out
}
