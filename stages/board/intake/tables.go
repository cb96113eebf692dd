package intake

import (
	"errors"
	"strings"

	"panelwright/pipeline/format"
	"panelwright/pipeline/format/centroid"
	"panelwright/pipeline/format/jobfile"
	"panelwright/pipeline/format/netlist"
	"panelwright/pipeline/geom"
	"panelwright/pipeline/panel"
)

func (f *File) decodePlacement(data []byte) {
	unit := ""
	if f.placementRule != nil {
		unit = f.placementRule.Unit
	}
	t, err := centroid.ReadAs(f.Name, data, unit)
	if err != nil {
		f.Err = err
		return
	}
	f.Unit = t.Unit
	f.unitOpen = t.UnitOpen && len(t.Rows) > 0
	f.Parts = make([]panel.Part, 0, len(t.Rows))
	for _, r := range t.Rows {
		p := panel.Part{Refdes: r.Refdes, Value: r.Value, Package: r.Package, PartNumber: r.PartNumber,
			At: geom.Pt(r.X, r.Y), Turn: r.Rotation}
		switch r.Side {
		case "top":
			p.Side = panel.Top
		case "bottom":
			p.Side = panel.Bottom
		}
		f.Parts = append(f.Parts, p)
	}
}

func (f *File) decodeNetlist(data []byte) {
	n, err := netlist.Read(f.Name, data)
	if err != nil {
		f.Err = err
		return
	}
	own := *n
	own.Source = f.Name
	f.Netlist = &own
}

func (f *File) decodeJob(data []byte) {
	j, err := jobfile.Read(data)
	if err != nil {
		var fault *format.Fault
		if errors.As(err, &fault) {
			named := *fault
			named.File = f.Name
			err = &named
		}
		f.Err = err
		return
	}
	f.Generator = strings.TrimSpace(j.Software.Application + " " + j.Software.Version)
	f.project = project{name: strings.TrimSpace(j.Project.Name), revision: settledRevision(j.Project.Revision)}
	f.job = &job{width: j.Size.X, height: j.Size.Y, copper: j.LayerNumber, thickness: j.Thickness, finish: strings.TrimSpace(j.Finish),
		functions: map[string][]string{}}
	for _, m := range j.Stackup {
		if strings.EqualFold(m.Type, "SolderMask") && f.job.mask == "" {
			f.job.mask = strings.TrimSpace(m.Color)
		}
	}
	for _, x := range j.Files {
		f.job.paths = append(f.job.paths, x.Path)
		if x.Function != "" {
			f.job.functions[x.Path] = strings.Split(x.Function, ",")
		}
	}
}
