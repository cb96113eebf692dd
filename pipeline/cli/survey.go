package cli

import (
	"errors"
	"fmt"
	"io/fs"
	"os"
	"path/filepath"

	"github.com/spf13/cobra"

	"panelwright/pipeline"
	"panelwright/pipeline/run"
)

func (a *app) surveyCommand() *cobra.Command {
	out := ""
	c := &cobra.Command{
		Use:   "survey [-o DIR] FILES...",
		Short: "what the reader understands of one board's data",
		Long: "Reads one board's fabrication data (a folder, a zip, or its files) and tells what each file was\n" +
			"taken for, what was passed over and why, and what the board is. With -o it draws the board too, from\n" +
			"the top and from the bottom, with the loops that its outline may be chosen from where that is in doubt.",
		Args: takes(1, 0, "a board's files: a folder, a zip, or the files"),
		RunE: func(c *cobra.Command, args []string) error {
			here, err := os.Getwd()
			if err != nil {
				return &run.MachineError{Err: fmt.Errorf("the working folder cannot be told: %w", err)}
			}
			var paths []pipeline.InPath
			for _, arg := range args {
				if _, err := os.Stat(arg); errors.Is(err, fs.ErrNotExist) {
					return notThere(arg)
				}
				abs, err := filepath.Abs(arg)
				if err != nil {
					return &run.MachineError{Err: err}
				}
				// Paths in recipes are relative; here the folder above each argument takes that part.
				paths = append(paths, pipeline.InPath{Text: filepath.Base(abs), Dir: filepath.Dir(abs)})
			}
			usable, err := a.Survey(c.Context(), run.NewFiles(c.Context(), here, ""), paths, a.out, a.asJSON, keepIn(out))
			if err == nil && !usable {
				a.count(exitInput)
			}
			return err
		},
	}
	c.Flags().StringVarP(&out, "out", "o", "", "the folder `DIR` that the pictures go to; none are drawn unless given")
	return c
}

// keepIn gives what writes a survey's pictures into a folder, nil without one.
func keepIn(dir string) func(string, []byte) (string, error) {
	if dir == "" {
		return nil
	}
	return func(name string, picture []byte) (string, error) {
		path := filepath.Join(dir, name)
		err := os.MkdirAll(dir, 0o777)
		if err == nil {
			err = os.WriteFile(path, picture, 0o666)
		}
		if err != nil {
			return "", &run.MachineError{Err: fmt.Errorf("the picture cannot be written: %w", err)}
		}
		return filepath.ToSlash(path), nil
	}
}
