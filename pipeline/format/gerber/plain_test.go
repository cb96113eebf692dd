package gerber

import (
	"encoding/binary"
	"math/rand/v2"
	"strconv"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"panelwright/pipeline/format"
)

func TestEightDigits(t *testing.T) {
	for _, c := range []struct {
		text   string
		n      uint64
		length int
	}{
		{"12345678", 12345678, 8},
		{"99999999", 99999999, 8},
		{"00000000", 0, 8},
		{"1234567D", 1234567, 7},
		{"0070Y001", 70, 4},
		{"5*\n99999", 5, 1},
		{"D01*1234", 0, 0},
		{"/1234567", 0, 0}, // the bytes beside the digits
		{":1234567", 0, 0},
		{"12/45678", 12, 2},
		{"12:45678", 12, 2},
		{"12\xff45678", 12, 2},
		{"12\x8045678", 12, 2},
		{"12\x0045678", 12, 2},
		{"12\xb145678", 12, 2}, // '1' with its highest bit set
	} {
		n, length := eightDigits(binary.LittleEndian.Uint64([]byte(c.text)))
		assert.Equal(t, c.n, n, c.text)
		assert.Equal(t, c.length, length, c.text)
	}
	r := rand.New(rand.NewPCG(1, 2))
	for range 20_000 {
		text := make([]byte, 8)
		for i := range text {
			text[i] = '0' + byte(r.IntN(10))
			if r.IntN(12) == 0 {
				text[i] = byte(r.IntN(256))
			}
		}
		length := strings.IndexFunc(string(text), func(c rune) bool { return c < '0' || c > '9' })
		if length < 0 {
			length = 8
		}
		want, _ := strconv.ParseUint(string(text[:length]), 10, 64)
		n, got := eightDigits(binary.LittleEndian.Uint64(text))
		require.Equal(t, []any{want, length}, []any{n, got}, "%q", text)
	}
}

// TestPlainIsStatement: what plain reads, statement reads just so. A blank before its * takes a
// command away from plain and means nothing else.
func TestPlainIsStatement(t *testing.T) {
	r := rand.New(rand.NewPCG(3, 4))
	pick := func(list ...string) string { return list[r.IntN(len(list))] }
	number := func() string {
		sign := pick("", "", "", "-", "-", "-", "+", "--")
		switch r.IntN(40) {
		case 0:
			return sign + strings.Repeat("0", r.IntN(20)) + "7"
		case 1:
			return sign + pick("999999999", "1000000000", "1000000001", "12345678901234567", "", ".5", "39370078", "39370079", "5000000000000")
		}
		return sign + strconv.Itoa(r.IntN([]int{10, 1e3, 1e5, 1e7, 1e8}[r.IntN(5)]))
	}
	heads := []string{
		"%FSLAX46Y46*%\n%MOMM*%\n", "%FSLAX24Y24*%\n%MOIN*%\n", "%FSLAX26Y26*%\n%MOIN*%\n",
		"%FSTAX24Y24*%\n%MOIN*%\n", "%FSLIX46Y46*%\n%MOMM*%\n", "%FSLAX33Y42*%\n%MOMM*%\n", "%FSAX25Y25*%\n%MOIN*%\n",
	}
	read, refused := 0, 0
	for n := range 6000 {
		text := [2]string{heads[n%len(heads)] + "%ADD10C,0.1*%\nD10*\nG75*\n"}
		if n%5 == 0 {
			text[0] += "G36*\n"
		}
		text[1] = text[0]
		for range 1 + r.IntN(8) {
			c := pick("", "", "", "", "G01", "G02")
			for _, letter := range []string{"X", "Y", "X", "I", "J"} {
				if r.IntN(5) < 3 && (letter < "K" && letter > "H") == (r.IntN(4) == 0) {
					c += letter + number()
				}
			}
			c += pick("D01", "D02", "D1", "D2", "D01", "D02", "D01", "D02", "D01", "D03", "D001", "", "D04", "D00")
			text[0] += c + "*\n"
			text[1] += c + " *\n"
		}
		tail := strings.Repeat("G04 room for plain*\n", 5) + "M02*\n"
		if n%5 == 0 {
			tail = "G37*\n" + tail
		}
		a, sayA, errA := Read("x.gbr", []byte(text[0]+tail), Options{})
		b, sayB, errB := Read("x.gbr", []byte(text[1]+tail), Options{})
		require.Equal(t, b, a, text[0])
		require.Equal(t, sayB, sayA, text[0])
		if errB == nil {
			require.NoError(t, errA, text[0])
			read++
			continue
		}
		var f, g *format.Fault
		require.ErrorAs(t, errA, &f, text[0])
		require.ErrorAs(t, errB, &g, text[0])
		f.Source, g.Source = "", "" // the other has the blank
		require.Equal(t, g, f, text[0])
		refused++
	}
	assert.Greater(t, read, 500)
	assert.Greater(t, refused, 1000)
}
