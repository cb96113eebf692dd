package rule

import (
	"context"
	"fmt"
	"math"
	"slices"
	"strings"

	"panelwright/pipeline"
	"panelwright/pipeline/geom"
	"panelwright/pipeline/panel"
	"panelwright/pipeline/panel/waste"
)

// thievingRules are about copper that the panel adds to its waste.
func thievingRules() []pipeline.Rule {
	return []pipeline.Rule{
		{
			Name: "thieving-clearance", Family: pipeline.RailsFamily, Bound: pipeline.AtLeast, Unit: "mm",
			Summary: "Thieving keeps away from boards, breaks, holes and the panel's edge, and out of the clear areas of fiducials and of what is printed.",
			Default: limit(0.4), Source: "as copper of inner layers to a routed edge, 0.40 mm (eurocircuits.de, customer-panel guidelines)",
			Help: "Measured from the copper of each dot and line to boards' edges, slots, tabs, perforations, the grooves of score lines at the surface, holes and the panel's edge. " +
				"In the clear area of a fiducial, and where something is printed on a layer that shows it, there must be none at all, whatever the limit. " +
				"Put stage thieving after all others that shape the panel.",
			Severity: pipeline.Error, Judge: thievingClearance,
		},
		{
			Name: "copper-balance", Family: pipeline.PanelFamily, Bound: pipeline.AtMost, Unit: "%",
			Summary: "Layers that lie alike from top and bottom carry about as much copper: a panel that does not bends when it is heated.",
			Default: limit(25), Source: "from memory, no published source",
			Help: "The difference between the shares of copper of the first and the last layer, of the second and the last but one, and so on, in per cent of the panel's area. " +
				"It is judged where stage thieving has worked out the shares.",
			Severity: pipeline.Warning, Judge: copperBalance,
		},
		{Name: "no-thieving", Family: pipeline.RailsFamily, Severity: pipeline.Warning, JudgedBy: "stage thieving",
			Summary: "Where thieving is asked for, some of it has room.",
			Help: "Copper that was asked for and found no room evens out nothing. Looked at are the rails and the waste that stays, less what must stay clear. " +
				"Make dots or lines smaller, or the distances that they keep, or leave the stage out."},
	}
}

// thievingNear is a thing that thieving comes too near to: the nearest object of one print.
type thievingNear struct {
	id       string
	distance float64 // nm
	at       geom.Point
	least    geom.Length
}

func thievingClearance(ctx context.Context, in pipeline.Case) ([]pipeline.Finding, error) {
	prints := in.Panel.Prints()
	if !slices.ContainsFunc(prints, func(x panel.Print) bool { return x.Use == panel.Thieving }) {
		return nil, nil
	}
	things, err := waste.Things(ctx, in.Panel)
	if err != nil {
		return nil, err
	}
	limit := geom.FromMM(in.Limit)
	var index geom.Index[int]
	shapes := make([]*geom.Prepared, len(things))
	for i, t := range things {
		shapes[i] = geom.Prepare(t.Shape)
		index.Insert(t.Shape.Box().Grow(t.Half+limit), i)
	}
	var out []pipeline.Finding
	for _, x := range prints {
		if x.Use != panel.Thieving {
			continue
		}
		if err := ctx.Err(); err != nil {
			return nil, err
		}
		var list []thievingNear
		known := map[string]int{}
		look := func(e geom.Edge, width geom.Length) {
			index.Search(e.Box().Grow((width+1)/2), func(_ geom.Box, i int) bool {
				t := things[i]
				least := limit
				switch t.Kind {
				case waste.Printed:
					if !shows(*t.Print, x) {
						return true
					}
					least = 0
				case waste.Fiducial:
					least = 0
				}
				d, _, at := shapes[i].Distance(e)
				d -= float64(t.Half) + float64(width)/2
				if d >= float64(least)-tolerance*1e6 {
					return true
				}
				k, ok := known[t.ID]
				if !ok {
					k = len(list)
					known[t.ID] = k
					list = append(list, thievingNear{id: t.ID, distance: math.Inf(1)})
				}
				// Of places equally near the first is told, whatever the order of the search.
				if w := list[k]; d < w.distance || d == w.distance && at.Less(w.at) {
					list[k] = thievingNear{t.ID, d, at, least}
				}
				return true
			})
		}
		for _, d := range x.Dots {
			look(geom.Line(d.At, d.At), d.Diameter)
		}
		for _, l := range x.Lines {
			for _, e := range l.Path {
				look(e, l.Width)
			}
		}
		slices.SortFunc(list, func(a, b thievingNear) int { return strings.Compare(a.id, b.id) })
		for _, w := range list {
			at, v, least := w.at, max(0, math.Round(w.distance)/1e6), w.least.MM()
			f := pipeline.Finding{At: &at, Feature: x.ID, Measured: &v, Limit: &least,
				Message: fmt.Sprintf("%s comes within %s mm of %s; at least %v is asked for", x.ID, trim(v), w.id, w.least)}
			if w.least == 0 {
				f.Message = fmt.Sprintf("%s reaches into the room of %s, where no copper may be", x.ID, w.id)
			}
			out = append(out, f)
		}
	}
	return out, nil
}

// shows tells whether thieving lies on a layer that another print is on, or right below it.
func shows(x, thieving panel.Print) bool {
	return slices.ContainsFunc(x.Layers, func(f panel.Function) bool {
		return slices.ContainsFunc(thieving.Layers, func(c panel.Function) bool {
			return c.Key() == f.Key() || f.Kind != panel.Copper && c.Side == f.Side
		})
	})
}

// copperBalance holds the shares of layers that lie alike from top and bottom against each other.
func copperBalance(_ context.Context, in pipeline.Case) ([]pipeline.Finding, error) {
	shares := in.Panel.CopperShares()
	byIndex := map[int]panel.CopperShare{}
	for _, s := range shares {
		byIndex[s.Layer.Index] = s
	}
	n := in.Panel.CopperCount()
	var out []pipeline.Finding
	for i := 1; i <= n/2; i++ {
		a, ok := byIndex[i]
		b, also := byIndex[n+1-i]
		if !ok || !also {
			continue
		}
		d := a.After - b.After
		v := float64(max(d, -d)) / 1e4
		if v > in.Limit+tolerance {
			out = append(out, pipeline.Finding{Measured: &v,
				Message: fmt.Sprintf("copper covers %s of %s and %s of %s: a difference of %s; at most %v %% are allowed",
					a.After.Percent(), a.Layer.Key(), b.After.Percent(), b.Layer.Key(), max(d, -d).Percent(), in.Limit)})
		}
	}
	return out, nil
}
