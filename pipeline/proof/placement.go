package proof

import (
	"context"
	"fmt"
	"path"
	"slices"
	"strings"

	"panelwright/pipeline/format/centroid"
	"panelwright/pipeline/geom"
	"panelwright/pipeline/panel"
)

// rulePlacement is the rule of the assembler's files as written.
const rulePlacement = "written-placement"

// mostTold bounds the parts of one file that are told of one by one.
const mostTold = 20

// assembly brings placement and fiducials as written back to the panel, by what the notes say of how they are counted,
// and holds them against boards and plan. How they were brought there is not asked.
func (p *prover) assembly(context.Context) error {
	notes := "assembly/" + p.in.Name + "-assembly-notes.txt"
	if !p.papers[notes] {
		if p.placementFile() != "" { // a stage of a shop's own may write what it likes
			p.report(ruleFile, notes, nil, nil, "%s was not written: nothing says how the placement is counted", path.Base(notes))
		}
		return nil
	}
	data, err := p.in.Read(notes)
	if err != nil {
		return err
	}
	lines := strings.Split(string(data), "\n")
	said, err := centroid.ReadConvention(lines)
	if err != nil {
		p.report(rulePlacement, notes, nil, nil, "%s cannot be understood: %v", path.Base(notes), err)
		return nil
	}
	way := counted{Convention: said, box: p.in.Panel.Outline().Box()}
	if o := said.Origin; o.Mark != "" {
		if i := slices.IndexFunc(p.in.Panel.Marks(), func(m panel.Mark) bool { return m.ID == o.Mark && m.Kind == panel.Fiducial }); i < 0 || p.in.Panel.Marks()[i].At != o.At {
			at := o.At
			p.report(rulePlacement, notes, nil, &at, "%s counts places from %s at %v mm, and no fiducial of that name is planned there", path.Base(notes), o.Mark, o.At)
			return nil
		}
	}
	separator := ','
	extension := ".csv"
	switch {
	case slices.Contains(lines, "separator: semicolon"):
		separator = ';'
	case slices.Contains(lines, "separator: tab"):
		separator, extension = '\t', ".tsv"
	case !slices.Contains(lines, "separator: comma"):
		p.report(rulePlacement, notes, nil, nil, "%s does not say what separates the columns", path.Base(notes))
		return nil
	}
	if err := p.placement(way, separator, extension); err != nil {
		return err
	}
	for _, l := range p.checkSums() {
		if !slices.Contains(lines, l) {
			p.report(rulePlacement, notes, nil, nil, "%s does not have the check sum that boards and plan give: %s", path.Base(notes), l)
		}
	}
	for _, table := range []func(paperForm) error{p.fiducialTable, p.copyTable, p.badBoardTable, p.partTable} {
		if err := table(paperForm{way, separator, extension}); err != nil {
			return err
		}
	}
	for _, name := range p.papersLeft("-placement") {
		p.report(ruleFile, name, nil, nil, "%s was written, but nothing on the panel accounts for it", path.Base(name))
	}
	return nil
}

// placementFile gives any file that is called as a placement is, empty when there is none.
func (p *prover) placementFile() string {
	if left := p.papersLeft("-placement"); len(left) > 0 {
		return left[0]
	}
	return ""
}

// papersLeft gives the assembly files that are called so, those looked at left out.
func (p *prover) papersLeft(what string) []string {
	var out []string
	for name := range p.papers {
		if strings.HasPrefix(name, "assembly/"+p.in.Name+what) {
			out = append(out, name)
		}
	}
	slices.Sort(out)
	return out
}

// counted says how to bring back what is written.
type counted struct {
	centroid.Convention
	box geom.Box // the panel's
}

// place gives the place on the panel that a written place means.
func (c counted) place(written geom.Point, side panel.Side) geom.Point {
	from := c.box.Min
	mirrored := side == panel.Bottom && c.PlacesOwnSide
	if mirrored {
		from = geom.Pt(c.box.Max.X, c.box.Min.Y)
	}
	if c.Origin.Mark != "" {
		from = c.Origin.At
	}
	if mirrored {
		return geom.Pt(from.X-written.X, from.Y+written.Y)
	}
	return geom.Pt(from.X+written.X, from.Y+written.Y)
}

// turn gives the rotation that a written rotation means: counter-clockwise, seen from the top.
func (c counted) turn(written geom.Angle, side panel.Side) geom.Angle {
	if side == panel.Bottom {
		written -= c.BottomZero
	}
	if c.Clockwise != (side == panel.Bottom && c.RotationOwnSide) { // one of the two turns it round, both do not
		written = -written
	}
	return written.Normal()
}

// wanted is a part as boards and plan have it.
type wanted struct {
	copy string
	part *panel.Part
	at   geom.Point
	turn geom.Angle
}

func (w wanted) name() string { return w.copy + " " + w.part.Refdes }

// wantedParts gives every part that must be placed.
func (p *prover) wantedParts() []wanted {
	var out []wanted
	for _, c := range p.in.Panel.Copies() {
		if c.Board.PartsElsewhere {
			continue
		}
		for i := range c.Board.Parts {
			x := &c.Board.Parts[i]
			out = append(out, wanted{c.ID, x, c.Place.Apply(x.At), (x.Turn + c.Place.Turn).Normal()})
		}
	}
	return out
}

// placement holds the placement files against boards and plan: one file, or one for each side.
func (p *prover) placement(way counted, separator rune, extension string) error {
	want := p.wantedParts()
	if len(want) == 0 {
		return nil
	}
	base := "assembly/" + p.in.Name + "-placement"
	if p.papers[base+extension] {
		return p.placementRows(base+extension, way, separator, panel.NoSide, want)
	}
	if !p.papers[base+"-top"+extension] && !p.papers[base+"-bottom"+extension] {
		p.report(ruleFile, base+extension, nil, nil, "%s was not written", path.Base(base+extension))
		return nil
	}
	for _, side := range []panel.Side{panel.Top, panel.Bottom} {
		own := slices.DeleteFunc(slices.Clone(want), func(w wanted) bool { return w.part.Side != side })
		name := base + "-" + string(side) + extension
		switch {
		case len(own) == 0:
		case !p.papers[name]:
			p.report(ruleFile, name, nil, nil, "%s was not written", path.Base(name))
		default:
			if err := p.placementRows(name, way, separator, side, own); err != nil {
				return err
			}
		}
	}
	return nil
}

// placementRows holds one file against the parts that it must have.
func (p *prover) placementRows(name string, way counted, separator rune, side panel.Side, want []wanted) error {
	delete(p.papers, name)
	data, err := p.in.Read(name)
	if err != nil {
		return err
	}
	t, err := centroid.ReadPanel(path.Base(name), data)
	if err != nil {
		p.report(rulePlacement, name, nil, nil, "cannot be read back: %v", err)
		return nil
	}
	if len(t.Remarks) > 0 {
		if said, err := centroid.ReadConvention(t.Remarks); err != nil {
			p.report(rulePlacement, name, nil, nil, "its first lines cannot be understood: %v", err)
		} else if said != way.Convention {
			p.report(rulePlacement, name, nil, nil, "its first lines say something else of places and rotations than the assembly notes")
		}
	}
	switch {
	case t.Separator != separator:
		p.report(rulePlacement, name, nil, nil, "its columns are not separated as the assembly notes say")
		return nil
	case t.Unit != way.Unit:
		p.report(rulePlacement, name, nil, nil, "its columns are in %s; the assembly notes say %s", t.Unit, way.Unit)
		return nil
	case !t.Has("rotation") || side == panel.NoSide && !t.Has("side"):
		p.report(rulePlacement, name, nil, nil, "says nothing of rotations or sides")
		return nil
	}
	told := 0
	tell := func(w *wanted, copies []string, at *geom.Point, format string, args ...any) {
		if told++; told <= mostTold {
			feature := name
			if w != nil {
				feature = w.copy
			}
			p.report(rulePlacement, feature, copies, at, format, args...)
		}
	}
	// Rows are looked for by copy and name; of several alike the one that differs least is meant.
	type key struct{ copy, refdes string }
	keyOf := func(copy, refdes string) key {
		if !t.Has("copy") {
			copy = ""
		}
		return key{centroid.OneLine(copy), centroid.OneLine(refdes)}
	}
	rows := map[key][]centroid.PanelRow{}
	for _, r := range t.Rows {
		if side != panel.NoSide && !t.Has("side") {
			r.Side = string(side)
		}
		k := keyOf(r.Copy, r.Refdes)
		rows[k] = append(rows[k], r)
	}
	var open []wanted
	for _, w := range want {
		k := keyOf(w.copy, w.part.Refdes)
		if i := slices.IndexFunc(rows[k], func(r centroid.PanelRow) bool { return way.differs(t, w, r) == "" }); i >= 0 {
			rows[k] = slices.Delete(rows[k], i, i+1)
		} else {
			open = append(open, w)
		}
	}
	for _, w := range open {
		k := keyOf(w.copy, w.part.Refdes)
		if len(rows[k]) == 0 {
			tell(&w, []string{w.copy}, &w.at, "%s is missing in %s", w.name(), path.Base(name))
			continue
		}
		tell(&w, []string{w.copy}, &w.at, "%s in %s: %s", w.name(), path.Base(name), way.differs(t, w, rows[k][0]))
		rows[k] = rows[k][1:]
	}
	var spare []string
	for _, rest := range rows {
		for _, r := range rest {
			spare = append(spare, strings.TrimSpace(r.Copy+" "+r.Refdes))
		}
	}
	slices.Sort(spare)
	for _, s := range spare {
		tell(nil, nil, nil, "%s has a row for %s, and boards and plan have no such part", path.Base(name), s)
	}
	if more := told - mostTold; more > 0 {
		p.report(rulePlacement, name, nil, nil, "%d more rows of %s are wrong", more, path.Base(name))
	}
	return nil
}

// differs says how a written row differs from the part, empty when it does not.
func (c counted) differs(t *centroid.PanelTable, w wanted, r centroid.PanelRow) string {
	side := panel.Side(r.Side)
	if side != w.part.Side {
		return fmt.Sprintf("it is on the %s instead of the %s", side, w.part.Side)
	}
	if at := c.place(geom.Pt(r.X, r.Y), side); at != w.at {
		return fmt.Sprintf("its row means %v mm on the panel instead of %v", at, w.at)
	}
	if turn := c.turn(r.Rotation, side); turn != w.turn {
		return fmt.Sprintf("its row means that it is turned by %v instead of %v, counter-clockwise as seen from the top", turn, w.turn)
	}
	for _, x := range []struct{ column, got, want string }{
		{"package", r.Package, w.part.Package}, {"value", r.Value, w.part.Value}, {"part_number", r.PartNumber, w.part.PartNumber},
	} {
		if t.Has(x.column) && x.got != centroid.OneLine(x.want) {
			return fmt.Sprintf("its %s is %q instead of %q", strings.ReplaceAll(x.column, "_", " "), x.got, x.want)
		}
	}
	return ""
}

// checkSums gives the line that says how many parts there are, none where nothing is placed.
func (p *prover) checkSums() []string {
	sides, copies := map[panel.Side]int{}, map[*panel.Board]int{}
	var boards []*panel.Board
	for _, c := range p.in.Panel.Copies() {
		if c.Board.PartsElsewhere || len(c.Board.Parts) == 0 {
			continue
		}
		if copies[c.Board] == 0 {
			boards = append(boards, c.Board)
		}
		copies[c.Board]++
		for _, x := range c.Board.Parts {
			sides[x.Side]++
		}
	}
	if len(boards) == 0 {
		return nil
	}
	var each []string
	all := 0
	for _, b := range boards {
		all += copies[b] * len(b.Parts)
		each = append(each, fmt.Sprintf("%d x %s of %d", copies[b], b.Name, len(b.Parts)))
	}
	return []string{fmt.Sprintf("check sum: %d parts on a panel, as many as the placement has rows: %d on the top and %d on the bottom; %s",
		all, all-sides[panel.Bottom], sides[panel.Bottom], strings.Join(each, ", "))}
}
