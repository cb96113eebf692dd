package recipe

import (
	"bytes"
	"encoding/json"
	"errors"
	"fmt"
	"path/filepath"
	"slices"

	"github.com/hashicorp/hcl/v2"
	"github.com/hashicorp/hcl/v2/hclsyntax"
	"github.com/hashicorp/hcl/v2/hclwrite"
)

// ErrTidyUnsure says that a file stays as it is: the layout that was found would not say the same.
var ErrTidyUnsure = errors.New("it is left as it is: laid out anew it would not read the same")

// TidyFile reads the recipe or standard at path and gives its text as it is and in canonical layout. Mistakes
// in the syntax come back as Mistakes. The file is not touched.
func TidyFile(path string) (before, after []byte, err error) {
	data, problem, err := readBounded(path)
	if problem != "" {
		return nil, nil, Mistakes{{File: filepath.ToSlash(path), What: sentence(problem, err), Do: "name a recipe or a standard, such as gauge.panel.hcl", Withheld: withheld(err)}}
	}
	after, err = Tidy(filepath.ToSlash(path), data)
	return data, after, err
}

// Tidy gives the text of a recipe or standard in canonical layout: what it says, its order and its comments
// stay. name is what mistakes call it; one that ends in .json is in HCL's JSON syntax. Tidying twice changes nothing
// more. Mistakes in the syntax come back as Mistakes.
func Tidy(name string, text []byte) ([]byte, error) {
	s, l := newSource(name, name, text), &ledger{}
	s.parse(l)
	if err := l.err(); err != nil {
		return nil, err
	}
	if s.json {
		return tidyJSON(s.text)
	}
	out := plainEnds(s.text)
	for range mostTidyRounds {
		next := spaced(hclwrite.Format(out))
		if bytes.Equal(next, out) {
			if !sameTokens(s.text, out) {
				return nil, ErrTidyUnsure
			}
			return out, nil
		}
		out = next
	}
	return nil, ErrTidyUnsure
}

// mostTidyRounds bounds how often a text is laid out until nothing moves: what one round moves may line up otherwise in
// the next one.
const mostTidyRounds = 8

// tidyJSON sets JSON in: nothing in it moves but the blanks.
func tidyJSON(text []byte) ([]byte, error) {
	var b bytes.Buffer
	if json.Indent(&b, bytes.TrimSpace(text), "", "  ") != nil {
		return nil, ErrTidyUnsure // HCL's reader takes more than the standard library's
	}
	b.WriteByte('\n')
	return b.Bytes(), nil
}

func lex(text []byte) hclsyntax.Tokens {
	tokens, _ := hclsyntax.LexConfig(text, "", hcl.InitialPos)
	return tokens
}

// plainEnds ends lines with a line feed alone, but for those of texts over several lines, where it would be another text.
func plainEnds(text []byte) []byte {
	var out []byte
	at, inText := 0, 0
	for _, t := range lex(text) {
		out = append(out, text[at:t.Range.Start.Byte]...)
		at = t.Range.End.Byte
		switch t.Type {
		case hclsyntax.TokenOHeredoc:
			inText++
		case hclsyntax.TokenCHeredoc:
			inText--
		}
		own := t.Bytes
		if inText == 0 && (t.Type == hclsyntax.TokenNewline || t.Type == hclsyntax.TokenComment) {
			own = trimmedLines(own)
		}
		out = append(out, own...)
	}
	return append(out, text[at:]...)
}

// trimmedLines takes blanks off the ends of lines.
func trimmedLines(text []byte) []byte {
	lines := bytes.Split(text, []byte("\n"))
	for i, l := range lines {
		if i < len(lines)-1 {
			lines[i] = bytes.TrimRight(l, " \t\r")
		}
	}
	return bytes.Join(lines, []byte("\n"))
}

// line is what the blank lines round a line depend on.
type line struct {
	text    []byte // without its end
	kept    bool   // part of a text or comment over several lines: stays as it is
	opens   bool   // ends with an opening bracket
	closes  bool   // begins with a closing bracket
	begins  bool   // an option or a block of the file's top level begins here
	ends    bool   // … or ends here
	isBlock bool   // … and is a block
}

// linesOf takes a text apart that has been formatted.
func linesOf(text []byte) []line {
	var lines []line
	for l := range bytes.SplitSeq(text, []byte("\n")) {
		lines = append(lines, line{text: l})
	}
	depth, item, heredoc := 0, -1, 0 // item: the line on which the open item of the top level begins
	last := -1                       // the line of the last token that is not a blank or a comment
	for _, t := range lex(text) {
		from, to := t.Range.Start.Line-1, t.Range.End.Line-1
		switch t.Type {
		case hclsyntax.TokenEOF, hclsyntax.TokenNewline:
			if depth == 0 && item >= 0 {
				lines[from].ends = true
				item = -1
			}
			continue
		case hclsyntax.TokenComment:
			ended := bytes.HasSuffix(t.Bytes, []byte("\n"))
			if !ended {
				for i := from; i < to; i++ {
					lines[i].kept, lines[i+1].kept = true, true
				}
			}
			if ended && depth == 0 && item >= 0 {
				lines[from].ends = true
				item = -1
			}
			continue
		}
		if depth == 0 && item < 0 {
			item = from
			lines[from].begins = true
		}
		first := last != from
		switch t.Type {
		case hclsyntax.TokenOHeredoc:
			heredoc = from
		case hclsyntax.TokenCHeredoc:
			for i := heredoc + 1; i <= to; i++ {
				lines[i].kept = true
			}
		case hclsyntax.TokenOBrace:
			if depth == 0 && item >= 0 {
				lines[item].isBlock = lines[item].isBlock || !assigns(lines[item].text)
			}
			depth++
		case hclsyntax.TokenOBrack, hclsyntax.TokenOParen, hclsyntax.TokenTemplateInterp, hclsyntax.TokenTemplateControl:
			depth++
		case hclsyntax.TokenCBrace, hclsyntax.TokenCBrack, hclsyntax.TokenCParen, hclsyntax.TokenTemplateSeqEnd:
			depth--
			lines[from].closes = lines[from].closes || first
		}
		lines[to].opens = t.Type == hclsyntax.TokenOBrace || t.Type == hclsyntax.TokenOBrack || t.Type == hclsyntax.TokenOParen
		last = to
	}
	return lines
}

// assigns tells whether a line of the top level begins an option: its second word is an equals sign.
func assigns(text []byte) bool {
	tokens := lex(text)
	return len(tokens) > 1 && tokens[1].Type == hclsyntax.TokenEqual
}

// spaced sets blank lines: one at most in a row, none at the beginning and the end of file, block and list, one between
// blocks of the top level. Blanks at the ends of lines go.
func spaced(text []byte) []byte {
	lines := linesOf(text)
	var out [][]byte
	var before *line   // the last line that is not blank
	blank := false     // there were blank lines since
	afterItem := false // an item of the top level has ended, and none has begun since
	afterBlock := false
	blockBegan := false
	apart := false // a blank line stands between it and here
	for i := range lines {
		l := &lines[i]
		if !l.kept {
			l.text = bytes.TrimRight(l.text, " \t\r")
		}
		if len(l.text) == 0 && !l.kept {
			blank = true
			continue
		}
		if before != nil && blank && !before.opens && !l.closes {
			out = append(out, nil)
			apart = true
		}
		if l.begins && afterItem && (afterBlock || l.isBlock) && !apart {
			out = insertAfterItem(out, lines[:i])
		}
		if l.begins {
			afterItem, apart, blockBegan = false, false, l.isBlock
		}
		if l.ends {
			afterItem, apart, afterBlock = true, false, blockBegan
		}
		out = append(out, l.text)
		before, blank = l, false
	}
	return append(bytes.Join(out, []byte("\n")), '\n')
}

// insertAfterItem sets a blank line behind the last item's end: comments that follow belong to what comes next.
func insertAfterItem(out [][]byte, lines []line) [][]byte {
	n := 0
	for i := len(lines) - 1; i >= 0 && !lines[i].ends; i-- {
		n++
	}
	return slices.Insert(out, len(out)-n, nil)
}

// sameTokens tells whether two texts say the same: the same words in the same order, and lines that end between the same
// ones.
func sameTokens(a, b []byte) bool {
	x, y := words(a), words(b)
	return slices.Equal(x, y)
}

// words are the tokens of a text, without what layout may change.
func words(text []byte) []string {
	var out []string
	heredoc := 0
	newline := fmt.Sprintf("%c\n", hclsyntax.TokenNewline)
	for _, t := range lex(text) {
		own := string(t.Bytes)
		switch t.Type {
		case hclsyntax.TokenOHeredoc:
			heredoc++
		case hclsyntax.TokenCHeredoc:
			heredoc--
			own = string(bytes.TrimSpace(t.Bytes))
		case hclsyntax.TokenEOF:
			continue
		case hclsyntax.TokenNewline:
			if heredoc == 0 {
				own = "\n"
			}
		case hclsyntax.TokenComment:
			if heredoc == 0 {
				own = string(trimmedLines(t.Bytes))
			}
		}
		w := string(rune(t.Type)) + own
		if w == newline && (len(out) == 0 || out[len(out)-1][len(out[len(out)-1])-1] == '\n' && heredoc == 0) {
			continue
		}
		out = append(out, w)
	}
	for len(out) > 0 && out[len(out)-1] == newline {
		out = out[:len(out)-1]
	}
	return out
}
