package writefab

import (
	"io"
	"strings"

	"panelwright/pipeline/format/jobfile"
	"panelwright/pipeline/format/netlist"
	"panelwright/pipeline/geom"
)

// netlist writes the boards' test netlists as one for the panel: places on the panel, nets told apart
// by the copy's name in front. Designators stay as they are on the boards.
func (s *set) netlist() error {
	var points []netlist.Point
	for _, c := range s.panel.Copies() {
		if c.Board.Netlist == nil {
			continue
		}
		for _, p := range c.Board.Netlist.Points {
			p.At = c.Place.Apply(p.At)
			p.Turn = (p.Turn + c.Place.Turn).Normal()
			if p.Net != "" && !strings.EqualFold(p.Net, "N/C") {
				p.Net = c.ID + "/" + p.Net
			}
			points = append(points, netlist.Point{NetPoint: p})
		}
	}
	if len(points) == 0 {
		return nil
	}
	s.plan("fab/"+s.env.Panel+"-netlist.ipc", func(w io.Writer) error {
		return netlist.Write(w, "panel "+s.env.Panel, points)
	})
	return nil
}

// job writes the job file, which lists the layer files and what the panel is made of.
func (s *set) job() error {
	j := jobfile.Job{
		Software:     jobfile.Software{Vendor: s.env.Program.Name, Application: s.env.Program.Name, Version: s.env.Program.Version},
		CreationDate: s.env.Date,
		Project:      jobfile.Project{Name: s.env.Panel, GUID: projectGUID(s.env.Panel, s.env.Revision), Revision: s.env.Revision},
		Size:         geom.Pt(s.panel.Outline().Box().Width(), s.panel.Outline().Box().Height()),
		LayerNumber:  s.panel.CopperCount(),
		Thickness:    s.panel.Thickness(),
	}
	for _, c := range s.panel.Copies() {
		j.Finish = c.Board.Finish
		break
	}
	for _, f := range s.files {
		j.Files = append(j.Files, jobfile.File{Path: f.path, Function: strings.Join(f.function, ","), Polarity: f.polarity})
	}
	s.plan("fab/"+s.env.Panel+"-job.gbrjob", func(w io.Writer) error { return jobfile.Write(w, j) })
	return nil
}
