package writefab

import (
	"context"
	"fmt"
	"io"
	"strconv"
	"strings"
	"time"

	"panelwright/pipeline/format/xnc"
	"panelwright/pipeline/geom"
	"panelwright/pipeline/geom/overlay"
	"panelwright/pipeline/panel"
	"panelwright/pipeline/panel/artwork"
	"panelwright/pipeline/rout"
)

// routProgram writes what one path of the cutters could be, for reference: the profile's contours govern.
func (s *set) routProgram(ctx context.Context, w *WriteFab) error {
	cutters := s.panel.Cutters()
	if len(cutters) == 0 {
		return nil
	}
	openings, err := routed(ctx, s.panel, s.env.Workers)
	if err != nil {
		return err
	}
	p, err := rout.Plan(ctx, rout.Job{Openings: openings, Outline: s.panel.Outline().Outer, Cutters: cutters,
		Direction: rout.Direction(w.Cutting), Workers: s.env.Workers})
	if err != nil {
		return fmt.Errorf("the rout program: %w", err)
	}
	totals := p.Totals(cutters, w.machine())
	d := &artwork.Drilling{Plating: artwork.NonPlated, Sets: []artwork.Attributes{nil}}
	for i, c := range cutters {
		d.Tools = append(d.Tools, artwork.Tool{Number: i + 1, Diameter: c, Plating: artwork.NonPlated})
	}
	for _, x := range p.Passes {
		d.Routs = append(d.Routs, artwork.Rout{Tool: int32(x.Cutter), Path: x.Path})
	}
	head := xnc.Header{InOrder: true, Comments: []string{
		"For reference only: what one path of the cutters could be. The contours of the profile govern what is cut.",
		"Lines of the cutters' centres: their radius is in them already. Cutting: " + w.Cutting + ", spindle clockwise seen from the top.",
		"The last pass runs round the panel and sets it free."}}
	s.reference("-rout.drl", func(out io.Writer) error {
		return xnc.Write(out, head, []xnc.Piece{{Drilling: d}}, xnc.Rout)
	})
	text := routText(s.env.Panel, w.Cutting, totals, p)
	s.reference("-rout.txt", func(out io.Writer) error {
		_, err := io.WriteString(out, text)
		return err
	})
	length, passes, took := sums(totals)
	s.env.Log.Info().Int("passes", passes).Stringer("length", length).Stringer("travel", p.Travel()).
		Stringer("time", took.Round(time.Second)).Msg("rout program planned")
	return nil
}

// routed gives all that is routed inside of the panel's outline: slots and the boards' cut-outs.
func routed(ctx context.Context, p panel.Panel, workers int) (geom.Region, error) {
	var out geom.Region
	for _, x := range p.Slots() {
		out = append(out, x.Outline)
	}
	for _, c := range p.Copies() {
		for _, path := range c.Outline().CutOuts {
			if path.Area() < 0 {
				path = path.Reverse()
			}
			out = append(out, geom.Outline{Outer: path})
		}
	}
	return overlay.Union(ctx, overlay.Options{Workers: workers}, overlay.Of(out...))
}

func (w *WriteFab) machine() rout.Machine {
	seconds := func(v float64) time.Duration { return time.Duration(float64(v * float64(time.Second))) }
	m := rout.Machine{Feeds: rout.UsualFeeds, RapidPerMin: w.RapidMMPerMinute, Plunge: seconds(w.PlungeSeconds), ChangeCutter: seconds(w.ChangeSeconds)}
	if len(w.Feeds) > 0 {
		m.Feeds = nil
		for _, f := range w.Feeds {
			m.Feeds = append(m.Feeds, rout.Feed{Cutter: f.Cutter, MMPerMinute: f.MMPerMinute})
		}
	}
	return m
}

func sums(totals []rout.Total) (length geom.Length, passes int, took time.Duration) {
	for _, t := range totals {
		length, passes, took = length+t.Length, passes+t.Passes, took+t.Time
	}
	return length, passes, took
}

// routText says in words and figures what the program comes to.
func routText(name, cutting string, totals []rout.Total, p *rout.Program) string {
	var b strings.Builder
	line := func(format string, a ...any) { fmt.Fprintf(&b, format+"\n", a...) }
	line("Rout program of panel %s, for reference", name)
	line("")
	line("%s-rout.drl is what one path of the cutters could be. The contours in %s-profile.gbr govern what is cut.", name, name)
	line("Cutting: %s, for a spindle that turns clockwise seen from the top. The panel's own edge is cut last.", cutting)
	line("")
	line("%-8s %10s %8s %12s %12s %10s", "cutter", "feed", "hits", "length cut", "travel", "time")
	line("%-8s %10s %8s %12s %12s %10s", "mm", "mm/min", "", "mm", "mm", "min:s")
	row := func(what string, feed string, passes int, length, travel geom.Length, took time.Duration) {
		s := int(took.Round(time.Second) / time.Second)
		line("%-8s %10s %8d %12.1f %12.1f %7d:%02d", what, feed, passes, length.MM(), travel.MM(), s/60, s%60)
	}
	for _, t := range totals {
		row(t.Cutter.Decimal(), strconv.FormatFloat(t.Feed, 'f', -1, 64), t.Passes, t.Length, t.Travel, t.Time)
	}
	length, passes, took := sums(totals)
	row("in all", "", passes, length, p.Travel(), took)
	if len(p.Left) > 0 {
		line("")
		line("No cutter reaches %d places; what stays there is told of under cutter-reach.", len(p.Left))
	}
	line("")
	line("One panel, one spindle. Feeds and times are estimates: the machine, the stack and the fabricator settle them.")
	line("Routing sets free glass-fibre dust: extraction, eye and breathing protection are needed. A cut-out's slug or a strip of")
	line("waste may come loose and be thrown.")
	return b.String()
}
