package bounds

import (
	"fmt"
	"strings"
)

// told makes a case of what a stage tells while it reads or plans: it has no limit, and the panel without it is
// beside the one with it. Their names as rules stand in what is told; most of them have tests beside the code too.
func told(rule, says string, without, with setup) bound {
	return bound{Rule: rule, Make: either(without, with), NoFigure: true, Says: says}
}

// places are lines of a placement file for twelve parts on pads of listed, with more columns at their end.
func places(more string) (lines string) {
	for i := range 12 {
		lines += fmt.Sprintf("R%d,%s,%s,0%s\n", i+1, digits(5+float64(i%4)*6.5), digits(5+float64(i/4)*4.3), more)
	}
	return lines
}

// listed is a board with a placement file written by hand.
func listed(placement, options string) setup {
	var pads []drawn
	for i := range 12 {
		pads = append(pads, dot(5+float64(i%4)*6.5, 5+float64(i/4)*4.3, 1))
	}
	s := one(sheet{Copper: map[int][]drawn{1: pads},
		Options: "  placement \"parts.csv\" {\n" + options + "  }"}, "")
	s.Files = map[string]string{"gauge/parts.csv": placement}
	return s
}

// shaped is a board whose edge is drawn by a DXF drawing: a rectangle of 30 x 20 mm, and more entities.
func shaped(more string) setup {
	text := "0\nSECTION\n2\nHEADER\n9\n$INSUNITS\n70\n4\n0\nENDSEC\n0\nSECTION\n2\nENTITIES\n"
	for _, l := range [][4]int{{0, 0, 30, 0}, {30, 0, 30, 20}, {30, 20, 0, 20}, {0, 20, 0, 0}} {
		text += fmt.Sprintf("0\nLINE\n8\nedge\n10\n%d\n20\n%d\n11\n%d\n21\n%d\n", l[0], l[1], l[2], l[3])
	}
	s := one(sheet{Leave: []string{"profile.gbr"}, Copper: map[int][]drawn{1: {dot(5, 5, 1)}},
		Options: "  outline {\n    file = \"edge.dxf\"\n    layer = \"edge\"\n  }"}, "")
	s.Files = map[string]string{"gauge/edge.dxf": text + more + "0\nENDSEC\n0\nEOF\n"}
	return s
}

// jobbed is a board with a job file.
func jobbed(layers int) setup {
	s := one(sheet{}, "")
	s.Files = map[string]string{"gauge/gauge.gbrjob": jobFile(layers, 0.035)}
	return s
}

// jobFile is a job file of so many copper layers, each so thick in mm.
func jobFile(layers int, foil float64) string {
	stack := ""
	for i := range layers {
		if i > 0 {
			stack += `,{"Type":"Dielectric","Thickness":1.5},`
		}
		stack += `{"Type":"Copper","Thickness":` + digits(foil) + `}`
	}
	return fmt.Sprintf(`{"Header":{"GenerationSoftware":{"Vendor":"v","Application":"a","Version":"1"}},`+
		`"GeneralSpecs":{"ProjectId":{"Name":"gauge","GUID":"3c1f2f6a-54a7-4a0a-9d52-0d1c58a1b8e7","Revision":"A"},"Size":{"X":30,"Y":20},"LayerNumber":%d,"BoardThickness":1.6},"FilesAttributes":[],"MaterialStackup":[%s]}`, layers, stack)
}

// extra is a board with one more layer file.
func extra(function string) setup {
	s := one(sheet{}, "")
	s.Files = map[string]string{"gauge/extra.gbr": sheet{}.layer(function, []drawn{dot(5, 5, 1)})}
	return s
}

var _ = judged(
	told("profile-clear", "1 object of clear polarity", one(sheet{}, ""), one(sheet{Profile: []drawn{{aperture: "C,1", path: via[0].path, kind: 'f', clear: true}}}, "")),
	told("profile-regions", "1 region", one(sheet{}, ""), one(sheet{Profile: []drawn{area(box(5, 5, 6, 6))}}, "")),
	told("profile-flashes", "1 flash", one(sheet{}, ""), one(sheet{Profile: []drawn{dot(5, 5, 1)}}, "")),
	told("outline-outside", "holds 2 of the board's 3 pads and holes",
		one(sheet{Leave: []string{"profile.gbr"}, Copper: map[int][]drawn{1: {dot(5, 5, 1), dot(9, 5, 1), dot(29, 5, 1)}}, Options: "  outline {\n    width = 30\n    height = 20\n  }"}, ""),
		one(sheet{Leave: []string{"profile.gbr"}, Copper: map[int][]drawn{1: {dot(5, 5, 1), dot(9, 5, 1), dot(31, 5, 1)}}, Options: "  outline {\n    width = 30\n    height = 20\n  }"}, "")),
	told("drawing-ignored", "edge.dxf: 1", shaped(""), shaped("0\nSOLID\n8\nedge\n10\n5\n20\n5\n11\n6\n21\n5\n12\n5\n22\n6\n13\n6\n23\n6\n")),
	told("function-overridden", "mask-bottom.gbr", one(sheet{}, ""), one(sheet{Options: "  layer \"mask-bottom.gbr\" {\n    function = \"paste-bottom\"\n  }"}, "")),
	told("layer-not-carried", "extra.gbr is ignored", extra("Legend,Top"), extra("Heatsinkmask,Top")),
	told("job-file-differs", "it says 4 copper layers, the files make 2", jobbed(2), jobbed(4)),
	told("part-number", `the recipe says part number "RG-1042"`, one(sheet{Project: "RG-1042,A", Options: "  part_number = \"RG-1042\""}, ""),
		one(sheet{Project: "RG-2077,A", Options: "  part_number = \"RG-1042\""}, "")),
	told("placement-side", "on which side its parts are", listed("Refdes,X(mm),Y(mm),Rotation,Side\n"+places(",top"), ""),
		listed("Refdes,X(mm),Y(mm),Rotation\n"+places(""), "")),
	told("placement-unit", "does not say the unit of its places", listed("Refdes,X,Y,Rotation,Side\n"+places(",top"), "    unit = \"mm\"\n"),
		listed("Refdes,X,Y,Rotation,Side\n"+places(",top"), "")),
	told("parts-not-placed", "R99", listed("Refdes,X(mm),Y(mm),Rotation,Side,Value\n"+places(",top,1k"), ""),
		listed("Refdes,X(mm),Y(mm),Rotation,Side,Unplaced\n"+places(",top,")+"R99,5,5,0,top,DNP\n", "")),
	told("thickness-assumed", "1.6 mm is assumed",
		railed(sheet{}, "stage \"score_lines\" {}\n"), railed(sheet{Options: "  # nobody says the thickness"}, "stage \"score_lines\" {}\n")),
	told("no-placement", "no board has placement data", stuffed(), setup{Boards: []sheet{{}}, Stages: array("gauge", 1, 1, 0), Writes: "stage \"write_assembly\" {}\n"}),
	told("drawing-label", "the title block's field Approval person", approved("A. Weir"), approved(strings.Repeat("A. Weir ", 20))),
	told("legend-date", "SOURCE_DATE_EPOCH", onRail(1, 2, legend(`words = ["part_number"]`)).numbered(), onRail(1, 2, legend(`words = ["part_number", "date"]`)).numbered()),
)

// approved is a drawing with a name in its title block.
func approved(name string) setup {
	return setup{Boards: []sheet{{}}, Stages: array("gauge", 1, 1, 0), Writes: "stage \"write_drawing\" {\n  approver = \"" + name + "\"\n}\n"}
}

// stuffed is a board with one part, so that the harness has write_assembly called.
func stuffed() setup {
	return one(sheet{Parts: []part{{Refdes: "R1", Package: "0603", X: 10, Y: 10}}}, "")
}

// numbered gives a setup whose first board has a part number.
func (s setup) numbered() setup {
	s.Boards[0].Options += "  part_number = \"RG-1042\""
	return s
}
