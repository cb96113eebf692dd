package cli

import (
	"strconv"
	"strings"
)

// sizeUnits are the units of sizes, in bytes.
var sizeUnits = []struct {
	name  string
	bytes int64
}{{"KiB", 1 << 10}, {"MiB", 1 << 20}, {"GiB", 1 << 30}, {"TiB", 1 << 40}, {"kB", 1e3}, {"MB", 1e6}, {"GB", 1e9}, {"TB", 1e12}, {"B", 1}}

// sizeOf reads a size for an option of a command; 0 where none is given.
func sizeOf(option, text string) (int64, error) {
	if text == "" {
		return 0, nil
	}
	for _, u := range sizeUnits {
		digits, ok := strings.CutSuffix(text, u.name)
		if !ok {
			continue
		}
		if x, err := strconv.ParseFloat(strings.TrimSpace(digits), 64); err == nil && x > 0 && x*float64(u.bytes) < 1<<60 {
			return max(1, int64(x*float64(u.bytes))), nil
		}
		break
	}
	return 0, misuse("option --%s does not take %q: a size with its unit is wanted, such as 512MiB or 2GiB", option, text)
}
