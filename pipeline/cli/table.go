package cli

import (
	"strings"
	"unicode/utf8"

	"panelwright/pipeline/jsonlines"
)

// table sets rows in columns, two spaces apart; the last column is as wide as it is.
func table(rows [][]string, indent string) string {
	var widths []int
	for _, r := range rows {
		for i, cell := range r {
			if i == len(widths) {
				widths = append(widths, 0)
			}
			if i < len(r)-1 {
				widths[i] = max(widths[i], utf8.RuneCountInString(cell))
			}
		}
	}
	var b strings.Builder
	for _, r := range rows {
		line := indent
		for i, cell := range r {
			line += cell
			if i < len(r)-1 {
				line += strings.Repeat(" ", widths[i]-utf8.RuneCountInString(cell)+2)
			}
		}
		b.WriteString(strings.TrimRight(line, " ") + "\n")
	}
	return b.String()
}

// printJSON writes one JSON document.
func (a *app) printJSON(v any) error {
	text, err := jsonlines.Indented(v)
	if err == nil {
		_, err = a.out.Write(text)
	}
	return err
}
