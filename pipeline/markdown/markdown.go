// Package markdown writes texts of recipes and files into Markdown that hosts of Git show, so that they are read as they are.
package markdown

import (
	"strings"
	"unicode"
)

// Most is how long a comment gets at most, in bytes: common hosts of Git refuse comments of more than 65536 characters (from
// memory, no published source).
const Most = 60_000

// mostLetters bounds a text that comes from a file: the longest messages of rules are about half of it.
const mostLetters = 1000

// Plain keeps what would spoil a line out of a text that the user wrote, and bounds it.
func Plain(s string) string {
	s = strings.Map(func(r rune) rune {
		if r < ' ' || r == 0x7f || r >= 0x80 && r < 0xa0 || r == 0x2028 || r == 0x2029 || r >= 0x202a && r <= 0x202e || r >= 0x2066 && r <= 0x2069 {
			return ' '
		}
		return r
	}, strings.ToValidUTF8(s, "?"))
	if r := []rune(s); len(r) > mostLetters {
		s = string(r[:mostLetters-3]) + "..."
	}
	return s
}

// Text writes a text so that it is read as it is: punctuation cannot become markup, and what hosts of Git make
// links or mentions of is broken by a joiner that does not show.
func Text(s string) string {
	var b strings.Builder
	in := []rune(Plain(s))
	begins := true // nothing but digits so far: a list could begin here
	for i, c := range in {
		follows := i+1 < len(in) && (unicode.IsLetter(in[i+1]) || unicode.IsDigit(in[i+1]) || in[i+1] == '_' || in[i+1] == '/' || in[i+1] == '"')
		switch {
		case strings.ContainsRune("@#!~%$&:", c) && follows:
			b.WriteString("\\" + string(c) + "\u2060")
		case c == '.' && i >= 3 && strings.EqualFold(string(in[i-3:i]), "www"):
			b.WriteString("\u2060\\.")
		case strings.ContainsRune("\\`*_[]{}<>|~&#!$^\"", c), begins && strings.ContainsRune("-+=.)", c):
			b.WriteString("\\" + string(c))
		default:
			b.WriteRune(c)
		}
		begins = begins && (c == ' ' || unicode.IsDigit(c))
	}
	return strings.TrimSpace(b.String())
}

// Block writes lines as they are, every letter as wide as the others: source lines with a place marked below. Below it a new line
// begins.
func Block(s string) string {
	fence := "```"
	for strings.Contains(s, fence) {
		fence += "`"
	}
	var b strings.Builder
	b.WriteString(fence + "text\n")
	for line := range strings.SplitSeq(strings.TrimRight(s, "\n"), "\n") {
		b.WriteString(strings.TrimRight(Plain(strings.ReplaceAll(line, "\t", "    ")), " ") + "\n")
	}
	b.WriteString(fence + "\n")
	return b.String()
}
