package drawing

import (
	"strings"

	"panelwright/pipeline/geom"
)

// Pitch is how far apart the base lines of two lines of letters lie whose capitals are height high: 1.6 times that, a little
// more than the 1.4 times of ISO 3098-1's lettering type B (from memory), because letters of other scripts carry accents.
func Pitch(height geom.Length) geom.Length { return height * 8 / 5 }

// Below is how far letters whose capitals are height high reach below their base line.
func Below(height geom.Length) geom.Length {
	f := faceOf(false)
	g := faceOf(true)
	return geom.Length(geom.MulDiv(max(f.descent, g.descent), int64(height), f.capitals)) + 1
}

// Wrap breaks words into lines no wider than width, at spaces and where s has a line of its own. A word that is too wide by
// itself is broken between letters: after a hyphen or slash where it has one. A line has one letter at least, however narrow
// width is. An empty s has no lines.
func Wrap(s string, width, height geom.Length, bold bool) []string {
	var out []string
	for _, part := range strings.Split(s, "\n") {
		out = append(out, wrapped(strings.Fields(part), width, height, bold)...)
	}
	return out
}

func wrapped(words []string, width, height geom.Length, bold bool) (out []string) {
	line := ""
	for _, w := range words {
		if line != "" && Width(line+" "+w, height, bold) <= width {
			line += " " + w
			continue
		}
		if line != "" {
			out = append(out, line)
		}
		for Width(w, height, bold) > width {
			n := breakAt(w, width, height, bold)
			if n == len(w) {
				break
			}
			out = append(out, w[:n])
			w = w[n:]
		}
		line = w
	}
	if line != "" {
		out = append(out, line)
	}
	return out
}

// breakAt gives after how many bytes a word that is too wide is broken.
func breakAt(w string, width, height geom.Length, bold bool) int {
	fits, good := 0, 0
	for i, r := range w {
		n := i + len(string(r))
		if r == 0xFFFD {
			n = i + 1 // a byte that is no letter
		}
		if fits > 0 && Width(w[:n], height, bold) > width {
			break
		}
		fits = n
		if (r == '-' || r == '/' || r == '_') && n < len(w) {
			good = n
		}
	}
	if good*2 >= fits {
		return good
	}
	return fits
}

// Fitted is words made to fit into a box.
type Fitted struct {
	Lines  []string
	Height geom.Length // of capitals
	Cut    bool        // not all of the words found room: the last line ends in an ellipsis
}

// Fit makes words fit into a box: as high as asked for in one line, else in as many lines as the box has room for, else
// smaller, down to least; what is still too much is cut.
func Fit(s string, room geom.Point, height, least geom.Length, bold bool) Fitted {
	if strings.TrimSpace(s) == "" {
		return Fitted{Height: height}
	}
	for h := height; ; h = max(least, h*9/10) {
		lines := Wrap(s, room.X, h, bold)
		if wide := whole(lines, s, room.X, h, bold); wide && Stack(len(lines), h) <= room.Y {
			return Fitted{Lines: lines, Height: h}
		}
		if h > least {
			continue
		}
		n := 1
		for Stack(n+1, h) <= room.Y {
			n++
		}
		if n >= len(lines) {
			return Fitted{Lines: lines, Height: h}
		}
		last := []rune(strings.Join(lines[n-1:], " "))
		for len(last) > 0 && Width(string(last)+"…", h, bold) > room.X {
			last = last[:len(last)-1]
		}
		lines = append(lines[:n-1:n-1], strings.TrimRight(string(last), " ")+"…")
		return Fitted{Lines: lines, Height: h, Cut: true}
	}
}

// whole tells that no word had to be broken: smaller letters are tried before words are broken.
func whole(lines []string, s string, width, height geom.Length, bold bool) bool {
	return len(strings.Fields(strings.Join(lines, " "))) == len(strings.Fields(s))
}

// Stack is how high n lines of letters are, from the tops of the first's capitals to the descenders of the last.
func Stack(n int, height geom.Length) geom.Length {
	if n <= 0 {
		return 0
	}
	return geom.Length(n-1)*Pitch(height) + height + Below(height)
}
