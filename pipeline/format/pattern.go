package format

import (
	"regexp"
	"sync"
)

// Pattern gives a regular expression that is compiled when it is first asked for: the program has a hundred of them, a run
// that finds nothing changed needs none, and compiling them all would be a good part of such a run. It panics then where
// the text is no expression.
func Pattern(text string) func() *regexp.Regexp {
	return sync.OnceValue(func() *regexp.Regexp { return regexp.MustCompile(text) })
}
