package shophelper

import "panelwright/stages/shophelper/schema"

// open is an object of which more names may come: whoever reads it passes over those it does not know.
func open(about string, props ...schema.Prop) *schema.Node {
	return &schema.Node{Type: schema.Object, About: about, Props: props, Open: true}
}

func all(about string, item *schema.Node) *schema.Node { return list(about, item, 0, 0) }

func free(about string, t schema.Type) *schema.Node { return &schema.Node{Type: t, About: about} }

// named gives a node the name under which the document defines it.
func named(n *schema.Node, ref string) *schema.Node {
	n.Ref = ref
	return n
}

// question describes what a helper is handed on standard input.
func question() *schema.Document {
	word := free("", schema.Text)
	mm, deg, count, yes := free("", schema.Number), free("", schema.Number), free("", schema.Count), free("", schema.YesNo)
	point := named(list("x and y in mm.", mm, 2, 2), "point")
	words := all("", word)
	box := named(list("Lower left and upper right corner.", point, 2, 2), "box")
	edge := named(open("A straight line, or an arc where it has a center.",
		need("from", point), need("to", point), may("center", point), may("turn", choice("", "counter_clockwise", "clockwise"))), "edge")
	path := named(all("Edges that follow one another.", edge), "path")
	cut := func(props ...schema.Prop) []schema.Prop {
		return append(props, need("outer_mm", path), may("cut_outs_mm", all("", path)))
	}
	source := named(open("A file that a board was read from.", need("name", word), need("sha256", word), need("bytes", count), may("use", word), may("ignored_because", word)), "source")
	board := open("",
		need("name", word), may("part_number", word), may("revision", word), need("thickness_mm", mm), need("copper_layers", count),
		may("finish", word), may("mask_color", word), need("width_mm", mm), need("height_mm", mm),
		need("lower_left_mm", point), need("parts", count), need("sources", all("", source)), may("packages", source),
		may("parts_over_edge", all("", open("", need("part", word), need("by_mm", mm)))), may("fragile_parts", words))
	copy := open("A placed board.", need("id", word), need("board", word), need("x_mm", mm), need("y_mm", mm), need("rotation_deg", deg), need("box_mm", box))
	mark := open("A fiducial or a tooling hole.", need("id", word), need("kind", choice("", "fiducial", "tooling_hole")), need("at_mm", point), need("diameter_mm", mm),
		may("mask_diameter_mm", mm), may("clear_diameter_mm", mm), may("sides", words))
	row := open("A row of perforations.", need("copies", words), need("inset_mm", mm), need("line_mm", path), need("web_mm", mm), need("web_at_worst_mm", mm),
		need("shoulder_mm", mm), need("shoulder_at_worst_mm", mm), need("stub_mm", mm), need("stub_at_worst_mm", mm))
	tab := open("", need("id", word), need("copies", words), may("rail", word), need("width_mm", mm), need("feet_mm", list("", point, 2, 2)), need("along", point),
		may("pinned", yes), need("rows", all("", row)))
	hole := open("A hole of a tab's row.", need("id", word), need("tab", word), need("row", count), need("copy", word), need("at_mm", point), need("diameter_mm", mm))
	score := open("", need("id", word), need("from_mm", point), need("to_mm", point), need("remaining_web_mm", mm), need("depth_each_side_mm", mm), need("included_angle_deg", deg),
		need("leave_mm", mm), need("web_tolerance_mm", mm), need("blade_offset_tolerance_mm", mm), need("position_tolerance_mm", mm),
		may("run_out_mm", mm), may("blade_diameter_mm", mm), may("source", word))
	print := open("What the panel prints of its own.", need("id", word), need("use", word), need("layers", words), may("text", word), may("copy", word), need("area_mm", box),
		may("dots", all("", open("", need("diameter_mm", mm), need("at_mm", all("", point))))),
		may("lines", all("", open("", need("width_mm", mm), need("path_mm", path)))), may("areas_mm", all("", path)),
		may("letter_height_mm", mm), may("symbology", word), may("square_mm", mm))
	panel := open("The panel as it stands, as panel.json has it: origin at the lower left corner of its outline, x right, y up, seen from the top, on both sides.",
		need("schema", count), need("panel", word), need("revision", word), need("units", word), need("width_mm", mm), need("height_mm", mm),
		need("thickness_mm", mm), need("copper_layers", count), need("outline_mm", path), may("cut_outs_mm", all("", path)),
		need("boards", all("", board)), need("copies", all("", copy)), need("rails", all("", open("", need("id", word), need("box_mm", box)))),
		need("marks", all("", mark)), need("cutters_mm", all("", mm)),
		need("slots", all("", open("An opening that is routed.", cut(need("id", word))...))),
		need("unreached", all("", open("What no cutter reaches.", cut(need("id", word), need("copy", word), need("at_mm", point), need("radius_mm", mm))...))),
		need("tabs", all("", tab)), need("perforations", all("", hole)), need("scores", all("", score)),
		need("blanks", all("", open("Laminate that stays on a copy.", cut(need("id", word), need("copy", word))...))),
		need("prints", all("", print)),
		may("x_out", open("What is agreed about bad copies.", need("bad_copies_at_most", count), need("share_of_panels_at_most", mm), may("source", word), may("usual", yes))),
		may("copper_shares", all("", open("", need("layer", word), need("before", mm), need("after", mm)))),
		may("support", open("How the panel is carried while it is assembled.")), may("laminate", all("Constants of the laminate.", open(""))))
	finding := open("What has been found so far.", need("rule", word), need("severity", choice("", "error", "warning", "note")), need("message", word),
		may("at_mm", point), may("feature", word), may("copies", words), may("stage", word), may("measured", mm), may("limit", mm), may("unit", word), may("source", word))
	root := open("What a helper is handed on standard input. More names may come: pass over those that you do not know.",
		contract(),
		need("helper", free("Its name, as the recipe has it.", schema.Text)),
		need("role", choice("What it is asked for: additions, findings, files.", "shape", "judge", "write")),
		need("name", free("The panel's name.", schema.Text)), need("revision", free("The panel's revision.", schema.Text)),
		need("supplier", free("Whom the panel is built for; empty: nobody in particular.", schema.Text)),
		need("date", free("By SOURCE_DATE_EPOCH, in ISO 8601; empty where it is not set. There is no other date.", schema.Text)),
		need("settings", &schema.Node{Type: schema.Object, Open: true, About: "The recipe's setting blocks: lengths in mm and angles in degrees, as numbers."}),
		need("outputs", all("The files that it must leave in its working folder.", word)),
		need("layers", all("The layers that the panel has so far: copper-1-top, mask-bottom.", word)),
		need("panel", panel),
		need("findings", all("", finding)),
		may("outlines", all("Every board's edge, in the coordinates of its files, where the recipe says with = [\"outlines\"].",
			open("", cut(need("board", word))...))),
		may("parts", all("Every part of every copy, where it lies on the panel, where the recipe says with = [\"parts\"]. Rotation is counter-clockwise as seen from the top, for both sides.",
			open("", need("copy", word), need("refdes", word), need("side", choice("", "top", "bottom")), need("x_mm", mm), need("y_mm", mm), need("rotation_deg", deg),
				need("package", word), need("value", word), need("part_number", word)))))
	return &schema.Document{Title: "What a shop's helper is handed", Root: root}
}

// Schemas gives the JSON Schemas (draft 2020-12) of what a helper is handed and of what it answers.
func (*ShopHelper) Schemas() map[string][]byte {
	return map[string][]byte{"in": question().Text(), "out": answer().Text()}
}
