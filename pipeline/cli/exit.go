package cli

import (
	"context"
	"errors"
	"fmt"
	"slices"

	"panelwright/pipeline"
	"panelwright/pipeline/recipe"
	"panelwright/pipeline/run"
)

// The exit codes.
const (
	exitGood        = 0
	exitFindings    = 1
	exitInput       = 2
	exitMachine     = 3
	exitInterrupted = 130
)

// exitCode gives the code that an error ends the program with.
func exitCode(err error) int {
	var machine *run.MachineError
	var fault *run.FaultError
	var unfit *pipeline.Unfitting
	var list recipe.Mistakes
	switch {
	case err == nil:
		return exitGood
	case errors.Is(err, run.ErrInterrupted), errors.Is(err, context.Canceled):
		return exitInterrupted
	case errors.As(err, &machine), errors.As(err, &fault), errors.As(err, &unfit):
		return exitMachine
	case errors.As(err, &list) && slices.ContainsFunc(list, func(m recipe.Mistake) bool { return m.Withheld }):
		return exitMachine
	}
	return exitInput
}

// wording says an error to people.
func (a *app) wording(err error) string {
	var fault *run.FaultError
	switch {
	case errors.As(err, &fault):
		return fmt.Sprintf("internal fault: %v\n"+
			"    This is a mistake in the program, not in your recipe. Please report it to those who maintain your\n"+
			"    copy of %s: this message, the recipe, and what \"%s version\" prints.", err, a.Name, a.Name)
	case exitCode(err) == exitInterrupted:
		return run.ErrInterrupted.Error()
	}
	return err.Error()
}

// fail tells an error and counts it.
func (a *app) fail(err error) int {
	fmt.Fprintln(a.err, a.wording(err))
	return a.count(exitCode(err))
}

// count keeps the worst exit code.
func (a *app) count(code int) int {
	a.code = max(a.code, code)
	return a.code
}

// faultIfOurs makes a FaultError of what the loader returns when it is not the recipe that is wrong.
func faultIfOurs(err error) error {
	var m recipe.Mistakes
	if err == nil || errors.As(err, &m) {
		return err
	}
	return &run.FaultError{What: err.Error()}
}
