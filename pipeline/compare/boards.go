package compare

import (
	"slices"
	"strings"
)

// source is a file of a board.
type source struct {
	Name    string `json:"name"`
	SHA256  string `json:"sha256"`
	Use     string `json:"use"`
	Ignored string `json:"ignored_because"`
}

// boards tells what changed of the boards: what the recipe says of them, and their files.
func (c *comparison) boards() {
	for _, p := range match(c.old.panel.lists["boards"], c.new.panel.lists["boards"], false) {
		x := Change{Group: BoardsGroup, rank: 1}
		switch {
		case p.old == nil:
			x.Kind, x.Features = Appeared, []string{p.new.id}
			x.Text = "board " + plainText(p.new.id) + boardTitle(p.new) + " appeared"
			c.add(x)
			continue
		case p.new == nil:
			x.Kind, x.Features = Gone, []string{p.old.id}
			x.Text = "board " + plainText(p.old.id) + boardTitle(p.old) + " gone"
			c.add(x)
			continue
		}
		head := "board " + plainText(p.new.id) + ": "
		skip := []string{"sources", "name", "id", "lower_left_mm"}
		for i, k := range []string{"part_number", "revision", "thickness_mm", "copper_layers", "finish", "mask_color"} {
			skip = append(skip, k)
			word, unit := fieldWord(k)
			c.value(BoardsGroup, 2+i, head+word, short(p.old.fields[k], unit), short(p.new.fields[k], unit))
		}
		if w, h := p.old.length("width_mm"), p.old.length("height_mm"); w != p.new.length("width_mm") || h != p.new.length("height_mm") {
			c.value(BoardsGroup, 9, head+"size", size(w, h), size(p.new.length("width_mm"), p.new.length("height_mm")))
		}
		for _, says := range fieldPhrases(p.old.fields, p.new.fields, append(skip, "width_mm", "height_mm")...) {
			c.add(Change{Group: BoardsGroup, Kind: Changed, rank: 10, Features: []string{p.new.id}, Text: head + says})
		}
		if p.old.fields["lower_left_mm"] != p.new.fields["lower_left_mm"] {
			c.value(BoardsGroup, 11, head+"lower left corner in its own files", short(p.old.fields["lower_left_mm"], " mm"), short(p.new.fields["lower_left_mm"], " mm"))
		}
		c.sources(head, p)
	}
}

func boardTitle(f *feature) string {
	t := strings.TrimSpace(f.word("part_number") + " " + f.word("revision"))
	if t == "" {
		return ""
	}
	return " (" + plainText(t) + ")"
}

// sources tells which files of a board changed, by their hashes.
func (c *comparison) sources(head string, p pair) {
	read := func(f *feature) []source {
		var all []source
		if unmarshal([]byte(f.fields["sources"]), &all) != nil {
			return nil
		}
		return all
	}
	old, new := read(p.old), read(p.new)
	find := func(all []source, name string) int {
		return slices.IndexFunc(all, func(s source) bool { return s.Name == name })
	}
	title := func(s source) string {
		t := "file " + plainText(s.Name)
		switch {
		case s.Use != "":
			t += " (" + plainText(s.Use) + ")"
		case s.Ignored != "":
			t += " (ignored: " + plainText(s.Ignored) + ")"
		}
		return t
	}
	one := func(kind Kind, s source, says, was, is string) {
		c.add(Change{Group: BoardsGroup, Kind: kind, rank: 20, Features: []string{p.new.id}, Text: head + title(s) + " " + says, Old: was, New: is, File: s.Name})
	}
	paired := make([]bool, len(old))
	for _, s := range new {
		i := find(old, s.Name)
		if i < 0 { // the same content under another name
			i = slices.IndexFunc(old, func(o source) bool { return o.SHA256 == s.SHA256 && find(new, o.Name) < 0 })
			if i < 0 {
				one(Appeared, s, "appeared", "", s.SHA256)
				continue
			}
			one(Renamed, s, "was called "+plainText(old[i].Name), old[i].Name, s.Name)
		}
		paired[i] = true
		o := old[i]
		if o.SHA256 != s.SHA256 {
			one(Changed, s, "changed (SHA-256 "+hashes(o.SHA256, s.SHA256)+")", o.SHA256, s.SHA256)
		}
		if o.Use != s.Use || o.Ignored != s.Ignored {
			one(Changed, s, "is used otherwise than before", o.Use+o.Ignored, s.Use+s.Ignored)
		}
	}
	for i, o := range old {
		if !paired[i] {
			one(Gone, o, "gone", o.SHA256, "")
		}
	}
}

// hashes shows the beginnings of two hashes.
func hashes(a, b string) string {
	begin := func(s string) string { return plainText(s[:min(len(s), 8)]) }
	return begin(a) + "… → " + begin(b) + "…"
}
