package writereport

import (
	"fmt"
	"strconv"
)

// ramp are the colours of fields, the least first: our own, each as much darker than the one before as any other, so
// that their order is seen in colour, in grey print and by eyes that do not tell red from green.
var ramp = [...]string{"#f8f4de", "#d0ddb2", "#9bc997", "#62b28f", "#2e978c", "#007a86", "#005c7d", "#003d6c", "#16204e"}

// shadeOf gives the colour of the i-th of n bands.
func shadeOf(i, n int) string {
	if n < 2 {
		return ramp[len(ramp)/2]
	}
	// Between two colours of the ramp, in 1/(n-1) of it.
	at := i * (len(ramp) - 1)
	k, part := at/(n-1), at%(n-1)
	if part == 0 {
		return ramp[k]
	}
	mix := func(from int) int64 {
		a, _ := strconv.ParseInt(ramp[k][from:from+2], 16, 32)
		b, _ := strconv.ParseInt(ramp[k+1][from:from+2], 16, 32)
		return a + (b-a)*int64(part)/int64(n-1)
	}
	return fmt.Sprintf("#%02x%02x%02x", mix(1), mix(3), mix(5))
}
