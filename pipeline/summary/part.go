package summary

import (
	"cmp"
	"crypto/sha256"
	"encoding/hex"
	"fmt"
	"os"
	"path"
	"path/filepath"
	"slices"
	"strconv"
	"strings"
)

// MostParts is how many parts recipes can be split into.
const MostParts = 10_000

// Part is one of several parts that recipes are split into.
type Part struct {
	Index int `json:"index"` // from 0
	Of    int `json:"of"`
	// Recipes and Names say what was split, so that Join can tell that the parts are of one whole and that nothing is
	// lost. Split fills them.
	Recipes int    `json:"recipes"`
	Names   string `json:"names_sha256"`
}

// PartOf reads which part is meant: "2/8", counted from 0, or "NAME/8", where the environment variable NAME holds the index.
// JOB_COMPLETION_INDEX is what Kubernetes sets in the pods of an Indexed Job. Errors are sentences without the option's name.
func PartOf(text string) (Part, error) {
	index, of, ok := strings.Cut(text, "/")
	n, good := wholeNumber(of)
	switch {
	case !ok || index == "" || !good:
		return Part{}, fmt.Errorf("write it as INDEX/PARTS, counted from 0: 0/4, 1/4, 2/4 and 3/4 are the parts of 4")
	case n == 0:
		return Part{}, fmt.Errorf("there is at least one part: 0/1 is all of it")
	case n > MostParts:
		return Part{}, fmt.Errorf("%d parts are the most", MostParts)
	}
	from := ""
	if environmentName(index) {
		value, set := os.LookupEnv(index)
		if !set {
			return Part{}, fmt.Errorf("the environment variable %s is not set; Kubernetes sets JOB_COMPLETION_INDEX, in the pods of a Job whose completionMode is Indexed", index)
		}
		from = fmt.Sprintf("the environment variable %s holds %q: ", index, value)
		index = strings.TrimSpace(value)
	}
	i, good := wholeNumber(index)
	switch {
	case !good:
		return Part{}, fmt.Errorf("%sa whole number from 0 to %d is wanted before the slash", from, n-1)
	case i >= n && n == 1:
		return Part{}, fmt.Errorf("%sparts are counted from 0, and 0/1 is the only one", from)
	case i >= n:
		return Part{}, fmt.Errorf("%sparts are counted from 0: those of %d are 0/%d to %d/%d", from, n, n, n-1, n)
	}
	return Part{Index: i, Of: n}, nil
}

// wholeNumber reads digits alone; what is greater than any part comes out as such.
func wholeNumber(s string) (int, bool) {
	if s == "" || strings.Trim(s, "0123456789") != "" || len(s) > 1 && s[0] == '0' {
		return 0, false
	}
	if len(s) > 9 {
		return 999_999_999, true
	}
	n, err := strconv.Atoi(s)
	return n, err == nil
}

func environmentName(s string) bool {
	return strings.Trim(s, "ABCDEFGHIJKLMNOPQRSTUVWXYZ0123456789_") == "" && (s[0] < '0' || s[0] > '9')
}

// String names the part as PartOf reads it.
func (p Part) String() string { return fmt.Sprintf("%d/%d", p.Index, p.Of) }

// Takes tells which of the recipes belong to the part. Names are the recipes' paths from where the program is started; the
// suppliers of a recipe stay together, so that its boards are read once. The order of names does not matter, and one that is there twice
// counts once.
//
// The names are put in the order of their SHA-256 and cut into runs of equal length: so the recipes that share a board, which
// change together, spread over all parts; parts differ in size by one at most; and a recipe more or less moves at most one other
// across each of the cuts, that is Of-1 of them, however many there are.
func (p Part) Takes(names []string) []bool {
	order := distinct(names)
	mine := map[string]bool{}
	for _, n := range order[p.Index*len(order)/p.Of : (p.Index+1)*len(order)/p.Of] {
		mine[n.name] = true
	}
	takes := make([]bool, len(names))
	for i, n := range names {
		takes[i] = mine[cleanName(n)]
	}
	return takes
}

// Split gives the part with what it is a part of, for a summary.
func (p Part) Split(names []string) Part {
	var all []string
	for _, n := range distinct(names) {
		all = append(all, n.name)
	}
	p.Recipes, p.Names = len(all), digest(all)
	return p
}

// hashedName is a name and its place in the order that is cut into parts.
type hashedName struct {
	sum  [sha256.Size]byte
	name string
}

// distinct gives the names, each once, in the order that is cut into parts.
func distinct(names []string) []hashedName {
	seen := map[string]bool{}
	var out []hashedName
	for _, n := range names {
		if n = cleanName(n); !seen[n] {
			seen[n] = true
			out = append(out, hashedName{sha256.Sum256([]byte(n)), n})
		}
	}
	slices.SortFunc(out, func(a, b hashedName) int {
		return cmp.Or(slices.Compare(a.sum[:], b.sum[:]), cmp.Compare(a.name, b.name))
	})
	return out
}

func cleanName(name string) string { return path.Clean(filepath.ToSlash(name)) }

// digest is the SHA-256 of names, each on a line, sorted.
func digest(names []string) string {
	h := sha256.New()
	for _, n := range slices.Sorted(slices.Values(names)) {
		h.Write([]byte(n + "\n"))
	}
	return hex.EncodeToString(h.Sum(nil))
}
