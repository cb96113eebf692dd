package intake

import (
	"fmt"
	"strings"

	"panelwright/pipeline/panel"
)

// attributeClaim reads the fields of the layer format's attribute .FileFunction (published
// specification of the layer format, file attributes).
func attributeClaim(v []string, from string) (claim, bool) {
	c := claim{from: from}
	if len(v) == 0 || v[0] == "" {
		return c, false
	}
	field := func(i int) string {
		if i < len(v) {
			return v[i]
		}
		return ""
	}
	side := func(i int) {
		switch field(i) {
		case "Top":
			c.side = panel.Top
		case "Bot":
			c.side = panel.Bottom
		default:
			c.refused = "its attribute .FileFunction has no side: " + strings.Join(v, ",")
		}
	}
	switch v[0] {
	case "Copper":
		c.kind, c.typ = panel.Copper, field(3)
		switch field(2) {
		case "Top":
			c.side = panel.Top
		case "Bot":
			c.side = panel.Bottom
		case "Inr":
			c.side = panel.Inner
		}
		if l := field(1); strings.HasPrefix(l, "L") {
			c.number = atoi(l[1:])
		}
		if c.side == "" || c.number < 1 || c.number > maxCopper {
			c.refused = "its attribute .FileFunction is not understood: " + strings.Join(v, ",")
		}
	case "Soldermask", "Paste", "Legend", "Glue", "Carbonmask", "Peelablemask":
		c.kind = map[string]panel.FunctionKind{"Soldermask": panel.Soldermask, "Paste": panel.Paste, "Legend": panel.Legend,
			"Glue": panel.Glue, "Carbonmask": panel.Carbon, "Peelablemask": panel.Peelable}[v[0]]
		side(1)
		if i := atoi(field(2)); i > 1 {
			c.refused = "a second " + c.text() + " on one side is not carried"
		}
	case "Profile":
		c.kind = panel.Profile
	case "Plated", "NonPlated":
		c.drill = true
	case "Drillmap", "FabricationDrawing", "Vcutmap", "AssemblyDrawing", "ArrayDrawing", "OtherDrawing":
		c.ignored = "a drawing for people to read (" + strings.Join(v, ",") + ")"
	case "Other":
		c.ignored = "its attribute .FileFunction gives it no function that is carried (" + strings.Join(v, ",") + ")"
	case "Component":
		c.ignored = "a layer of parts: placements are read from the placement file (" + strings.Join(v, ",") + ")"
	case "Pads":
		c.ignored = "a picture of the pads alone: the copper layers hold them (" + strings.Join(v, ",") + ")"
	default:
		// Vcut, Depthrout, Viafill, Goldmask, Heatsinkmask, Silvermask, Tinmask and what is yet to come.
		c.ignored = "layers of the function " + strings.Join(v, ",") + " are not carried into a panel"
		c.lost = true
	}
	return c, true
}

// maxCopper is the largest number of copper layers that is believed.
const maxCopper = 100

// FunctionWords tells, for people, what a recipe's layer block may say.
const FunctionWords = `"copper-1-top", "copper-2-inner", "copper-4-bottom", "mask-top", "paste-top", "legend-top", "glue-top", "carbonmask-top", "peelablemask-top" (or -bottom), "profile" or "ignore"`

// FunctionNames lists the functions that a recipe's layer block may name, for a board of so many
// copper layers, nil for one that is not counted yet.
func FunctionNames(copper *int) []string {
	n := 12
	if copper != nil {
		n = *copper
	}
	out := []string{"profile", "ignore", "copper-1-top"}
	for i := 2; i <= n; i++ {
		out = append(out, fmt.Sprintf("copper-%d-inner", i), fmt.Sprintf("copper-%d-bottom", i))
	}
	for _, k := range []panel.FunctionKind{panel.Soldermask, panel.Paste, panel.Legend, panel.Glue, panel.Carbon, panel.Peelable} {
		out = append(out, string(k)+"-top", string(k)+"-bottom")
	}
	return out
}

// ParseFunction reads the function of a layer as a recipe writes it: the Key of a panel.Function.
func ParseFunction(s string) (f panel.Function, ok bool) {
	if s == "profile" {
		return panel.Function{Kind: panel.Profile}, true
	}
	p := strings.Split(s, "-")
	f.Kind = panel.FunctionKind(p[0])
	f.Side = panel.Side(p[len(p)-1])
	switch f.Kind {
	case panel.Copper:
		if len(p) != 3 {
			return f, false
		}
		f.Index = atoi(p[1])
		switch {
		case f.Index < 1 || f.Index > maxCopper:
			return f, false
		case f.Side == panel.Top:
			return f, f.Index == 1
		case f.Side == panel.Inner || f.Side == panel.Bottom:
			return f, f.Index > 1
		}
		return f, false
	case panel.Soldermask, panel.Paste, panel.Legend, panel.Glue, panel.Carbon, panel.Peelable:
		return f, len(p) == 2 && (f.Side == panel.Top || f.Side == panel.Bottom)
	}
	return f, false
}
