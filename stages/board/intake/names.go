package intake

import (
	"path"
	"strconv"
	"strings"

	"panelwright/pipeline/format"
	"panelwright/pipeline/panel"
)

// claim is what somebody says that a layer file is for, before the board's layers are counted.
type claim struct {
	kind        panel.FunctionKind
	side        panel.Side
	number      int    // copper: the layer's number, 1 = top; 0 where only the side, or the order, is known
	order       int    // inner copper: the number in a row of names such as In1, In2; 0 where there is none
	byExtension bool   // order comes from an extension such as .g2
	typ         string // copper: Plane, Signal …
	ignored     string // not a layer that is carried: why
	lost        bool   // ignored, though a fabricator would act on it
	refused     string // not accepted: why
	drill       bool   // drill data written as a layer
	from        string // who says it: "its attribute .FileFunction", "its name" …
}

// Who may say what a file is for.
const (
	byName   = "its name"
	byRecipe = "the recipe"
)

// extensionClaim knows the three-letter extensions that layer files have by old and common
// convention of the trade (no published source).
func extensionClaim(ext string) (claim, bool) {
	c := claim{from: byName}
	switch ext {
	case ".gtl", ".cmp":
		c.kind, c.side = panel.Copper, panel.Top
	case ".gbl", ".sol":
		c.kind, c.side = panel.Copper, panel.Bottom
	case ".gts", ".stc":
		c.kind, c.side = panel.Soldermask, panel.Top
	case ".gbs", ".sts":
		c.kind, c.side = panel.Soldermask, panel.Bottom
	case ".gto", ".plc":
		c.kind, c.side = panel.Legend, panel.Top
	case ".gbo", ".pls":
		c.kind, c.side = panel.Legend, panel.Bottom
	case ".gtp", ".crc":
		c.kind, c.side = panel.Paste, panel.Top
	case ".gbp", ".crs":
		c.kind, c.side = panel.Paste, panel.Bottom
	case ".gta":
		c.kind, c.side = panel.Glue, panel.Top
	case ".gba":
		c.kind, c.side = panel.Glue, panel.Bottom
	case ".gko", ".gm1", ".gml", ".gm", ".oln":
		c.kind = panel.Profile
	default:
		m := innerExtension().FindStringSubmatch(ext)
		if m == nil {
			return c, false
		}
		c.kind, c.side = panel.Copper, panel.Inner
		c.order, c.byExtension = atoi(m[1]), true
	}
	return c, true
}

var (
	innerExtension = format.Pattern(`^\.gl?([1-9]\d?)l?$`)
	innerWord      = format.Pattern(`^(?:in|inner|int|internal|mid|innerlayer|midlayer|innercopper)([1-9]\d?)$`)
	layerWord      = format.Pattern(`^(?:l|layer)([1-9]\d?)$`)
	wordBreak      = format.Pattern(`[^\pL\pN]+`)
	camel          = format.Pattern(`([\p{Ll}\pN])(\p{Lu})`)
)

// words splits a file's name, without folder and extension, where spelling shows that words meet:
// "board-F_Cu" gives board, f, cu; "schematic_copperTop" gives schematic, copper, top.
func words(name string) []string {
	base := path.Base(name)
	base = strings.TrimSuffix(base, path.Ext(base))
	base = camel().ReplaceAllString(base, "$1 $2")
	return strings.Fields(strings.ToLower(wordBreak().ReplaceAllString(base, " ")))
}

// kindWord gives what a word in a file's name says about the kind of layer, and the side where the
// word says that too (cutop).
func kindWord(w string) (panel.FunctionKind, panel.Side) {
	switch w {
	case "topcopper", "coppertop", "cutop", "toplayer":
		return panel.Copper, panel.Top
	case "bottomcopper", "copperbottom", "cubottom", "bottomlayer":
		return panel.Copper, panel.Bottom
	case "topmask", "masktop", "topsoldermask", "soldermasktop":
		return panel.Soldermask, panel.Top
	case "bottommask", "maskbottom", "bottomsoldermask", "soldermaskbottom":
		return panel.Soldermask, panel.Bottom
	case "toppaste", "pastetop", "topsolderpaste", "solderpastetop":
		return panel.Paste, panel.Top
	case "bottompaste", "pastebottom", "bottomsolderpaste", "solderpastebottom":
		return panel.Paste, panel.Bottom
	case "topsilk", "silktop", "topsilkscreen", "silkscreentop", "toplegend", "legendtop":
		return panel.Legend, panel.Top
	case "bottomsilk", "silkbottom", "bottomsilkscreen", "silkscreenbottom", "bottomlegend", "legendbottom":
		return panel.Legend, panel.Bottom
	case "cu", "copper":
		return panel.Copper, ""
	case "mask", "soldermask", "solderresist", "resist":
		return panel.Soldermask, ""
	case "paste", "solderpaste", "stencil":
		return panel.Paste, ""
	case "silk", "silkscreen", "legend", "overlay", "silks":
		return panel.Legend, ""
	case "glue", "adhesive", "adhes", "adhesives":
		return panel.Glue, ""
	case "carbon", "carbonmask":
		return panel.Carbon, ""
	case "peelable", "peelablemask":
		return panel.Peelable, ""
	case "edgecuts", "outline", "boardoutline", "contour", "profile", "boardedge", "boardprofile":
		return panel.Profile, ""
	}
	return "", ""
}

func sideWord(w string) panel.Side {
	switch w {
	case "top", "front":
		return panel.Top
	case "bottom", "back", "bot":
		return panel.Bottom
	case "inner":
		return panel.Inner
	}
	return ""
}

// drawingWords mark files that are pictures for people, by their names.
var drawingWords = map[string]string{
	"drillmap": "its name says that it is a drawing of the drill holes", "drlmap": "its name says that it is a drawing of the drill holes",
	"drawing": "its name says that it is a drawing", "drilldrawing": "its name says that it is a drawing of the drill holes",
	"courtyard": "its name says that it is a drawing of the parts' courtyards", "assembly": "its name says that it is an assembly drawing",
	"assemblydrawing": "its name says that it is an assembly drawing",
}

// nameClaim tells what a layer file's name says that it is for; ok is false where it says nothing,
// and refused is set where the extension and the words of the name disagree.
func nameClaim(name string) (c claim, ok bool) {
	byExt, extOK := extensionClaim(strings.ToLower(path.Ext(name)))
	byWords, wordsOK := wordsClaim(words(name))
	switch {
	case wordsOK && byWords.ignored != "":
		return byWords, true
	case extOK && wordsOK:
		if byExt.kind != byWords.kind || byExt.side != byWords.side {
			return claim{refused: "its extension says " + byExt.text() + ", the words of its name say " + byWords.text(), from: byName}, true
		}
		return byWords, true
	case extOK:
		return byExt, true
	}
	return byWords, wordsOK
}

// wordsClaim reads the words of a name. The last word that says something counts: a product's own
// name stands in front.
func wordsClaim(w []string) (claim, bool) {
	c := claim{from: byName}
	for i, x := range w {
		if why := drawingWords[x]; why != "" {
			c.ignored = why
		}
		if i > 0 && x == "map" && (w[i-1] == "drl" || w[i-1] == "drill") {
			c.ignored = drawingWords["drillmap"]
		}
	}
	if c.ignored != "" {
		return c, true
	}
	for i, x := range w {
		kind, side := kindWord(x)
		if x == "cuts" && i > 0 && w[i-1] == "edge" {
			kind = panel.Profile
		}
		if kind != "" {
			c.kind = kind
			if side != "" {
				c.side = side
			}
			// Single letters mean a side only right before the kind: F_Cu, B.Mask.
			if i > 0 && w[i-1] == "f" {
				c.side = panel.Top
			}
			if i > 0 && w[i-1] == "b" {
				c.side = panel.Bottom
			}
		}
		if s := sideWord(x); s != "" {
			c.side = s
		}
		if m := innerWord().FindStringSubmatch(x); m != nil {
			c.side, c.order = panel.Inner, atoi(m[1])
		}
		if (x == "inner" || x == "mid") && i+1 < len(w) && atoi(w[i+1]) > 0 {
			c.side, c.order = panel.Inner, atoi(w[i+1])
		}
		if m := layerWord().FindStringSubmatch(x); m != nil {
			c.number = atoi(m[1])
		}
	}
	switch {
	case c.order > 0 && (c.kind == "" || c.kind == panel.Copper):
		c.kind, c.number = panel.Copper, 0
		return c, true
	case c.kind == "":
		return c, false
	case c.kind == panel.Profile:
		c.side, c.number = "", 0
		return c, true
	case c.kind == panel.Copper && c.number > 0 && (c.side == "" || c.side == panel.Inner):
		c.side = panel.Inner // or top or bottom, once the layers are counted
		return c, true
	}
	c.order, c.number = 0, 0
	return c, c.side == panel.Top || c.side == panel.Bottom
}

func atoi(s string) int {
	n, err := strconv.Atoi(s)
	if err != nil {
		return 0
	}
	return n
}

// text says a claim in words.
func (c claim) text() string {
	side := string(c.side)
	if side != "" {
		side += " "
	}
	switch {
	case c.kind == panel.Copper && c.side == panel.Inner && c.order > 0:
		return "inner copper " + strconv.Itoa(c.order)
	case c.kind == panel.Copper && c.number > 0:
		return side + "copper, layer " + strconv.Itoa(c.number)
	}
	return side + string(c.kind)
}
