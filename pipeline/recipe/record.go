package recipe

import (
	"fmt"
	"path"
	"path/filepath"
	"slices"
	"strings"
	"unicode"

	"panelwright/pipeline"
)

// Recorded is a call of a stage as a build has recorded it: its kind's name, and its options as Settled
// gave them.
type Recorded struct {
	Stage    string
	Settings []Setting
}

// FromRecord makes a plan of recorded calls of stages that bring boards in. dir is the recipe's folder:
// what the recipe's paths are relative to, and the origins of the settings. A stage that there is not,
// and a value that its options no longer take, are Mistakes.
func FromRecord(dir string, calls []Recorded, s Settings) (*Plan, error) {
	l, err := newLoader(s)
	if err != nil {
		return nil, err
	}
	var text strings.Builder
	text.WriteString("panel \"recorded\" {\n  revision = \"-\"\n}\n")
	for _, c := range calls {
		top := &recordedBlock{step: step{head: "stage " + pipeline.Quote(c.Stage)}}
		for _, x := range c.Settings {
			if x.Value == "" {
				continue
			}
			if strings.ContainsFunc(x.Value, unicode.IsControl) {
				return nil, Mistakes{{What: fmt.Sprintf("stage %s: the recorded value of %s is none that a build records", short(c.Stage), short(x.Option))}}
			}
			if !top.set(l.options[c.Stage], x) {
				return nil, Mistakes{{What: fmt.Sprintf("stage %s has no option %q, which is recorded", short(c.Stage), short(x.Option)),
					Do: "read the build with the version of the program that wrote it"}}
			}
		}
		top.write(&text, "")
	}
	abs, err := filepath.Abs(dir)
	if err != nil {
		return nil, err
	}
	l.dir, l.plan.Path = abs, filepath.Join(abs, "recorded values")
	l.recipe(l.layer(l.plan.Path, []byte(text.String())))
	if err := l.ledger.err(); err != nil {
		return nil, err
	}
	return l.plan, nil
}

// recordedBlock is a block as a recipe would write it.
type recordedBlock struct {
	step
	lines  []string
	blocks []*recordedBlock
}

// step leads from a block to one within it. Without labels a number tells blocks of one kind apart.
type step struct{ head, number string }

// set sets the option that a recorded name means.
func (b *recordedBlock) set(defs []pipeline.Option, x Setting) bool {
	d, steps, ok := recordedOption(defs, x.Option)
	if !ok {
		return false
	}
	for _, s := range steps {
		i := slices.IndexFunc(b.blocks, func(y *recordedBlock) bool { return y.step == s })
		if i < 0 {
			i = len(b.blocks)
			b.blocks = append(b.blocks, &recordedBlock{step: s})
		}
		b = b.blocks[i]
	}
	b.lines = append(b.lines, d.Name+" = "+recordedValue(d, x))
	return true
}

// recordedOption finds the option that a name such as "gap" or "limit copper-to-edge at_least" means, and
// the blocks that it stands in. A label may hold spaces; names of options do not.
func recordedOption(defs []pipeline.Option, name string) (d pipeline.Option, steps []step, ok bool) {
	for _, d := range defs {
		if !d.Block {
			if d.Name == name {
				return d, nil, true
			}
			continue
		}
		rest, ok := strings.CutPrefix(name, d.Name+" ")
		if !ok {
			continue
		}
		head := d.Name
		for range len(d.Labels) - 1 { // of several labels only the last may hold spaces
			label, after, _ := strings.Cut(rest, " ")
			head, rest = head+" "+pipeline.Quote(label), after
		}
		for at := strings.LastIndexByte(rest, ' '); at > 0; at = strings.LastIndexByte(rest[:at], ' ') {
			inner, more, ok := recordedOption(d.Options, rest[at+1:])
			switch {
			case !ok:
			case len(d.Labels) == 0:
				return inner, append([]step{{head, rest[:at]}}, more...), true
			case d.Each:
				n := strings.LastIndexByte(rest[:at], ' ')
				if n < 0 {
					continue
				}
				return inner, append([]step{{head + " " + pipeline.Quote(rest[:n]), rest[n+1 : at]}}, more...), true
			default:
				return inner, append([]step{{head: head + " " + pipeline.Quote(rest[:at])}}, more...), true
			}
		}
	}
	return pipeline.Option{}, nil, false
}

func (b *recordedBlock) write(to *strings.Builder, indent string) {
	to.WriteString(indent + b.head + " {\n")
	for _, line := range b.lines {
		to.WriteString(indent + "  " + line + "\n")
	}
	for _, x := range b.blocks {
		x.write(to, indent+"  ")
	}
	to.WriteString(indent + "}\n")
}

// recordedValue gives a recorded value. Paths that a standard says are relative to the standard's folder,
// which the origin tells; here they become relative to the recipe's.
func recordedValue(d pipeline.Option, x Setting) string {
	folder := path.Dir(x.Origin)
	if d.Type != "path" && d.Type != "list of paths" || folder == "." {
		return x.Value
	}
	prefix := strings.Trim(pipeline.Quote(folder+"/"), `"`)
	var out strings.Builder
	within := false
	for i := 0; i < len(x.Value); i++ {
		out.WriteByte(x.Value[i])
		switch {
		case x.Value[i] == '\\' && within && i+1 < len(x.Value):
			i++
			out.WriteByte(x.Value[i])
		case x.Value[i] == '"':
			if within = !within; within {
				out.WriteString(prefix)
			}
		}
	}
	return out.String()
}
