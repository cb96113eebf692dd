package compare

import (
	"bytes"
	"slices"
	"strings"

	"panelwright/pipeline/format"
	"panelwright/pipeline/run"
)

// linesInJSON are the lines and columns of a recipe that findings name.
var linesInJSON = format.Pattern(`"(line|column|startLine|startColumn)": ?[0-9]+`)

// lineAfter is a line and column of a recipe behind its name.
var lineAfter = format.Pattern("\x00(:[0-9]+)+")

// sizeAfter is a number of bytes beside a recipe's hash.
var sizeAfter = format.Pattern(`>[0-9]+<`)

// onlyPlaces tells whether a file of the report differs in nothing but where in the recipe's files something stands, and in
// those files' own names, hashes and sizes: a comment in a recipe moves lines, and changes nothing that is built.
func (c *comparison) onlyPlaces(o, n *file) (bool, error) {
	if !strings.HasPrefix(n.plain, "report/") || o.bytes > mostPlain || n.bytes > mostPlain {
		return false, nil
	}
	a, err := c.old.read(o.name, mostPlain)
	if err != nil {
		return false, err
	}
	b, err := c.new.read(n.name, mostPlain)
	if err != nil {
		return false, err
	}
	return bytes.Equal(placeless(c.old, o.name, a), placeless(c.new, n.name, b)), nil
}

// mostPlain is how large a file of the report may be for that.
const mostPlain = 64 << 20

// placeless takes places in the recipe's files out of a text.
func placeless(b *build, name string, text []byte) []byte {
	var swaps []string
	files := slices.Clone(b.manifest.Recipe)
	slices.SortFunc(files, func(x, y run.FileSum) int { return len(y.Name) - len(x.Name) }) // no name is cut by another
	for _, f := range files {
		if len(f.SHA256) == 64 {
			swaps = append(swaps, f.SHA256, "\x01")
		}
		if f.Name != "" {
			swaps = append(swaps, f.Name, "\x00")
		}
	}
	if len(swaps) == 0 {
		return text
	}
	out := []byte(strings.NewReplacer(swaps...).Replace(string(text)))
	out = lineAfter().ReplaceAll(out, []byte("\x00"))
	if strings.HasSuffix(name, ".json") || strings.HasSuffix(name, ".sarif") {
		return linesInJSON().ReplaceAll(out, []byte(`"$1"`))
	}
	lines := bytes.Split(out, []byte("\n"))
	for i, l := range lines {
		if bytes.IndexByte(l, 1) >= 0 {
			lines[i] = sizeAfter().ReplaceAll(l, []byte("><"))
		}
	}
	return bytes.Join(lines, []byte("\n"))
}
