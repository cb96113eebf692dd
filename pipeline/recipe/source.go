package recipe

import (
	"bytes"
	"cmp"
	"crypto/sha256"
	"encoding/hex"
	"errors"
	"fmt"
	"io"
	"io/fs"
	"os"
	"path/filepath"
	"slices"
	"sort"
	"strings"
	"unicode"
	"unicode/utf8"

	"github.com/hashicorp/hcl/v2"
	"github.com/hashicorp/hcl/v2/hclsyntax"
	"github.com/hashicorp/hcl/v2/json"
)

// Bounds on one file, so that no file can hang the reader or exhaust its memory.
const (
	MostBytes     = 1 << 20 // of a recipe or standard
	mostNesting   = 60
	mostOperators = 20_000 // operators and opening brackets
	mostDigits    = 100    // of a number
)

// source is one file of a recipe: the recipe itself or a standard.
type source struct {
	abs, name string // name: relative to the recipe's folder, with slashes
	dir       string // the folder that its paths are relative to
	sum       string
	text      []byte
	lines     []int // byte offset of each line's start
	json      bool
	body      hcl.Body
}

// readBounded reads a file that must not be longer than MostBytes.
func readBounded(path string) ([]byte, string, error) {
	st, err := os.Stat(path) // before it is opened, which a pipe may hold up for ever
	switch {
	case errors.Is(err, fs.ErrNotExist):
		return nil, "no such file: %s", err
	case err != nil:
		return nil, "the file cannot be read: %s", err
	case !st.Mode().IsRegular():
		return nil, "this is not a file: %s", fs.ErrInvalid
	}
	f, err := os.Open(path)
	if err != nil {
		return nil, "the file cannot be read: %s", err
	}
	defer f.Close()
	data, err := io.ReadAll(io.LimitReader(f, MostBytes+1))
	if err != nil {
		return nil, "the file cannot be read: %s", err
	}
	if len(data) > MostBytes {
		return nil, "the file is longer than 1 MiB, the most that a recipe or standard may have: %s", fs.ErrInvalid
	}
	return data, "", nil
}

// withheld tells whether readBounded's error is the machine's.
func withheld(err error) bool {
	return err != nil && !errors.Is(err, fs.ErrNotExist) && !errors.Is(err, fs.ErrInvalid)
}

func newSource(abs, name string, data []byte) *source {
	sum := sha256.Sum256(data)
	s := &source{abs: abs, name: name, dir: filepath.Dir(abs), sum: hex.EncodeToString(sum[:]),
		text: bytes.TrimPrefix(data, []byte("\xef\xbb\xbf")), json: strings.HasSuffix(abs, ".json")}
	s.lines = []int{0}
	for i, c := range s.text {
		if c == '\n' {
			s.lines = append(s.lines, i+1)
		}
	}
	return s
}

// parse reads the file's syntax; it returns whether the body is whole enough to be checked further.
func (s *source) parse(l *ledger) bool {
	if !utf8.Valid(s.text) {
		at := 0
		for at < len(s.text) {
			r, n := utf8.DecodeRune(s.text[at:])
			if r == utf8.RuneError && n == 1 {
				break
			}
			at += n
		}
		l.add(s.mistakeAt(at, at+1, "the file is not text in UTF-8", "save it as UTF-8"))
		return false
	}
	if !s.bounded(l) {
		return false
	}
	var f *hcl.File
	var diags hcl.Diagnostics
	if s.json {
		f, diags = json.Parse(s.text, s.name)
	} else {
		f, diags = hclsyntax.ParseConfig(s.text, s.name, hcl.InitialPos)
	}
	if f != nil {
		s.body = f.Body
	}
	whole := s.syntax(diags, l)
	if s.json && !whole {
		s.body = nil // half an object would only seem to lack things
	}
	return whole && s.body != nil
}

// mostRounds bounds how often a file is read again to find the next mistake in its syntax.
const mostRounds = 20

// syntax notes the mistakes in a file's syntax. The reader is silent for a while after each one, so
// the line with the mistake is blanked and the file read again, as long as the line's brackets are
// even: then blanking it does not upset what follows. whole tells whether the file can be used.
func (s *source) syntax(diags hcl.Diagnostics, l *ledger) (whole bool) {
	whole = true
	text := bytes.Clone(s.text)
	for range mostRounds {
		var hard []Mistake
		for _, d := range diags {
			if m, soft := s.reword(d); soft {
				l.add(m)
			} else {
				hard = append(hard, m)
			}
		}
		if len(hard) == 0 {
			return whole
		}
		whole = false
		slices.SortFunc(hard, func(a, b Mistake) int {
			// Of two at one place the one about a single sign says more.
			return cmp.Or(cmp.Compare(a.offset, b.offset), cmp.Compare(rank(a), rank(b)), cmp.Compare(a.What, b.What))
		})
		m := hard[0]
		l.add(m)
		from := s.lines[m.Line-1]
		to := len(text)
		if m.Line < len(s.lines) {
			to = s.lines[m.Line] - 1
		}
		line := text[from:max(from, to)]
		if s.json || m.offset >= len(text) || len(bytes.TrimSpace(line)) == 0 || !even(line) {
			return whole
		}
		for i := range line {
			line[i] = ' '
		}
		_, diags = hclsyntax.ParseConfig(text, s.name, hcl.InitialPos)
	}
	return whole
}

func rank(m Mistake) int {
	if m.What == sentences["Invalid character"][0] {
		return 0
	}
	return 1
}

// even tells whether a line closes as many brackets of each sort as it opens.
func even(line []byte) bool {
	for _, pair := range []string{"{}", "[]", "()"} {
		if bytes.Count(line, []byte(pair[:1])) != bytes.Count(line, []byte(pair[1:])) {
			return false
		}
	}
	return !bytes.Contains(line, []byte("<<"))
}

// bounded refuses nesting and lengths that would carry the parser's recursion too far.
func (s *source) bounded(l *ledger) bool {
	if !s.json {
		tokens, _ := hclsyntax.LexConfig(s.text, s.name, hcl.InitialPos)
		return s.boundedTokens(tokens, nil, l)
	}
	depth, quote := 0, -1
	for i := 0; i < len(s.text); i++ {
		c := s.text[i]
		switch {
		case quote >= 0 && c == '\\':
			i++
		case quote >= 0 && c == '"':
			quote = -1
		case quote >= 0:
		case c == '"':
			quote = i
		case c == '{' || c == '[':
			if depth++; depth > mostNesting {
				l.add(s.mistakeAt(i, i+1, tooDeep, "write it flatter"))
				return false
			}
		case c == '}' || c == ']':
			depth--
		case c >= '0' && c <= '9':
			n := i
			for n < len(s.text) && strings.IndexByte("0123456789.eE+-", s.text[n]) >= 0 {
				n++
			}
			if n-i > mostDigits {
				l.add(s.mistakeAt(i, n, "this number has too many digits", "write fewer digits"))
				return false
			}
			i = n - 1
		}
	}
	return true
}

var tooDeep = fmt.Sprintf("brackets are nested more than %d deep", mostNesting)

// boundedTokens checks tokens of a file or, with at, of a text inside a JSON file.
func (s *source) boundedTokens(tokens hclsyntax.Tokens, at *hcl.Range, l *ledger) bool {
	depth, operators := 0, 0
	refuse := func(t hclsyntax.Token, what, do string) bool {
		rng := t.Range
		if at != nil {
			rng = *at
		}
		l.add(s.mistake(rng, what, do))
		return false
	}
	for _, t := range tokens {
		switch t.Type {
		case hclsyntax.TokenOBrace, hclsyntax.TokenOBrack, hclsyntax.TokenOParen,
			hclsyntax.TokenTemplateInterp, hclsyntax.TokenTemplateControl:
			depth++
			operators++
		case hclsyntax.TokenCBrace, hclsyntax.TokenCBrack, hclsyntax.TokenCParen, hclsyntax.TokenTemplateSeqEnd:
			depth--
		case hclsyntax.TokenStar, hclsyntax.TokenSlash, hclsyntax.TokenPlus, hclsyntax.TokenMinus,
			hclsyntax.TokenPercent, hclsyntax.TokenEqualOp, hclsyntax.TokenNotEqual, hclsyntax.TokenLessThan,
			hclsyntax.TokenLessThanEq, hclsyntax.TokenGreaterThan, hclsyntax.TokenGreaterThanEq,
			hclsyntax.TokenAnd, hclsyntax.TokenOr, hclsyntax.TokenBang, hclsyntax.TokenQuestion:
			operators++
		case hclsyntax.TokenNumberLit:
			if len(t.Bytes) > mostDigits {
				return refuse(t, "this number has too many digits", "write fewer digits")
			}
		}
		if depth > mostNesting {
			return refuse(t, tooDeep, "write it flatter, or give parts of it names with let")
		}
		if operators > mostOperators {
			return refuse(t, fmt.Sprintf("the file has more than %d operators and brackets", mostOperators),
				"write it shorter, or split it")
		}
	}
	return true
}

// place finds the line and column of a byte.
func (s *source) place(offset int) Place {
	offset = max(0, min(offset, len(s.text)))
	n := sort.SearchInts(s.lines, offset+1) - 1
	start, end := s.lines[n], len(s.text)
	if n+1 < len(s.lines) {
		end = s.lines[n+1] - 1
	}
	if end > start && s.text[end-1] == '\r' {
		end--
	}
	column := utf8.RuneCount(s.text[start:min(offset, max(start, end))]) + 1
	line, cut := excerpt(s.text[start:max(start, end)], column-1)
	return Place{File: s.name, Line: n + 1, Column: column, SourceLine: line, cut: cut, offset: offset}
}

// excerpt makes a line fit to be shown: a long one is cut down to what stands round character at,
// and what does not print is replaced, so that no file can upset a terminal.
func excerpt(line []byte, at int) (text string, cut int) {
	const before, after = 80, 120
	runes := []rune(string(line))
	from, to := 0, len(runes)
	if len(runes) > before+after {
		from, to = max(0, min(at, len(runes))-before), min(len(runes), at+after)
	}
	out := make([]rune, 0, to-from+2)
	for _, c := range runes[from:to] {
		if c != '\t' && !unicode.IsPrint(c) {
			c = '·'
		}
		out = append(out, c)
	}
	if from > 0 {
		out[0] = '…'
	}
	if to < len(runes) {
		out = append(out, '…')
	}
	return string(out), from
}

// mistake makes a mistake at a range of the file.
func (s *source) mistake(r hcl.Range, what, do string) Mistake {
	return s.mistakeAt(r.Start.Byte, r.End.Byte, what, do)
}

func (s *source) mistakeAt(from, to int, what, do string) Mistake {
	p := s.place(from)
	to = max(p.offset, min(to, len(s.text)))
	meant := s.text[p.offset:to]
	if n := bytes.IndexAny(meant, "\r\n"); n >= 0 {
		meant = meant[:n]
	}
	return Mistake{File: p.File, Line: p.Line, Column: p.Column, SourceLine: p.SourceLine, cut: p.cut,
		Width: max(1, utf8.RuneCount(meant)), What: what, Do: do, offset: p.offset}
}

// slice gives the text of a range.
func (s *source) slice(r hcl.Range) string {
	from := max(0, min(r.Start.Byte, len(s.text)))
	return string(s.text[from:max(from, min(r.End.Byte, len(s.text)))])
}
