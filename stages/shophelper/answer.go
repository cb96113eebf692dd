package shophelper

import (
	"panelwright/pipeline"
	"panelwright/stages/shophelper/schema"
)

// What the answer may hold, so that a mistaken helper ends in an error and not in a full memory.
const (
	mostPrints = 20_000
	mostShapes = 200_000 // of a kind in one print
	mostPoints = 100_000 // of one shape
	mostMarks  = 10_000
	mostFound  = 10_000
	mostLog    = 1_000
)

// Patterns that ECMA-262, which JSON Schema goes by, and Go read alike.
const (
	oneLine   = `^\P{Cc}*$` // no control characters
	idPattern = `^[A-Za-z0-9_.-]+(/[A-Za-z0-9_.-]+)*$`
	layerName = `^(legend-(top|bottom)|mask-(top|bottom)|copper-[1-9][0-9]?-(top|inner|bottom))$`
	ruleName  = `^[a-z][a-z0-9]*(-[a-z0-9]+)*$`
	valueName = `^[a-z][a-z0-9]*(_[a-z0-9]+)*$`
)

func text(about string, least, most int, pattern string) *schema.Node {
	return &schema.Node{Type: schema.Text, About: about, Least: least, Most: most, Pattern: pattern}
}

func choice(about string, of ...string) *schema.Node {
	return &schema.Node{Type: schema.Text, About: about, Choices: of}
}

// size is a length in millimetres that is more than nothing.
func size(about string, most float64) *schema.Node {
	return &schema.Node{Type: schema.Number, About: about, Above: schema.F(0), High: &most}
}

func number(about string, low, high float64) *schema.Node {
	return &schema.Node{Type: schema.Number, About: about, Low: &low, High: &high}
}

func list(about string, item *schema.Node, least, most int) *schema.Node {
	return &schema.Node{Type: schema.List, About: about, Item: item, Least: least, Most: most}
}

func object(about string, props ...schema.Prop) *schema.Node {
	return &schema.Node{Type: schema.Object, About: about, Props: props}
}

func need(name string, n *schema.Node) schema.Prop {
	return schema.Prop{Name: name, Node: n, Required: true}
}
func may(name string, n *schema.Node) schema.Prop { return schema.Prop{Name: name, Node: n} }

// contract is the version of the contract that either document states.
func contract() schema.Prop {
	return need("contract", &schema.Node{Type: schema.Count, Const: schema.F(pipeline.Contract), About: "The version of this description."})
}

// answer describes what a helper prints on standard output.
func answer() *schema.Document {
	point := list("x and y in mm on the panel: from its lower left corner, x right, y up, seen from the top, on both sides.", number("", 0, 1000), 2, 2)
	point.Ref = "point"
	points := func(about string, least int) *schema.Node { return list(about, point, least, mostPoints) }
	id := func(is string) *schema.Node {
		return text("Names the "+is+"; the helper's name and a slash are put before it.", 1, 100, idPattern)
	}
	circle := object("A filled circle.", need("at_mm", point), need("diameter_mm", size("", 500)))
	circle.Ref = "circle"
	stroke := object("Straight lines from point to point, drawn with a round pen.",
		need("width_mm", size("Of the pen.", 100)), need("points_mm", points("", 2)))
	stroke.Ref = "stroke"
	polygon := object("A filled area: its corners in order, either way round, without the first again at the end. It must not touch itself.",
		need("points_mm", points("", 3)))
	polygon.Ref = "polygon"
	letters := object("Words, written by the program's own letters.",
		need("text", text("Lines are parted by \\n.", 1, 2000, `^(\P{Cc}|\n)+$`)),
		need("at_mm", point),
		need("letter_height_mm", number("Of capitals, from outside to outside.", 0.3, 50)),
		may("stroke_width_mm", number("A tenth of the letters' height unless given.", 0.05, 10)),
		may("align", choice("Which end of the words stands at at_mm, at the foot of the last line; left unless given.", "left", "centre", "right")),
		may("turn_deg", number("Counter-clockwise, as seen from the top. On the bottom the words are mirrored first.", -360, 360)))
	letters.Ref = "letters"
	shapes := func(n *schema.Node) *schema.Node { return list("", n, 1, mostShapes) }
	print := object("Artwork, drawn alike on each of its layers.",
		need("id", id("print")),
		need("use", choice("What it is for. on_board: legend that stays on a copy, on a blank place of it; all else lies on waste.",
			"lettering", "on_board", "code", "label_area", "thieving", "bad_board", "rail_mask")),
		need("layers", list("Of one kind. A mask layer's artwork is its openings.", text("", 1, 20, layerName), 1, 100)),
		may("text", text("What it says, for the papers.", 1, 2000, oneLine)),
		may("copy", text("The id of the copy that it is of.", 1, 200, oneLine)),
		may("area_mm", list("Two opposite corners of all that it takes up; what is drawn unless given.", point, 2, 2)),
		may("circles", shapes(circle)), may("strokes", shapes(stroke)), may("polygons", shapes(polygon)), may("letters", shapes(letters)),
		may("symbology", choice("Of a code.", "data_matrix", "qr")),
		may("square_mm", size("The side of a code's squares.", 10)))
	print.When = []schema.When{
		{Name: "use", Is: []string{"on_board"}, Needs: []string{"copy"}, Bars: []string{"area_mm"}},
		{Name: "use", Is: []string{"code"}, Needs: []string{"symbology", "square_mm", "text", "polygons"}, Bars: []string{"letters", "copy"}},
		{Name: "use", Is: []string{"label_area"}, Needs: []string{"area_mm"}, Bars: []string{"copy"}},
		{Name: "use", Is: []string{"bad_board"}, Needs: []string{"copy", "circles"}, Bars: []string{"letters", "strokes", "polygons"}},
		{Name: "use", Is: []string{"thieving"}, Bars: []string{"letters", "polygons", "copy", "text"}},
		{Name: "use", Is: []string{"rail_mask"}, Bars: []string{"letters", "strokes", "copy", "text"}},
		{Name: "use", Is: []string{"lettering"}, Bars: []string{"copy"}},
		{Name: "use", Is: []string{"lettering", "on_board", "label_area", "thieving", "bad_board", "rail_mask"}, Bars: []string{"symbology", "square_mm"}},
	}
	print.Ref = "print"
	hole := object("A hole of the panel, not plated.", need("id", id("hole")), need("at_mm", point), need("diameter_mm", number("Finished.", 0.1, 20)))
	hole.Ref = "tooling_hole"
	fiducial := object("A round dot of copper in an opening of the mask, which cameras find the panel by.", need("id", id("fiducial")), need("at_mm", point),
		need("copper_diameter_mm", number("", 0.1, 20)), need("mask_diameter_mm", number("", 0.1, 50)), need("clear_diameter_mm", number("Kept free of copper, legend, holes and edges.", 0.1, 100)),
		need("sides", list("", choice("", "top", "bottom"), 1, 2)))
	fiducial.Ref = "fiducial"
	place := list("On the panel, as a point, but it may lie beside it.", number("", -1000, 1000), 2, 2)
	finding := object("What is wrong with the panel, or worth a note.",
		need("rule", text("Words joined by hyphens. The first are the helper's name, with hyphens for underscores.", 1, 100, ruleName)),
		need("severity", choice("An error keeps the panel from being released.", "error", "warning", "note")),
		need("message", text("A sentence.", 1, 2000, oneLine)),
		may("at_mm", place),
		may("feature", text("The id of what it is about.", 1, 200, oneLine)),
		may("copies", list("The ids of every copy that it holds for.", text("", 1, 200, oneLine), 1, mostFound)),
		may("measured", number("", -1e12, 1e12)), may("limit", number("", -1e12, 1e12)),
		may("unit", text("Of measured and limit.", 1, 20, oneLine)),
		may("source", text("Where the limit comes from.", 1, 500, oneLine)))
	finding.Ref = "finding"
	root := object("What a helper prints on standard output.",
		contract(),
		may("additions", object("What is added to the panel; only a helper of the role shape adds. Nothing else of the panel changes.",
			may("prints", list("", print, 0, mostPrints)),
			may("tooling_holes", list("", hole, 0, mostMarks)),
			may("fiducials", list("", fiducial, 0, mostMarks)))),
		may("findings", list("", finding, 0, mostFound)),
		may("log", list("Lines for the build's log.", text("", 1, 2000, oneLine), 0, mostLog)),
		may("values", &schema.Node{Type: schema.Object, Names: valueName, About: "What later stages may read, as helpers.NAME.VALUE: those that the recipe's settles blocks name.",
			Map: &schema.Node{Type: schema.Several, OneOf: []schema.Type{schema.Number, schema.Text, schema.YesNo}}}))
	return &schema.Document{Title: "Answer of a shop's helper", Root: root}
}
