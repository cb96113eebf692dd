package gerber

import (
	"bytes"
	"encoding/binary"
	"fmt"
	"strconv"
	"strings"
	"unicode/utf8"

	"panelwright/pipeline/panel/artwork"
)

// dict is the attributes of one kind that are in force.
type dict struct {
	list   artwork.Attributes
	id     int32 // into Image.Sets; −1 until asked for
	shared bool  // list is also held by somebody else: copy before changing
}

func (d *dict) own() {
	if d.shared {
		d.list = append(artwork.Attributes(nil), d.list...)
		d.shared = false
	}
	d.id = -1
}

func (d *dict) set(a artwork.Attribute) {
	d.own()
	for i := range d.list {
		if d.list[i].Name == a.Name {
			d.list[i] = a
			return
		}
	}
	d.list = append(d.list, a)
}

func (d *dict) drop(name string) {
	for i := range d.list {
		if d.list[i].Name == name {
			d.own()
			d.list = append(d.list[:i], d.list[i+1:]...)
			return
		}
	}
}

func (d *dict) clear() { *d = dict{} }

// attribute reads the body of TF, TA, TO or TD, as a command or from a comment.
func (p *parser) attribute(at int, kind byte, body []byte) error {
	a, seen := p.known[string(body)]
	if !seen {
		a = parseAttribute(body)
		p.known[string(body)] = a
	}
	if kind == 'D' {
		if a.Name == "" {
			p.apers.clear()
			p.objs.clear()
		} else {
			p.apers.drop(a.Name)
			p.objs.drop(a.Name)
		}
		return nil
	}
	if a.Name == "" {
		return p.fault(at, "attribute without a name", "an attribute looks like %TF.Part,Single*%")
	}
	switch kind {
	case 'F':
		if len(p.img.Attributes) >= 1024 {
			return p.fault(at, "more than 1024 file attributes", "export the file again; this place is damaged")
		}
		for i := range p.img.Attributes {
			if p.img.Attributes[i].Name == a.Name {
				p.img.Attributes[i] = a
				p.note(warnFileAttribute, at)
				return nil
			}
		}
		p.img.Attributes = append(p.img.Attributes, a)
	case 'A':
		p.apers.set(a)
	case 'O':
		p.objs.set(a)
	}
	if max(len(p.apers.list), len(p.objs.list)) > maxInForce {
		return p.fault(at, fmt.Sprintf("more than %d attributes of one kind in force", maxInForce), "delete those no longer meant with TD; export the file again")
	}
	return nil
}

func parseAttribute(body []byte) artwork.Attribute {
	if bytes.ContainsAny(body, "\r\n") {
		body = bytes.Map(func(r rune) rune {
			if r == '\r' || r == '\n' {
				return -1
			}
			return r
		}, latin(body))
	}
	s := strings.TrimSpace(string(latin(body)))
	name, rest, has := strings.Cut(s, ",")
	a := artwork.Attribute{Name: unescape(strings.TrimSpace(name))}
	if has {
		a.Values = strings.Split(rest, ",")
		for i := range a.Values {
			a.Values[i] = unescape(a.Values[i])
		}
	}
	return a
}

// latin takes bytes that are not UTF-8 for Latin-1, which is what older systems wrote.
func latin(b []byte) []byte {
	if utf8.Valid(b) {
		return b
	}
	out := make([]byte, 0, len(b)+16)
	for _, c := range b {
		out = utf8.AppendRune(out, rune(c))
	}
	return out
}

// unescape resolves \uXXXX and \UXXXXXXXX; a backslash before anything else stands for itself.
func unescape(s string) string {
	if !strings.Contains(s, `\`) {
		return s
	}
	var b strings.Builder
	for i := 0; i < len(s); i++ {
		n := 0
		if s[i] == '\\' && i+1 < len(s) {
			switch s[i+1] {
			case 'u':
				n = 4
			case 'U':
				n = 8
			}
		}
		if n > 0 && i+2+n <= len(s) {
			if v, err := strconv.ParseUint(s[i+2:i+2+n], 16, 32); err == nil && utf8.ValidRune(rune(v)) && v <= utf8.MaxRune {
				b.WriteRune(rune(v))
				i += 1 + n
				continue
			}
		}
		b.WriteByte(s[i])
	}
	return b.String()
}

// objectSet gives the number of the object attributes in force, −1 when there are too many sets.
func (p *parser) objectSet(int) int32 {
	if p.objs.id < 0 {
		p.objs.id = p.intern(&p.objs)
	}
	return p.objs.id
}

// apertureSet is objectSet for the aperture attributes in force.
func (p *parser) apertureSet(int) int32 {
	if p.apers.id < 0 {
		p.apers.id = p.intern(&p.apers)
	}
	return p.apers.id
}

func (p *parser) intern(d *dict) int32 {
	p.key = appendAttributes(p.key[:0], d.list)
	if id, ok := p.setIDs[string(p.key)]; ok {
		return id
	}
	if p.setItems += len(d.list); p.setItems > maxSetItems {
		return -1
	}
	id := int32(len(p.img.Sets))
	p.setIDs[string(p.key)] = id
	p.img.Sets = append(p.img.Sets, d.list)
	d.shared = true
	return id
}

func (p *parser) tooManyAttributes(at int) error {
	return p.fault(at, "too many different sets of attributes", "delete attributes no longer meant with TD; export the file again")
}

// appendAttributes makes a key that is equal exactly for equal lists; empty for an empty one.
func appendAttributes(key []byte, list artwork.Attributes) []byte {
	text := func(s string) {
		key = binary.AppendUvarint(key, uint64(len(s)))
		key = append(key, s...)
	}
	for _, a := range list {
		text(a.Name)
		key = binary.AppendUvarint(key, uint64(len(a.Values)))
		for _, v := range a.Values {
			text(v)
		}
	}
	return key
}

// joinWords joins what is not empty with spaces.
func joinWords(list []string) string {
	var out []string
	for _, s := range list {
		if s != "" {
			out = append(out, s)
		}
	}
	return strings.Join(out, " ")
}

func printable(b []byte) string {
	return strings.Map(func(r rune) rune {
		if r < 0x20 || r == 0x7f {
			return -1
		}
		return r
	}, string(latin(b)))
}
