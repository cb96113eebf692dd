package compare

import (
	"bytes"
	"encoding/json"
	"fmt"
	"maps"
	"slices"
	"strings"
	"unicode/utf8"
)

// ofFiles tells which files came, went and differ. It is called last: what features have told of is left out.
func (c *comparison) ofFiles() error {
	named := len(c.changes) > 0
	for i := range c.new.files {
		n := &c.new.files[i]
		if c.old.byPlain[n.plain] == nil {
			c.add(Change{Group: FilesGroup, Kind: Appeared, rank: 1, File: n.name, Text: "file " + plainText(n.name) + " appeared"})
		}
	}
	for i := range c.old.files {
		o := &c.old.files[i]
		if c.new.byPlain[o.plain] == nil {
			c.add(Change{Group: FilesGroup, Kind: Gone, rank: 0, File: o.name, Text: "file " + plainText(o.name) + " gone"})
		}
	}
	var follow, placed []string
	for i := range c.new.files {
		n := &c.new.files[i]
		o := c.old.byPlain[n.plain]
		if o == nil || o.sum == n.sum || n.name == manifestName || n.name == logName || c.told[n.plain] != "" && named {
			continue
		}
		if same, err := c.onlyPlaces(o, n); err != nil {
			return err
		} else if same {
			placed = append(placed, n.name)
			continue
		}
		if named && derived(n.plain) {
			follow = append(follow, n.name)
			continue
		}
		how, err := c.howDiffers(o, n)
		if err != nil {
			return err
		}
		why := ""
		if !named {
			why = ", and nothing that has a name explains it"
		}
		c.add(Change{Group: FilesGroup, Kind: Changed, rank: 2, File: n.name, Text: "file " + plainText(n.name) + " differs" + why + how})
	}
	if len(placed) > 0 && !named {
		c.notes = append(c.notes, plainText(count(len(placed), "file", "files")+" of the report "+differWord(len(placed))+" only in where the recipe's lines stand: "+listed(placed, 6)))
	}
	if len(follow) > 0 {
		c.add(Change{Group: FilesGroup, Kind: Changed, rank: 5, Files: follow,
			Text: plainText(count(len(follow), "file", "files") + " made from all this " + differWord(len(follow)) + " too: " + listed(follow, 5))})
	}
	return c.manifestRest()
}

func differWord(n int) string {
	if n == 1 {
		return "differs"
	}
	return "differ"
}

// derived tells whether a file is made from the panel and from findings alone, so that it differs wherever they do.
func derived(plain string) bool {
	for _, p := range []string{"report/", "drawing/", "reference/", "assembly/"} {
		if strings.HasPrefix(plain, p) {
			return true
		}
	}
	return slices.Contains([]string{"fab/*-fab.zip", "fab/*-job.gbrjob", "fab/*-notes.txt", "fab/*-netlist.ipc", "fab/*-score-table.csv"}, plain)
}

// mostCompared is how large a file may be to be compared line by line.
const mostCompared = 4 << 20

// howDiffers says how many lines of a text differ, and which is the first.
func (c *comparison) howDiffers(o, n *file) (string, error) {
	sizes := ""
	if o.bytes != n.bytes {
		sizes = fmt.Sprintf(" (%d → %d bytes)", o.bytes, n.bytes)
	}
	if o.bytes > mostCompared || n.bytes > mostCompared {
		return sizes, nil
	}
	a, err := c.old.read(o.name, mostCompared)
	if err != nil {
		return "", err
	}
	b, err := c.new.read(n.name, mostCompared)
	if err != nil {
		return "", err
	}
	if !utf8.Valid(a) || !utf8.Valid(b) || bytes.IndexByte(a, 0) >= 0 || bytes.IndexByte(b, 0) >= 0 {
		return sizes, nil
	}
	lines := func(t []byte) (out []digest, text []string) {
		for l := range bytes.Lines(t) {
			var d digest
			d.text(string(l))
			out = append(out, d)
			text = append(text, string(l))
		}
		return out, text
	}
	k, olds := lines(a)
	l, news := lines(b)
	gone, added := outOfStep(k, l)
	first := ""
	show := func(s string) string {
		s = strings.TrimSpace(plainText(s))
		if r := []rune(s); len(r) > 60 {
			s = string(r[:57]) + "..."
		}
		return fmt.Sprintf("%q", s)
	}
	switch {
	case len(gone) > 0 && len(added) > 0:
		first = fmt.Sprintf("; the first, line %d: %s → %s", added[0]+1, show(olds[gone[0]]), show(news[added[0]]))
	case len(gone) > 0:
		first = fmt.Sprintf("; the first, line %d of the old: %s", gone[0]+1, show(olds[gone[0]]))
	case len(added) > 0:
		first = fmt.Sprintf("; the first, line %d: %s", added[0]+1, show(news[added[0]]))
	}
	return fmt.Sprintf(": %s gone, %d added%s", count(len(gone), "line", "lines"), len(added), first), nil
}

// manifestKnown are the keys of a manifest that are compared elsewhere, or that are made of the others.
var manifestKnown = []string{"schema", "panel", "revision", "supplier", "tool", "reject", "released", "notice", "findings", "source_date_epoch", "recipe", "inputs", "given", "values", "outputs"}

// manifestRest compares what this program does not know of the manifests.
func (c *comparison) manifestRest() error {
	read := func(b *build) (map[string]json.RawMessage, error) {
		text, err := b.read(manifestName, mostText)
		if err != nil {
			return nil, err
		}
		var m map[string]json.RawMessage
		if err := unmarshal(text, &m); err != nil {
			return nil, b.damaged(manifestName, err)
		}
		for _, k := range manifestKnown {
			delete(m, k)
		}
		return m, nil
	}
	o, err := read(c.old)
	if err != nil {
		return err
	}
	n, err := read(c.new)
	if err != nil {
		return err
	}
	keys := maps.Clone(o)
	maps.Copy(keys, n)
	for _, k := range slices.Sorted(maps.Keys(keys)) {
		if compact(o[k]) != compact(n[k]) {
			c.add(Change{Group: FilesGroup, Kind: Changed, rank: 3, File: manifestName, Text: "manifest.json: " + plainText(k) + " differs"})
		}
	}
	return nil
}

// warnings tells what of a folder is not as its manifest lists it.
func warnings(b *build) []string {
	var missing, altered, extra []string
	known := map[string]string{}
	for _, o := range b.manifest.Outputs {
		known[o.Name] = o.SHA256
	}
	there := map[string]bool{}
	for _, f := range b.files {
		there[f.name] = true
		sum, ok := known[f.name]
		switch {
		case f.name == manifestName:
		case !ok:
			extra = append(extra, f.name)
		case sum != f.sum:
			altered = append(altered, f.name)
		}
	}
	for _, o := range b.manifest.Outputs {
		if !there[o.Name] {
			missing = append(missing, o.Name)
		}
	}
	var out []string
	for _, x := range []struct {
		names []string
		one   string
		many  string
	}{
		{altered, "was changed after the build", "were changed after the build"},
		{missing, "is missing", "are missing"},
		{extra, "was put there by something else than the build", "were put there by something else than the build"},
	} {
		if len(x.names) == 1 {
			out = append(out, plainText(b.shown+": "+x.names[0]+" "+x.one))
		} else if len(x.names) > 0 {
			out = append(out, plainText(fmt.Sprintf("%s: %d files %s: %s", b.shown, len(x.names), x.many, listed(x.names, 6))))
		}
	}
	return out
}
