module panelwright/testdata/outside/solver

go 1.26.0

require (
	gonum.org/v1/gonum v0.17.0
	panelwright v0.0.0
)

replace panelwright => ../../..
