package writeassembly

import (
	"fmt"
	"io"
	"strings"
)

// notes writes what the files for machines may not say, for the people who set the line up: how places and rotations
// are counted, what each file is, how many parts there are. The proof reads from it what the placement promises.
func (s *papers) notes() error {
	listed := s.written
	return s.create("assembly-notes", ".txt", "", func(w io.Writer) error {
		_, err := io.WriteString(w, s.notesText(listed))
		return err
	})
}

func (s *papers) notesText(files []written) string {
	var b strings.Builder
	line := func(format string, a ...any) { fmt.Fprintf(&b, format+"\n", a...) }
	if !s.env.Released() {
		line("NOT FOR RELEASE: findings in report/findings.json close the release gate. Do not set up a line by these files.")
		line("")
	}
	line("%s", s.title("Assembly"))
	line("size: %s x %s %s", s.length(s.box.Width()), s.length(s.box.Height()), s.Unit)
	line("")
	line("How places and rotations are written")
	for _, x := range s.Statements() {
		line("%s", x)
	}
	line("separator: %s", map[rune]string{',': "comma", ';': "semicolon", '\t': "tab"}[s.separator])
	line("")
	line("Files")
	widest := 0
	for _, f := range files {
		widest = max(widest, len(f.name))
	}
	for _, f := range files {
		line("  %-*s  %s", widest, f.name, f.what)
	}
	if sums := s.sums(); len(sums) > 0 {
		line("")
		line("%s", strings.Join(sums, "\n"))
	}
	if x := agreed(s.panel); len(x) > 0 {
		line("")
		line("%s", strings.Join(x, "\n"))
	}
	line("")
	line("Where a part's zero lies is the board's own library's matter, and lines count rotations differently: hold the")
	line("first panel against the drawing, one part of each package and all that have a direction, before the others")
	line("are placed. The last word is the assembler's.")
	return b.String()
}
