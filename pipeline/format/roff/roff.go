// Package roff writes manual pages in the language of man(7), as every Unix reads it. It writes the macros that groff and mandoc
// agree on, and ASCII alone.
package roff

import (
	"fmt"
	"strings"
)

// Page is a manual page in the making.
type Page struct {
	b     strings.Builder
	fresh bool // nothing stands yet below the last heading
}

// New begins a page: its title and section, the date (ISO 8601, empty for none), what it belongs to ("panelwright 0.1.0"), and the
// manual's name.
func New(title string, section int, date, source, manual string) *Page {
	p := &Page{}
	fmt.Fprintf(&p.b, ".TH %s %d \"%s\" %s %s\n", quoted(strings.ToUpper(title)), section, date, quoted(source), quoted(manual))
	return p.macro(".ad l")
}

// Section begins a section.
func (p *Page) Section(title string) *Page { return p.heading(".SH", strings.ToUpper(title)) }

// Part begins a part of a section.
func (p *Page) Part(title string) *Page { return p.heading(".SS", title) }

func (p *Page) heading(macro, title string) *Page {
	p.fresh = true
	return p.macro(macro + " " + quoted(title))
}

// Name is the line that a manual's index is made of.
func (p *Page) Name(name, what string) *Page {
	return p.Section("Name").flow(Escape(name) + ` \- ` + Escape(what))
}

// Text adds a text: paragraphs are parted by blank lines, and what is indented is set as it is.
func (p *Page) Text(text string) *Page {
	var flow, fixed []string
	end := func() {
		if len(flow) > 0 {
			p.paragraph().flow(Escape(strings.Join(flow, " ")))
		}
		if len(fixed) > 0 {
			p.paragraph().macro(".EX")
			for _, l := range fixed {
				p.line(Escape(l))
			}
			p.macro(".EE")
		}
		flow, fixed = nil, nil
	}
	for l := range strings.Lines(text) {
		l = strings.TrimRight(l, "\n")
		switch {
		case strings.TrimSpace(l) == "":
			end()
		case strings.HasPrefix(l, "  "):
			if len(flow) > 0 {
				end()
			}
			fixed = append(fixed, l)
		default:
			if len(fixed) > 0 {
				end()
			}
			flow = append(flow, l)
		}
	}
	end()
	return p
}

// Item adds a term, in bold, and what it means.
func (p *Page) Item(term, meaning string) *Page { return p.ItemTaking(term, "", meaning) }

// ItemTaking is Item with what the term takes, which is not in bold.
func (p *Page) ItemTaking(term, takes, meaning string) *Page {
	head := `\fB` + Escape(term) + `\fR`
	if takes != "" {
		head += " " + Escape(takes)
	}
	p.fresh = false
	p.macro(".TP").line(head)
	return p.flow(Escape(meaning))
}

// In moves what follows one step to the right, Out back.
func (p *Page) In() *Page  { return p.macro(".RS") }
func (p *Page) Out() *Page { return p.macro(".RE") }

// Bytes gives the page.
func (p *Page) Bytes() []byte { return []byte(p.b.String()) }

func (p *Page) macro(s string) *Page {
	p.b.WriteString(s + "\n")
	return p
}

// line adds a line of text that no reader takes for a request.
func (p *Page) line(s string) *Page {
	if strings.HasPrefix(s, ".") {
		s = `\&` + s
	}
	p.b.WriteString(s + "\n")
	return p
}

// paragraph begins one, but for the first below a heading, which needs no space above it.
func (p *Page) paragraph() *Page {
	if !p.fresh {
		p.macro(".PP")
	}
	p.fresh = false
	return p
}

// flow adds an escaped text that is filled, in lines short enough to be read as source.
func (p *Page) flow(text string) *Page {
	line := ""
	for _, w := range strings.Fields(text) {
		if line != "" && len(line)+1+len(w) > widest {
			p.line(line)
			line = ""
		}
		if line != "" {
			line += " "
		}
		line += w
	}
	if line != "" {
		p.line(line)
	}
	return p
}

// widest is how long lines of filled text are, at most.
const widest = 78

// quoted gives a word or more as one argument of a macro.
func quoted(s string) string { return `"` + strings.ReplaceAll(Escape(s), `"`, `\(dq`) + `"` }

var escapes = strings.NewReplacer(`\`, `\(rs`, "-", `\-`, "`", `\(ga`, "'", `\(aq`, "^", `\(ha`, "~", `\(ti`)

// Escape gives a text so that it is shown as it stands: hyphens that can be copied, and letters beyond ASCII by number.
func Escape(s string) string {
	s = escapes.Replace(s)
	var b strings.Builder
	for _, r := range s {
		if r > 126 {
			fmt.Fprintf(&b, `\[u%04X]`, r)
		} else {
			b.WriteRune(r)
		}
	}
	return b.String()
}
