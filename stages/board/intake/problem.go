package intake

import "strings"

// Problem is something that keeps the files from being a board: what is wrong, then what to do.
type Problem struct {
	What string // starts with the file's name where there is one
	Do   string
}

// Error gives what is wrong, and below it what to do.
func (p *Problem) Error() string {
	if p.Do == "" {
		return p.What
	}
	return p.What + "\n    " + strings.ReplaceAll(p.Do, "\n", "\n    ")
}

// list joins names as a sentence does: a, b and c.
func list(names []string) string {
	if len(names) < 2 {
		return strings.Join(names, "")
	}
	return strings.Join(names[:len(names)-1], ", ") + " and " + names[len(names)-1]
}
