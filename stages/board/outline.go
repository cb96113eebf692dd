package board

import (
	"panelwright/pipeline/format/gerber"
	"panelwright/pipeline/geom"
	"panelwright/stages/board/intake"
)

// rule says an outline block in the reader's words.
func (o Outline) rule() *intake.OutlineRule {
	r := &intake.OutlineRule{File: o.File, Layer: o.Layer, Unit: unitWord(o.Unit), Shift: geom.Pt(o.ShiftX, o.ShiftY),
		Loop: o.Loop, NoCutOuts: o.NotCutOuts, IgnoreOpen: o.IgnoreOpen, Radius: o.CornerRadius}
	if o.Width != nil && o.Height != nil {
		at := geom.Pt(o.X, o.Y)
		r.Rectangle = &geom.Box{Min: at, Max: at.Add(geom.Pt(*o.Width, *o.Height))}
	}
	return r
}

// format says how a layer block has a file's numbers read.
func (l Layer) format() gerber.Options {
	var o gerber.Options
	switch l.Unit {
	case "mm":
		o.DefaultUnit = gerber.UnitMM
	case "in", "inch":
		o.DefaultUnit = gerber.UnitInch
	}
	if len(l.Digits) == 2 {
		f := &gerber.NumberFormat{XWhole: l.Digits[0], XPart: l.Digits[1], YWhole: l.Digits[0], YPart: l.Digits[1]}
		switch l.Zeros {
		case "leading":
			f.Zeros = gerber.TrailingOmitted
		case "all":
			f.Zeros = gerber.AllKept
		}
		o.DefaultFormat = f
	}
	o.ArcTolerance = l.ArcTolerance
	if l.MostObjects != nil {
		o.MaxObjects = *l.MostObjects
		o.MaxCopies = max(*l.MostObjects, gerber.DefaultMaxCopies)
		o.MaxEdges = max(4**l.MostObjects, gerber.DefaultMaxEdges)
	}
	return o
}
