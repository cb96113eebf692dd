package program_test

import (
	"context"
	"fmt"
	"os"

	"panelwright/cmd/program"
	"panelwright/pipeline"
	"panelwright/pipeline/cli"
	"panelwright/pipeline/panel"
)

// stamp is a shop's own stage, which does nothing yet.
type stamp struct {
	Text string `option:"text" help:"what is stamped"`
}

func (s *stamp) Run(_ context.Context, _ *pipeline.Env, in panel.Panel) (pipeline.Result, error) {
	return pipeline.Result{Panel: in}, nil
}

// A shop's main adds its stages to the program's own. The whole of an example stands in testdata/shop.
func ExampleNew() {
	p := program.New("acme-panels", "1.0.0")
	p.Stages = append(p.Stages, pipeline.Kind{Name: "acme_stamp", Summary: "Stamps the panel.", Role: pipeline.Shape, Contract: 1,
		New: func() pipeline.Stage { return &stamp{} }})
	code := cli.Main(p, []string{"options", "acme_stamp"}, os.Stdin, os.Stdout, os.Stderr)
	fmt.Println("exit code", code)
	// Output:
	// stage acme_stamp (shape): Stamps the panel.
	//   option  takes  default  meaning
	//   text    text            what is stamped
	// exit code 0
}
