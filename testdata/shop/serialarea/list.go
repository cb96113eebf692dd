package serialarea

import (
	"context"
	"fmt"

	"panelwright/pipeline"
	"panelwright/pipeline/panel"
)

// ListKind is stage "acme_serial_list".
func ListKind() pipeline.Kind {
	return pipeline.Kind{
		Name:     "acme_serial_list",
		Summary:  "Writes where the line finds the patches for serial numbers.",
		Role:     pipeline.Write,
		Contract: 1,
		New:      func() pipeline.Stage { return &SerialList{Remarks: true} },
	}
}

// SerialList is the options of stage "acme_serial_list".
type SerialList struct {
	Remarks bool `option:"remarks" help:"a line at the head says where the origin is"`
}

// Parts tells that there must be a patch to list.
func (l *SerialList) Parts() pipeline.Parts {
	return pipeline.Parts{Needs: []string{"acme_serial_area"}}
}

// Run writes one line a patch.
func (l *SerialList) Run(_ context.Context, env *pipeline.Env, in panel.Panel) (pipeline.Result, error) {
	f, err := env.Files.Create("assembly/" + env.Panel + "-serial-areas.csv")
	if err != nil {
		return pipeline.Result{}, err
	}
	if l.Remarks {
		fmt.Fprintln(f, "# x and y of the lower left corner, from the panel's, as seen from the top")
	}
	fmt.Fprintln(f, "area,side,x_mm,y_mm,width_mm,height_mm")
	for _, p := range patches(in) {
		fmt.Fprintf(f, "%s,%s,%s,%s,%s,%s\n", p.ID, p.Layers[0].Side,
			p.Area.Min.X.Decimal(), p.Area.Min.Y.Decimal(), p.Area.Width().Decimal(), p.Area.Height().Decimal())
	}
	return pipeline.Result{Panel: in}, f.Close()
}
