package verify

import (
	"fmt"
	"slices"
	"strings"
)

// Markdown writes groups as VERIFICATION.md.
func Markdown(groups []Group) []byte {
	var b strings.Builder
	line := func(format string, a ...any) { fmt.Fprintf(&b, format+"\n", a...) }
	line("# Verification of the mechanics")
	line("")
	line("Written by `make verification`; a test reckons it anew and fails where this file is not what comes out, or a row leaves its bound.")
	line("")
	line("Unless said otherwise plates are %g mm wide, cut by package mesh as panels are, with edges of %g mm in the open, and reckoned by package plate.", short, open.MM())
	line("They yield to shear as boards do, κ G t = %.0f N/mm, which is what panels are reckoned with: of thin plates' references that makes a thousandth. Convergence and laminates are of thin plates.", yielding)
	line("Every figure must be within %g %% of its reference. w is the deflection, q the pressure, D the bending stiffness, a the (short) side, t the thickness, μ the mass per area;", Bound*100)
	line("moments are per length, recovered at nodes from the slopes of the nodes around (package plate). What panels' tabs and score lines bear is not reckoned of these, but of")
	line("what joints bear and of moments in the middles of triangles. Numbers in [ ] are sources, listed at the end.")
	line("")
	line("Exceptions, stated in the code beforehand:")
	line("")
	for _, e := range exceptions {
		name := e.quantity
		if e.of != "" {
			name = e.of + ", " + name
		}
		line("- *%s*: %s. Bound %s.", name, e.reason, percent(e.bound))
	}
	var sources []Source
	rows := 0
	for _, g := range groups {
		line("\n## %s\n\n%s\n", g.Title, g.Text)
		if len(g.Steps) > 0 {
			line("|Fields a side|Unknowns|w off|order|M off|λ1 off|order|")
			line("|--:|--:|--:|--:|--:|--:|--:|")
			for i, s := range g.Steps {
				w, f := "", ""
				if i > 0 {
					w, f = fmt.Sprintf("%.2f", s.DeflectionOrder), fmt.Sprintf("%.2f", s.FrequencyOrder)
				}
				line("|%d|%d|%s|%s|%s|%s|%s|", s.Fields, s.Unknowns, off(s.Deflection), w, off(s.Moment), off(s.Frequency), f)
			}
			line("")
		}
		line("|Case|Figure|Should be|Is|Off|Bound|Source|")
		line("|---|---|--:|--:|--:|--:|--:|")
		for _, r := range g.Rows {
			n := slices.Index(sources, r.Source) + 1
			if n == 0 {
				sources = append(sources, r.Source)
				n = len(sources)
			}
			rows++
			line("|%s|%s|%s|%s|%s|%s|[%d]|", r.Case, r.Quantity, figure(r.Reference), r.got(), r.off(), r.bound(), n)
		}
	}
	line("\n## Sources\n")
	for i, s := range sources {
		line("%d. %s.", i+1, s)
	}
	return []byte(b.String())
}

func figure(v float64) string { return fmt.Sprintf("%.5g", v) }

// got writes a figure that should be 0 not by its digits, which are nothing but rounding.
func (r Row) got() string {
	if r.Reference == 0 {
		if r.Within() {
			return "less"
		}
		return fmt.Sprintf("%.1e", r.Got)
	}
	return figure(r.Got)
}

func (r Row) off() string {
	if r.Reference == 0 {
		return ""
	}
	return off(r.Off())
}

func (r Row) bound() string {
	if r.Reference == 0 {
		return fmt.Sprintf("%.0e", r.Bound)
	}
	return percent(r.Bound)
}

func off(v float64) string {
	s := fmt.Sprintf("%+.2f %%", v*100)
	if strings.Trim(s, "+-0. %") == "" {
		return "0.00 %"
	}
	return s
}

func percent(v float64) string {
	if v < 1e-4 {
		return fmt.Sprintf("%.0e", v)
	}
	return fmt.Sprintf("%g %%", v*100)
}
