package cli

import "github.com/spf13/cobra"

func (a *app) surveyCommand() *cobra.Command {
	return &cobra.Command{
		Use:   "survey FILES...",
		Short: "what the reader understands of one board's data",
		Long: "Reads one board's fabrication data (a folder, a zip, or its files) and tells what each file was\n" +
			"taken for, what was passed over and why, and what the board is.",
		Args: takes(1, 0, "a board's files: a folder, a zip, or the files"),
		RunE: func(c *cobra.Command, args []string) error {
			return a.Survey(c.Context(), args, a.asJSON, a.out)
		},
	}
}
