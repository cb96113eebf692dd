package rule

import "panelwright/pipeline"

// returnedRules lists what readback --against judges: a fabricator's returned files, held against the build.
func returnedRules() []pipeline.Rule {
	const by, source = "readback", "common practice, no published source"
	rules := []pipeline.Rule{
		{Name: "returned-file", Severity: pipeline.Error,
			Summary: "Every file that a fabricator returns can be read, and read as it says.",
			Help:    "What cannot be read is not held against the build. Told are files that no reader understands, that have no end, that leave their numbers' format unsaid, or whose holes lie right only if their numbers are read otherwise than they say. Ask for the file again."},
		{Name: "returned-placement", Severity: pipeline.Error,
			Summary: "The panel is found in the returned files, true to size and as seen from the top.",
			Help:    "Returned files may lie elsewhere and turned by quarter turns. The panel is looked for by contours of its size and by its holes. It is an error where it is not found, where it is mirrored, or where it is drawn larger or smaller; that it lies there several times is a note. With --shift and --turn the place can be said."},
		{Name: "returned-layer", Severity: pipeline.Error,
			Summary: "Every layer is among the returned files, once, the right way round and in its place.",
			Help:    "A layer that is missing, exchanged with another or mirrored makes a panel that is scrap. Each file is taken for what it says that it is, and its picture is held against all layers of the build. Files that say nothing are known by their pictures. Missing paste, and what the build does not have, weigh less."},
		{Name: "returned-cut", Severity: pipeline.Error,
			Summary: "The returned contours cut what the build's contours cut.",
			Help:    "A slot that is missing, moved or wider, or a tab that is cut through, is a panel that falls apart or does not break. Both profiles are compared as areas, non-plated slots with them; what is thinner than 40 µm does not count. Ask for the contours to be mended."},
		{Name: "returned-score", Severity: pipeline.Error,
			Summary: "The returned score lines are those of the build.",
			Help:    "A score line that is missing or lies elsewhere leaves boards that do not part, or cuts into them. Lines are compared by place and length; how deep they are cut stands in no such file. Ask for them to be mended."},
		{Name: "returned-hole", Severity: pipeline.Error,
			Summary: "Holes and slots are those of the build: in place, plated as they are, through the same layers.",
			Help:    "Every hole and slot is looked for in the returned drill files, whichever file it is in. One is missing, added, moved by more than 60 µm, plated otherwise, through other layers, or has another diameter than those like it. What a file does not say of plating and layers is told, and should be asked."},
		{Name: "returned-breakoff", Severity: pipeline.Error,
			Summary: "The holes along which boards break off are all there, in place and as wide.",
			Help:    "A row of holes that lacks some, or has narrow ones, does not break where it should, and a row that was moved breaks into the board. Each is looked for by itself. Ask for them to be mended."},
		{Name: "returned-copper", Severity: pipeline.Error,
			Summary: "The returned copper is the build's, but for what etching takes.",
			Help:    "Layers are drawn over each other on a grid of samples 10 µm apart; something that is missing or added counts from 30 to 40 µm of thickness on. Copper that is wider all over is a note of its own. Beside the boards missing copper is a warning, at a fiducial an error. Pads of inner layers that connect nothing may be left out."},
		{Name: "returned-mask", Severity: pipeline.Error,
			Summary: "The returned openings of the solder mask are the build's, but for the mask's own tolerance.",
			Help:    "A missing opening covers a pad, one too many bares copper. Openings are compared as copper is."},
		{Name: "returned-print", Severity: pipeline.Warning,
			Summary: "Legend, paste and other prints are the build's.",
			Help:    "They are compared as copper is. A legend may be clipped by 0.15 mm at openings of the mask, which is not told."},
		{Name: "returned-addition", Severity: pipeline.Note,
			Summary: "What a fabricator adds beside the boards is told.",
			Help:    "Marks, texts, coupons and holes on rails or beyond the panel are usual. Look whether they are in the way of a fiducial, a tooling hole or the assembly line."},
		{Name: "returned-compensation", Severity: pipeline.Note,
			Summary: "What a fabricator compensates for is told, once, with its amount.",
			Help:    "Tools of plated holes are larger by the plating, copper is wider by what etching takes, openings of the mask by its tolerance. All holes of a kind that have one other tool, and layers whose edges lie further out all over, are told as one. A warning where it is more than usual, or the other way."},
	}
	for i := range rules {
		rules[i].Family, rules[i].JudgedBy, rules[i].Source, rules[i].Place = pipeline.ProofFamily, by, source, pipeline.WholePanel
	}
	return rules
}
