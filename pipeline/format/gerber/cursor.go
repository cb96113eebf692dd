package gerber

// cursor walks over one command, seeing neither blanks nor line ends.
type cursor struct {
	data   []byte
	i, end int
}

// peek gives the next byte, 0 at the end.
func (c *cursor) peek() byte {
	for c.i < c.end {
		if b := c.data[c.i]; b > ' ' {
			return b
		}
		c.i++
	}
	return 0
}

// take steps over b when it is next.
func (c *cursor) take(b byte) bool {
	if b != 0 && c.peek() == b {
		c.i++
		return true
	}
	return false
}

func (c *cursor) done() bool { return c.peek() == 0 }

// natural reads an unsigned whole number; false when none is there or it is absurdly large.
func (c *cursor) natural() (int, bool) {
	n, got := 0, false
	for {
		b := c.peek()
		if b < '0' || b > '9' {
			return n, got
		}
		got = true
		n = n*10 + int(b-'0')
		if n > 1<<31-1 {
			return 0, false
		}
		c.i++
	}
}

// decimal reads a signed decimal number exactly; digits past the eighteenth are dropped.
func (c *cursor) decimal() (number, bool) {
	neg := false
	for {
		switch c.peek() {
		case '-':
			neg = !neg
			c.i++
			continue
		case '+':
			c.i++
			continue
		}
		break
	}
	n, ok := c.unsigned()
	if neg {
		n = n.neg()
	}
	return n, ok
}

func (c *cursor) unsigned() (number, bool) {
	const most = 100_000_000_000_000_000 // one more digit still fits an int64
	var m int64
	den := int64(1)
	got, point := false, false
	for ; ; c.i++ {
		b := c.peek()
		switch {
		case b >= '0' && b <= '9':
			got = true
			if m < most && den < most {
				m = m*10 + int64(b-'0')
				if point {
					den *= 10
				}
			} else if !point {
				return number{}, false
			}
			continue
		case b == '.' && !point:
			point = true
			continue
		}
		break
	}
	if !got {
		return number{}, false
	}
	return fraction(m, den), true
}

// word tells whether what is left is the word, and takes it.
func (c *cursor) word(w string) bool {
	at := c.i
	for i := range len(w) {
		if !c.take(w[i]) {
			c.i = at
			return false
		}
	}
	if !c.done() {
		c.i = at
		return false
	}
	return true
}
