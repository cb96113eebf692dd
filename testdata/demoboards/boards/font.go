package boards

import "strings"

// glyphs are drawn with a pen on a grid 4 wide and 6 high: points as two digits, x then y, strokes parted by a bar.
var glyphs = map[rune]string{
	'0': "01 05 16 36 45 41 30 10 01|11 35", '1': "05 26 20|00 40", '2': "05 16 36 45 44 00 40",
	'3': "05 16 36 45 44 33 42 41 30 10 01|13 33", '4': "30 36 02 42", '5': "46 06 03 33 42 41 30 10 01",
	'6': "36 16 05 01 10 30 41 42 33 03", '7': "06 46 10", '8': "13 04 05 16 36 45 44 33 13 02 01 10 30 41 42 33",
	'9': "10 30 41 45 36 16 05 04 13 43", 'A': "00 04 26 44 40|02 42", 'B': "33 03 06 36 45 44 33 42 41 30 00 03",
	'C': "45 36 16 05 01 10 30 41", 'D': "00 06 26 44 42 20 00", 'E': "46 06 00 40|03 33", 'F': "46 06 00|03 33",
	'G': "45 36 16 05 01 10 30 41 43 23", 'H': "00 06|40 46|03 43", 'I': "10 30|20 26|16 36", 'J': "01 10 30 41 46",
	'K': "00 06|46 03 40", 'L': "06 00 40", 'M': "00 06 23 46 40", 'N': "00 06 40 46", 'O': "01 05 16 36 45 41 30 10 01",
	'P': "00 06 36 45 44 33 03", 'Q': "01 05 16 36 45 41 30 10 01|22 40", 'R': "00 06 36 45 44 33 03|23 40",
	'S': "45 36 16 05 04 13 33 42 41 30 10 01", 'T': "06 46|26 20", 'U': "06 01 10 30 41 46", 'V': "06 20 46",
	'W': "06 10 23 30 46", 'X': "00 46|06 40", 'Y': "06 23 46|23 20", 'Z': "06 46 00 40", '-': "13 33", '+': "03 43|21 25",
	'.': "20 20", '/': "00 46", '_': "00 40", ':': "22 22|24 24", ' ': "",
}

// text draws s with its middle at c, h high, in whole quarter turns; mirrored for the bottom.
func text(s string, c pt, h int64, turns int, mirrored bool) []shape {
	unit := func(n int64) int64 { return n * h / 6 }
	var out []shape
	w := unit(int64(len(s))*6 - 2)
	for i, r := range s {
		place := func(q string) pt {
			p := pt{unit(int64(i)*6+int64(q[0]-'0')) - w/2, unit(int64(q[1]-'0')) - h/2}
			if mirrored {
				p.x = -p.x
			}
			return p.quarter(turns).add(c)
		}
		for _, stroke := range strings.Split(glyphs[r], "|") {
			ps := strings.Fields(stroke)
			for j := 1; j < len(ps); j++ {
				out = append(out, shape{pts: []pt{place(ps[j-1]), place(ps[j])}})
			}
		}
	}
	return out
}

// textBox is the room that text of n letters takes, pen included.
func textBox(n int, c pt, h, pen int64, turns int) box {
	w := (int64(n)*6 - 2) * h / 6
	if turns&1 == 1 {
		return box{c.x - h/2, c.y - w/2, c.x + h/2, c.y + w/2}.grow(pen / 2)
	}
	return box{c.x - w/2, c.y - h/2, c.x + w/2, c.y + h/2}.grow(pen / 2)
}
