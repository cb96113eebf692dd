package xnc

import (
	"fmt"
	"strconv"
	"strings"
	"unicode/utf8"

	"panelwright/pipeline/panel/artwork"
)

// parseAttribute reads the text of an attribute comment behind #@!: TF.FileFunction,Plated,1,4,PTH.
// command is TF, TA, TO or TD; ok is false for anything else.
func parseAttribute(text string) (command string, a artwork.Attribute, ok bool) {
	text = strings.TrimSuffix(strings.TrimSpace(text), "*")
	if len(text) < 2 {
		return "", a, false
	}
	command, text = text[:2], text[2:]
	switch command {
	case "TF", "TA", "TO", "TD":
	default:
		return "", a, false
	}
	fields := strings.Split(text, ",")
	a.Name = strings.TrimSpace(fields[0])
	if a.Name == "" && (command != "TD" || len(fields) > 1) {
		return "", a, false
	}
	for _, f := range fields[1:] {
		a.Values = append(a.Values, unescape(f))
	}
	return command, a, true
}

// unescape resolves \uXXXX and \UXXXXXXXX.
func unescape(s string) string {
	if !strings.Contains(s, `\`) {
		return s
	}
	var b strings.Builder
	for i := 0; i < len(s); i++ {
		n := 0
		if s[i] == '\\' && i+1 < len(s) {
			n = map[byte]int{'u': 4, 'U': 8}[s[i+1]]
		}
		if n > 0 && i+2+n <= len(s) {
			if v, err := strconv.ParseUint(s[i+2:i+2+n], 16, 32); err == nil && v <= utf8.MaxRune {
				b.WriteRune(rune(v))
				i += 1 + n
				continue
			}
		}
		b.WriteByte(s[i])
	}
	return b.String()
}

// escape makes a field safe to write.
func escape(s string) string {
	var b strings.Builder
	for _, r := range s {
		switch {
		case r > 0xffff:
			fmt.Fprintf(&b, `\U%08X`, r)
		case r < ' ' || r > '~' || r == '\\' || r == ',' || r == '%' || r == '*' || r == ';':
			fmt.Fprintf(&b, `\u%04X`, r)
		default:
			b.WriteRune(r)
		}
	}
	return b.String()
}

// set gives attrs with a in it, replacing one of the same name. attrs itself is left alone.
func set(attrs artwork.Attributes, a artwork.Attribute) artwork.Attributes {
	out := make(artwork.Attributes, 0, len(attrs)+1)
	found := false
	for _, x := range attrs {
		if x.Name == a.Name {
			x, found = a, true
		}
		out = append(out, x)
	}
	if !found {
		out = append(out, a)
	}
	return out
}

// without gives attrs less the one called name; all are gone for an empty name.
func without(attrs artwork.Attributes, name string) artwork.Attributes {
	var out artwork.Attributes
	for _, x := range attrs {
		if name != "" && x.Name != name {
			out = append(out, x)
		}
	}
	return out
}

// key writes attributes so that equal lists give equal strings.
func key(attrs artwork.Attributes) string {
	var b strings.Builder
	for _, a := range attrs {
		b.WriteString(a.Name)
		for _, v := range a.Values {
			b.WriteString("," + escape(v))
		}
		b.WriteByte('\n')
	}
	return b.String()
}

// sets gathers attribute lists; 0 is the empty one.
type sets struct {
	list  []artwork.Attributes
	index map[string]int32
}

func (s *sets) of(attrs artwork.Attributes) int32 {
	if s.index == nil {
		s.list = []artwork.Attributes{nil}
		s.index = map[string]int32{"": 0}
	}
	k := key(attrs)
	i, ok := s.index[k]
	if !ok {
		i = int32(len(s.list))
		s.list = append(s.list, attrs)
		s.index[k] = i
	}
	return i
}
