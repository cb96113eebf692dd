package geom

import (
	"fmt"
	"strings"
)

// Millionths reads a plain decimal number with at most six digits after its point, as Decimal writes lengths and angles: in
// millionths, from -most to most.
func Millionths(text string, most int64) (int64, error) {
	digits, negative := strings.CutPrefix(text, "-")
	whole, fraction, _ := strings.Cut(digits, ".")
	if len(fraction) > 6 || whole == "" || len(whole) > 9 {
		return 0, fmt.Errorf("%.40s is not a decimal number with at most six digits after the point", text)
	}
	var n int64
	for _, c := range []byte(whole + fraction + "000000"[len(fraction):]) {
		if c < '0' || c > '9' {
			return 0, fmt.Errorf("%.40s is not a plain decimal number", text)
		}
		n = n*10 + int64(c-'0')
	}
	if n > most {
		return 0, fmt.Errorf("%.40s is beyond what a panel can hold", text)
	}
	if negative {
		n = -n
	}
	return n, nil
}

// ParseDecimal reads a length in millimetres as Decimal writes it, within what the model carries.
func ParseDecimal(text string) (Length, error) {
	n, err := Millionths(text, int64(Limit))
	return Length(n), err
}
