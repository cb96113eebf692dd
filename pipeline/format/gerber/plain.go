package gerber

import (
	"encoding/binary"
	"math/bits"

	"panelwright/pipeline/geom"
)

// longestPlain is how many bytes a plain command can have: X, Y, I and J with a sign and 16 digits
// each, D01 and its *, and a word of eight bytes read beyond the last digit.
const longestPlain = 4*18 + 4 + 8

// plain reads a command of the form that nearly all have: X, Y, I and J, each at most once and in this
// order, then D01, D02 or D03, and nothing in between. Of any other command it reads nothing and
// gives false; statement reads those, and whatever has to be said about them. Whatever plain takes,
// statement would take for the same.
func (p *parser) plain() (bool, error) {
	d, start := p.data, p.i
	if !p.ready || len(d)-start < longestPlain || p.format.Zeros != LeadingOmitted {
		return false, nil
	}
	var v [4]geom.Length
	i, have := start, 0
	for k, letter := range [4]byte{'X', 'Y', 'I', 'J'} {
		if d[i] != letter {
			continue
		}
		a := &p.axes[k&1]
		negative := d[i+1] == '-'
		i++
		if negative {
			i++
		}
		n, length := eightDigits(binary.LittleEndian.Uint64(d[i:]))
		i += length
		if length == 8 {
			more, extra := eightDigits(binary.LittleEndian.Uint64(d[i:]))
			for range extra {
				n *= 10
			}
			n += more
			i += extra
			if extra == 8 {
				return false, nil
			}
		}
		most := a.most
		if k >= 2 {
			most *= 1000
		}
		if length == 0 || int64(n) > most {
			return false, nil
		}
		w := int64(n) * a.mul
		if a.div != 1 {
			w = geom.MulDiv(int64(n), a.mul, a.div)
		}
		if negative {
			w = -w
		}
		v[k] = geom.Length(w)
		have |= 1 << k
	}
	if d[i] != 'D' {
		return false, nil
	}
	if i++; d[i] == '0' {
		i++
	}
	op := d[i] - '0'
	if op < 1 || op > 3 || d[i+1] != '*' {
		return false, nil
	}
	p.i = i + 2
	p.rep.Commands++
	return true, p.operate(start, int8(op), have, &v)
}

// eightDigits gives the number that the digits at the beginning of eight bytes are, and how many
// there are; the first of the bytes is the lowest of w. It works on all bytes at once: the digits are
// pushed to the end, with zeros before them, and then added up in pairs, fours and eights.
func eightDigits(w uint64) (n uint64, length int) {
	const each = 0x0101010101010101
	x := w ^ '0'*each
	// The highest bit of each byte that is no digit. A carry reaches only bytes after such a one.
	other := (x + (0x80-10)*each | x) & (0x80 * each)
	length = bits.TrailingZeros64(other) / 8
	x <<= 8 * (8 - length) // by 64 when there are none, which leaves 0
	x = x * (10<<8 + 1) >> 8 & 0x00ff00ff00ff00ff
	x = x * (100<<16 + 1) >> 16 & 0x0000ffff0000ffff
	return x * (10000<<32 + 1) >> 32, length
}
