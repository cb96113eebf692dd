package intake

import (
	"errors"
	"slices"
	"strings"

	"panelwright/pipeline/format"
	"panelwright/pipeline/format/jobfile"
	"panelwright/pipeline/format/netlist"
)

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
		if strings.EqualFold(m.Type, "Copper") {
			f.job.foils = append(f.job.foils, m.Thickness)
		}
	}
	if slices.Contains(f.job.foils, 0) {
		f.job.foils = nil
	}
	for _, x := range j.Files {
		f.job.paths = append(f.job.paths, x.Path)
		if x.Function != "" {
			f.job.functions[x.Path] = strings.Split(x.Function, ",")
		}
	}
}
