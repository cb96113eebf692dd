package compare

import (
	"bytes"
	"encoding/csv"
	"fmt"
	"math"
	"slices"
	"strconv"
	"strings"

	"panelwright/pipeline/geom"
)

// partRow is one row of the placement file.
type partRow struct {
	copy, refdes string
	at           geom.Point // in the panel's frame, or the board's where the copy is known
	placed       bool
	turn         geom.Angle
	fields       map[string]string // all others, by column
}

// placement is a placement file.
type placement struct {
	head []string // comments: the conventions
	rows []partRow
}

// readPlacement reads a placement file, whatever columns it has: copy and reference designator must be among them.
func readPlacement(text []byte) (*placement, error) {
	p := &placement{}
	var body []byte
	for line := range bytes.Lines(text) {
		if len(body) == 0 && bytes.HasPrefix(line, []byte("#")) {
			p.head = append(p.head, strings.TrimSpace(string(line[1:])))
			continue
		}
		body = append(body, line...)
	}
	r := csv.NewReader(bytes.NewReader(body))
	r.FieldsPerRecord = -1
	all, err := r.ReadAll()
	if err != nil {
		return nil, err
	}
	if len(all) == 0 {
		return p, nil
	}
	columns := all[0]
	find := func(names ...string) int {
		return slices.IndexFunc(columns, func(c string) bool { return slices.Contains(names, strings.ToLower(strings.TrimSpace(c))) })
	}
	cp, ref := find("copy"), find("refdes")
	if cp < 0 || ref < 0 {
		return nil, fmt.Errorf("has no columns copy and refdes")
	}
	x, y, unit := -1, -1, geom.MM
	for _, u := range []struct {
		name string
		unit geom.Length
	}{{"mm", geom.MM}, {"mil", geom.Inch / 1000}, {"inch", geom.Inch}, {"in", geom.Inch}} {
		if a, b := find("x_"+u.name), find("y_"+u.name); a >= 0 && b >= 0 {
			x, y, unit = a, b, u.unit
		}
	}
	turn := find("rotation_deg")
	for i, row := range all[1:] {
		if len(row) != len(columns) {
			return nil, fmt.Errorf("row %d has %s, and %d are wanted", i+2, count(len(row), "field", "fields"), len(columns))
		}
		out := partRow{copy: row[cp], refdes: row[ref], fields: map[string]string{}}
		a, aerr := number(row, x)
		b, berr := number(row, y)
		if out.placed = aerr == nil && berr == nil; out.placed {
			out.at = geom.Pt(geom.Round(a*float64(unit)), geom.Round(b*float64(unit)))
		}
		if t, err := number(row, turn); err == nil {
			out.turn = geom.Angle(math.Round(t * 1e6)).Normal()
		}
		for k, v := range row {
			if k != cp && k != ref && !(out.placed && (k == x || k == y)) && k != turn {
				out.fields[columns[k]] = v
			}
		}
		p.rows = append(p.rows, out)
	}
	return p, nil
}

func number(row []string, i int) (float64, error) {
	if i < 0 {
		return 0, strconv.ErrSyntax
	}
	v, err := strconv.ParseFloat(strings.TrimSpace(row[i]), 64)
	if err == nil && (math.IsNaN(v) || math.Abs(v) > 1e6) {
		err = strconv.ErrRange
	}
	return v, err
}

// assembly compares the placement file, part by part.
func (c *comparison) assembly() error {
	for i := range c.new.files {
		n := &c.new.files[i]
		o := c.old.byPlain[n.plain]
		if n.plain != "assembly/*-placement.csv" || o == nil || o.sum == n.sum {
			continue
		}
		read := func(b *build, f *file) (*placement, error) {
			text, err := b.read(f.name, mostText)
			if err != nil {
				return nil, err
			}
			p, err := readPlacement(text)
			if err != nil {
				c.add(c.unreadable(PartsGroup, b, f, err))
			}
			return p, nil
		}
		x, err := read(c.old, o)
		if err != nil {
			return err
		}
		y, err := read(c.new, n)
		if err != nil {
			return err
		}
		c.told[n.plain] = PartsGroup
		if x != nil && y != nil {
			c.placements(n, x, y)
		}
	}
	return nil
}

// placements tells which parts changed, what holds on every copy of a board once.
func (c *comparison) placements(f *file, old, new *placement) {
	// Whose placement it is, is told elsewhere.
	title := func(line string) bool { return strings.HasPrefix(line, "placement of panel ") }
	old.head, new.head = slices.DeleteFunc(old.head, title), slices.DeleteFunc(new.head, title)
	if !slices.Equal(old.head, new.head) {
		c.add(Change{Group: PartsGroup, Kind: Changed, rank: 0, File: f.name, Text: "the placement file states other conventions" + headWords(old.head, new.head),
			Old: plainText(strings.Join(old.head, "; ")), New: plainText(strings.Join(new.head, "; "))})
	}
	type key struct{ copy, refdes string }
	before := map[key]*partRow{}
	for i := range old.rows {
		r := &old.rows[i]
		before[key{r.copy, r.refdes}] = r
	}
	oldPlace, newPlace := placesOf(c.old.panel), placesOf(c.new.panel)
	boards := map[string]string{}
	for _, d := range []*data{c.old.panel, c.new.panel} {
		for _, x := range d.copies {
			boards[x.id] = x.board
		}
	}
	seen := map[*partRow]bool{}
	var found []Change
	type said struct{ board, refdes, says string }
	at := map[said]int{}
	put := func(r *partRow, kind Kind, says, on string) {
		k := said{boards[r.copy], r.refdes, says}
		i, ok := at[k]
		if !ok {
			i = len(found)
			at[k] = i
			found = append(found, Change{Group: PartsGroup, Kind: kind, rank: map[Kind]int{Gone: 1, Appeared: 2, Renamed: 3, Moved: 4, Changed: 5}[kind], File: f.name, subject: k.board, says: says, Features: []string{r.refdes}})
		}
		found[i].Copies = append(found[i].Copies, r.copy)
		if r.placed {
			found[i].At = append(found[i].At, spot(on, r.at.Box().Grow(geom.MM/2))...)
		}
	}
	var unmatched []*partRow
	for i := range new.rows {
		r := &new.rows[i]
		was := r.copy
		if o, ok := c.oldOwner[r.copy]; ok {
			was = o
		}
		o := before[key{was, r.refdes}]
		if o == nil {
			unmatched = append(unmatched, r)
			continue
		}
		seen[o] = true
		kind, says := partWords(o, r, oldPlace[was], newPlace[r.copy])
		if says != "" {
			put(r, kind, says, "new")
		}
	}
	// What stands at the same place on the same copy is the same part under another name.
	type spotKey struct {
		copy string
		at   geom.Point
	}
	left := map[spotKey]*partRow{}
	for i := range old.rows {
		if o := &old.rows[i]; !seen[o] && o.placed {
			left[spotKey{o.copy, oldPlace[o.copy].Inverse().Apply(o.at)}] = o
		}
	}
	for _, r := range unmatched {
		was := r.copy
		if o, ok := c.oldOwner[r.copy]; ok {
			was = o
		}
		if o := left[spotKey{was, newPlace[r.copy].Inverse().Apply(r.at)}]; o != nil && r.placed && !seen[o] && o.fields["package"] == r.fields["package"] {
			seen[o] = true
			_, says := partWords(o, r, oldPlace[was], newPlace[r.copy])
			if says != "" {
				says = ", " + says
			}
			put(r, Renamed, "was called "+o.refdes+says, "new")
			continue
		}
		if !c.isNew(r.copy) {
			put(r, Appeared, "added", "new")
		}
	}
	for i := range old.rows {
		if o := &old.rows[i]; !seen[o] && !c.isGone(o.copy) {
			put(o, Gone, "gone", "old")
		}
	}
	c.foldParts(found)
}

func placesOf(d *data) map[string]geom.Transform {
	out := map[string]geom.Transform{}
	for _, x := range d.copies {
		out[x.id] = x.place
	}
	return out
}

// partWords says how a part changed on its board.
func partWords(o, n *partRow, was, is geom.Transform) (Kind, string) {
	var says []string
	kind := Moved
	switch {
	case o.placed && n.placed:
		d := is.Inverse().Apply(n.at).Sub(was.Inverse().Apply(o.at))
		if d.X.Abs() > 2*geom.UM || d.Y.Abs() > 2*geom.UM { // placement files may have whole micrometres
			says = append(says, moved(d))
		}
	case o.placed != n.placed:
		says = append(says, "its place is written otherwise")
	}
	if t := (n.turn - is.Turn - o.turn + was.Turn).Normal(); t > 1000 && t < geom.FullTurn-1000 {
		says = append(says, turned(t))
	}
	fields := fieldPhrases(o.fields, n.fields)
	if len(fields) > 0 {
		kind = Changed
	}
	return kind, strings.Join(append(says, fields...), ", ")
}

// foldParts words the changes of parts and puts together what happened alike to several parts of a board.
func (c *comparison) foldParts(found []Change) {
	type key struct{ board, says, copies string }
	at := map[key]int{}
	var out []Change
	for _, x := range found {
		k := key{x.subject, x.says, strings.Join(x.Copies, "\n")}
		if i, ok := at[k]; ok {
			out[i].Features = append(out[i].Features, x.Features...)
			out[i].At = append(out[i].At, x.At...)
			continue
		}
		at[k] = len(out)
		out = append(out, x)
	}
	for _, x := range out {
		who := named("part", "parts", x.Features)
		of := ""
		if x.subject != "" {
			of = " of " + x.subject
		}
		x.Text = plainText(who + of + " " + x.says + c.onCopies(x.subject, x.Copies))
		x.At = x.At[:min(len(x.At), mostSpots)]
		x.subject, x.says = "", ""
		c.add(x)
	}
}

// headWords tells which lines of a placement file's head changed.
func headWords(old, new []string) string {
	only := func(a, b []string) (out []string) {
		for _, x := range a {
			if !slices.Contains(b, x) {
				out = append(out, plainText(x))
			}
		}
		return out
	}
	var parts []string
	if gone := only(old, new); len(gone) > 0 {
		parts = append(parts, "before: "+strings.Join(gone, " / "))
	}
	if added := only(new, old); len(added) > 0 {
		parts = append(parts, "now: "+strings.Join(added, " / "))
	}
	if len(parts) == 0 {
		return ", or in another order"
	}
	return "; " + strings.Join(parts, "; ")
}
