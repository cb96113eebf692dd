package dxf

import (
	"fmt"
	"strings"
	"unicode"

	"golang.org/x/text/encoding/charmap"
)

// words writes letters as a file of R2000 has them: those of its code page (Windows 1252) as bytes, others as \U+ and
// four digits. What would be taken for a sign of the format is written so too: "%%" and "^" in lines of text, and in
// the texts of dimensions (long) also brackets and angle brackets. The format has no way for letters beyond U+FFFF.
func words(s string, long bool) string {
	special := `\^`
	if long {
		special = `\^{}<>`
	}
	var b strings.Builder
	last := rune(0)
	for _, r := range s {
		c, ok := charmap.Windows1252.EncodeRune(r)
		switch {
		case unicode.IsControl(r):
			b.WriteByte(' ')
		case r > 0xffff:
			b.WriteString(`\U+FFFD`)
		case !ok || strings.ContainsRune(special, r) || r == '%' && last == '%':
			fmt.Fprintf(&b, `\U+%04X`, r)
		default:
			b.WriteByte(c)
		}
		last = r
	}
	return b.String()
}

// name makes a name that a table may hold (DXF reference, naming: none of <>/\":;?*|=‘).
func name(s string) string {
	return strings.Map(func(r rune) rune {
		if r < ' ' || r > '~' || strings.ContainsRune("<>/\\\":;?*|=`,", r) {
			return '_'
		}
		return r
	}, s)
}
