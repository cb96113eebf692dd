package dxf

import (
	"bytes"

	"panelwright/pipeline/drawing"
	"panelwright/pipeline/geom"
)

// colours of the layers on a screen, by the format's own table of 255 (DXF reference, group 62): 7 is black on white
// and white on black.
var colours = map[drawing.Layer]int{
	drawing.Slots: 8, drawing.Boards: 4, drawing.Perforations: 1, drawing.Score: 6, drawing.Rails: 9, drawing.Marks: 5, drawing.Holes: 3,
	drawing.Dimensions: 30, drawing.Names: 34, drawing.Stamp: 9,
}

// usual is the pen with which most of a layer is drawn.
func usual(l drawing.Layer) drawing.Pen {
	switch l {
	case drawing.Outline:
		return drawing.Wide
	case drawing.Dimensions, drawing.Holes, drawing.Perforations:
		return drawing.Fine
	}
	return drawing.Narrow
}

// greys of fills and of light letters, nearest by the format's own table (from memory: 253 has 51 %, 254 has 75 %
// white).
const (
	colourGrey  = 253
	colourLight = 254
	colourInk   = 7
)

var dashes = []struct {
	dash drawing.Dash
	what string
}{{drawing.Dashed, "dashed"}, {drawing.LongDashDot, "long dash, dot"}, {drawing.LongDashDot2, "long dash, two dots"}}

func (x *writer) table(b *bytes.Buffer, name string, entries int) {
	put(b, 0, "TABLE", 2, name, 5, x.tables[name], 330, "0", 100, "AcDbSymbolTable", 70, entries)
	if name == "DIMSTYLE" {
		put(b, 100, "AcDbDimStyleTable", 71, 0)
	}
}

// entry begins an entry of a table.
func (x *writer) entry(b *bytes.Buffer, table, class, name string, flags int) {
	code := 5
	if table == "DIMSTYLE" {
		code = 105
	}
	put(b, 0, table, code, x.next(), 330, x.tables[table], 100, "AcDbSymbolTableRecord", 100, class, 2, name, 70, flags)
}

func (x *writer) writeTables(b *bytes.Buffer) {
	end := func() { put(b, 0, "ENDTAB") }
	x.table(b, "VPORT", 1)
	x.entry(b, "VPORT", "AcDbViewportTableRecord", "*Active", 0)
	middle := x.extent.Center()
	put(b, 10, "0.0", 20, "0.0", 11, "1.0", 21, "1.0", 12, middle.X, 22, middle.Y, 13, "0.0", 23, "0.0", 14, "10.0", 24, "10.0", 15, "10.0", 25, "10.0",
		16, "0.0", 26, "0.0", 36, "1.0", 17, "0.0", 27, "0.0", 37, "0.0", 40, x.extent.Height(), 41, "1.5", 42, "50.0", 43, "0.0", 44, "0.0", 50, "0.0", 51, "0.0",
		71, 0, 72, 1000, 73, 1, 74, 3, 75, 0, 76, 0, 77, 0, 78, 0)
	end()

	x.table(b, "LTYPE", 3+len(dashes))
	for _, name := range []string{"ByBlock", "ByLayer", "Continuous"} {
		x.entry(b, "LTYPE", "AcDbLinetypeTableRecord", name, 0)
		put(b, 3, "", 72, 65, 73, 0, 40, "0.0")
	}
	for _, d := range dashes {
		// For a line 1 mm wide: each entity has its own width as the scale of its line type (48).
		pattern := d.dash.Pattern(geom.MM)
		sum := geom.Length(0)
		for _, l := range pattern {
			sum += l
		}
		x.entry(b, "LTYPE", "AcDbLinetypeTableRecord", string(d.dash), 0)
		put(b, 3, d.what, 72, 65, 73, len(pattern), 40, sum)
		for i, l := range pattern {
			if i%2 == 1 {
				l = -l
			}
			put(b, 49, l, 74, 0)
		}
	}
	end()

	x.table(b, "LAYER", 1+len(x.layers))
	for _, l := range append([]drawing.Layer{"0"}, x.layers...) {
		colour := colours[l]
		if colour == 0 {
			colour = 7
		}
		x.entry(b, "LAYER", "AcDbLayerTableRecord", name(string(l)), 0)
		put(b, 62, colour, 6, "Continuous", 370, lineWidth(usual(l).Width), 390, x.plotStyle())
	}
	end()

	x.table(b, "STYLE", 3)
	for _, s := range [][2]string{{"Standard", "txt"}, {"letters", "Go-Regular.ttf"}, {"strong", "Go-Bold.ttf"}} {
		x.entry(b, "STYLE", "AcDbTextStyleTableRecord", s[0], 0)
		put(b, 40, "0.0", 41, "1.0", 50, "0.0", 71, 0, 42, "2.5", 3, s[1], 4, "")
	}
	end()
	for _, t := range []string{"VIEW", "UCS"} {
		x.table(b, t, 0)
		end()
	}
	x.table(b, "APPID", 2)
	for _, a := range []string{"ACAD", AppName} { // the first one must be there
		x.entry(b, "APPID", "AcDbRegAppTableRecord", a, 0)
	}
	end()

	x.table(b, "DIMSTYLE", len(x.scales))
	for _, r := range x.scales {
		x.entry(b, "DIMSTYLE", "AcDbDimStyleTableRecord", styleName(r), 0)
		put(b, 40, "1.0", 41, "2.5", 42, "0.625", 44, "1.25", 140, "2.5", 144, float64(r.num)/float64(r.den), 147, "0.625",
			73, 0, 74, 0, 77, 1, 78, 8, 271, 6, 272, 3, 277, 2, 278, 46)
	}
	end()

	x.table(b, "BLOCK_RECORD", 2+len(x.records))
	for _, r := range append([]record{{"*Model_Space", x.space}, {"*Paper_Space", x.paper}}, x.records...) {
		layout := "0"
		switch r.handle {
		case x.space:
			layout = x.layout(0)
		case x.paper:
			layout = x.layout(1)
		}
		put(b, 0, "BLOCK_RECORD", 5, r.handle, 330, x.tables["BLOCK_RECORD"], 100, "AcDbSymbolTableRecord", 100, "AcDbBlockTableRecord", 2, r.name, 340, layout)
	}
	end()
}

// named gives a handle that stands for something from now on.
func (x *writer) named(what string) string {
	if x.tables[what] == "" {
		x.tables[what] = x.next()
	}
	return x.tables[what]
}

func (x *writer) layout(n int) string { return x.named("layout" + string(rune('0'+n))) }
func (x *writer) plotStyle() string   { return x.named("plot style") }

// writeObjects writes the dictionaries and layouts without which readers of the format call a file incomplete.
func (x *writer) writeObjects(b *bytes.Buffer) {
	groups, layouts, styles := x.next(), x.next(), x.next()
	put(b, 0, "DICTIONARY", 5, x.dictionary, 330, "0", 100, "AcDbDictionary", 281, 1, 3, "ACAD_GROUP", 350, groups, 3, "ACAD_LAYOUT", 350, layouts, 3, "ACAD_PLOTSTYLENAME", 350, styles)
	put(b, 0, "DICTIONARY", 5, groups, 330, x.dictionary, 100, "AcDbDictionary", 281, 1)
	put(b, 0, "DICTIONARY", 5, layouts, 330, x.dictionary, 100, "AcDbDictionary", 281, 1, 3, "Model", 350, x.layout(0), 3, "Layout1", 350, x.layout(1))
	put(b, 0, "ACDBDICTIONARYWDFLT", 5, styles, 330, x.dictionary, 100, "AcDbDictionary", 281, 1, 3, "Normal", 350, x.plotStyle(), 100, "AcDbDictionaryWithDefault", 340, x.plotStyle())
	put(b, 0, "ACDBPLACEHOLDER", 5, x.plotStyle(), 330, styles)
	for i, l := range []struct {
		name, space string
		flags       int
	}{{"Model", x.space, 1024}, {"Layout1", x.paper, 0}} {
		put(b, 0, "LAYOUT", 5, x.layout(i), 330, layouts, 100, "AcDbPlotSettings", 1, "", 2, "none_device", 4, "", 6, "",
			40, "0.0", 41, "0.0", 42, "0.0", 43, "0.0", 44, "0.0", 45, "0.0", 46, "0.0", 47, "0.0", 48, "0.0", 49, "0.0", 140, "0.0", 141, "0.0", 142, "1.0", 143, "1.0",
			70, l.flags, 72, 1, 73, 0, 74, 5, 7, "", 75, 16, 147, "1.0", 148, "0.0", 149, "0.0", 100, "AcDbLayout", 1, l.name, 70, 1, 71, i,
			10, x.extent.Min.X, 20, x.extent.Min.Y, 11, x.extent.Max.X, 21, x.extent.Max.Y, 12, "0.0", 22, "0.0", 32, "0.0")
		putAt(b, 14, x.extent.Min)
		putAt(b, 15, x.extent.Max)
		put(b, 146, "0.0", 13, "0.0", 23, "0.0", 33, "0.0", 16, "1.0", 26, "0.0", 36, "0.0", 17, "0.0", 27, "1.0", 37, "0.0", 76, 0, 330, l.space)
	}
}

// blocksSection puts the two spaces, which are empty here, before the blocks.
func (x *writer) blocksSection() *bytes.Buffer {
	var b bytes.Buffer
	for _, r := range []record{{"*Model_Space", x.space}, {"*Paper_Space", x.paper}} {
		x.block(&b, r, 0, nil)
	}
	b.Write(x.blocks.Bytes())
	return &b
}

// block writes a block; content draws what it consists of.
func (x *writer) block(b *bytes.Buffer, r record, flags int, content func(e *entities)) {
	put(b, 0, "BLOCK", 5, x.next(), 330, r.handle, 100, "AcDbEntity", 8, "0", 100, "AcDbBlockBegin", 2, r.name, 70, flags, 10, "0.0", 20, "0.0", 30, "0.0", 3, r.name, 1, "")
	if content != nil {
		content(&entities{x: x, b: b, owner: r.handle})
	}
	put(b, 0, "ENDBLK", 5, x.next(), 330, r.handle, 100, "AcDbEntity", 8, "0", 100, "AcDbBlockEnd")
}
