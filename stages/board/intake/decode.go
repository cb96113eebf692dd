package intake

import (
	"errors"
	"fmt"
	"strings"

	"panelwright/pipeline/format"
	"panelwright/pipeline/format/gerber"
)

// decode reads one file with the reader of its kind. A fault stays with the file.
func (f *File) decode(data []byte) {
	switch f.Kind {
	case LayerFile:
		f.decodeLayer(data)
	case DrillFile:
		f.decodeDrill(data)
	case PlacementFile:
		f.decodePlacement(data)
	case NetlistFile:
		f.decodeNetlist(data)
	case JobFile:
		f.decodeJob(data)
	case DrawingFile:
		f.text = data // read when it is known whether it gives the outline
	}
}

func (f *File) decodeLayer(data []byte) {
	var opt gerber.Options
	if f.layerRule != nil {
		opt = f.layerRule.Format
	}
	m, rep, err := gerber.Read(f.Name, data, opt)
	if err != nil {
		f.Err = err // what the recipe can say is added when the files beside it are known
		return
	}
	f.numbers = &rep.Format
	f.Image, f.project = m, projectOf(m.Attributes)
	f.Generator, f.ended = rep.Generator, rep.HasEnd
	f.Unit = map[gerber.Unit]string{gerber.UnitMM: "mm", gerber.UnitInch: "inch"}[rep.Unit]
	n := rep.Format
	f.Digits = fmt.Sprintf("%d.%d", n.XWhole, n.XPart)
	for _, w := range rep.Warnings {
		if rep.HasEnd || !strings.Contains(w.What, "has no end") { // that is a finding of its own
			f.doubt(remark(w))
		}
	}
	for _, w := range rep.Deprecated {
		f.Remarks = append(f.Remarks, remark(w))
	}
}

// sayUnsaid adds to the faults of layers that leave something unsaid how the recipe can say it: most likely
// as the layers beside them do.
func (r *Result) sayUnsaid() {
	unit, format := "mm", gerber.NumberFormat{XWhole: 2, XPart: 4, Zeros: gerber.LeadingOmitted}
	units, formats := map[string]int{}, map[gerber.NumberFormat]int{}
	for _, f := range r.Files {
		if f.numbers == nil {
			continue
		}
		if units[f.Unit]++; units[f.Unit] > units[unit] {
			unit = f.Unit
		}
		n := *f.numbers
		if formats[n]++; n.XWhole == n.YWhole && n.XPart == n.YPart && !n.Incremental && formats[n] > formats[format] {
			format = n
		}
	}
	for _, f := range r.Files {
		if f.Kind == LayerFile && f.Err != nil {
			f.Err = unsaid(f.Err, fmt.Sprintf("layer %q", f.Name), unit, format)
		}
	}
}

// unsaid adds to a fault about something that a file should say how the recipe can say it.
func unsaid(err error, block, unit string, like gerber.NumberFormat) error {
	var f *format.Fault
	if !errors.As(err, &f) || f.Lacks == "" {
		return err
	}
	g := *f
	option, when := fmt.Sprintf("unit = %q", unit), "where it is known, say it"
	switch f.Lacks {
	case format.LacksFormat:
		kept := "trailing"
		switch like.Zeros {
		case gerber.TrailingOmitted:
			kept = "leading"
		case gerber.AllKept:
			kept = "all"
		}
		option = fmt.Sprintf("digits = [%d, %d]\n        zeros  = %q", like.XWhole, like.XPart, kept)
	case format.LacksRoom:
		option, when = "most_objects = 10000000", "where it is meant, allow it"
	case format.LacksTolerance:
		option, when = fmt.Sprintf("arc_tolerance = %q", f.Enough), "where it is only careless drawing, allow it"
	}
	g.Do += fmt.Sprintf("; or, "+when+" in the recipe, in the board stage:\n      %s {\n        %s\n      }", block, option)
	return &g
}

func remark(n gerber.Note) string {
	s := n.What
	if n.Line > 0 {
		s = fmt.Sprintf("line %d: %s", n.Line, s)
	}
	if n.Count > 1 {
		s += fmt.Sprintf(" (%d times)", n.Count)
	}
	return s
}

// doubt keeps a remark that becomes a finding.
func (f *File) doubt(s string) {
	f.Remarks = append(f.Remarks, s)
	f.doubts = append(f.doubts, s)
}
