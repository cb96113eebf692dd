package compare

import (
	"cmp"
	"fmt"
	"slices"
	"strings"

	"panelwright/pipeline/geom"
)

// Group is what a change belongs to.
type Group string

// The groups, in the order in which they are told.
const (
	PanelGroup    Group = "panel"
	BoardsGroup   Group = "boards"
	CopiesGroup   Group = "copies"
	CutsGroup     Group = "cuts"
	MarksGroup    Group = "marks"
	ArtworkGroup  Group = "artwork"
	HolesGroup    Group = "holes"
	PartsGroup    Group = "parts"
	FindingsGroup Group = "findings"
	ValuesGroup   Group = "recipe values"
	FilesGroup    Group = "files"
)

// Groups are all of them in order.
var Groups = []Group{PanelGroup, BoardsGroup, CopiesGroup, CutsGroup, MarksGroup, ArtworkGroup, HolesGroup, PartsGroup, FindingsGroup, ValuesGroup, FilesGroup}

// Kind says in one word what happened.
type Kind string

// The kinds of change.
const (
	Appeared Kind = "appeared"
	Gone     Kind = "gone"
	Moved    Kind = "moved"
	Changed  Kind = "changed"
	Renamed  Kind = "renamed"
)

// Change is one difference: what happened to one feature, or alike to several.
type Change struct {
	Group    Group    `json:"group"`
	Kind     Kind     `json:"kind"`
	Features []string `json:"features,omitempty"` // ids: in the new build, in the old where they are gone
	Was      []string `json:"was,omitempty"`      // what features that were renamed were called, in the same order
	Text     string   `json:"text"`
	Old      string   `json:"old,omitempty"` // one value that changed
	New      string   `json:"new,omitempty"`
	File     string   `json:"file,omitempty"`  // whose content it is told from
	Files    []string `json:"files,omitempty"` // of one change that tells of several files
	// AreaMM2 is the area over which artwork or a cut changed, in square millimetres; GoneMM2 and AddedMM2 are its parts.
	AreaMM2  *float64 `json:"area_mm2,omitempty"`
	GoneMM2  *float64 `json:"gone_mm2,omitempty"`
	AddedMM2 *float64 `json:"added_mm2,omitempty"`
	Copies   []string `json:"copies,omitempty"` // every copy it holds for
	// At is where it is to be seen, on the old panel and the new one.
	At []Spot `json:"at,omitempty"`

	rank    int    // the smaller the earlier, within its group
	subject string // "tab"; empty where ids say it themselves: slot/3
	plural  string // what changes alike is told as one: "32 tabs"; empty for what is told by itself
	says    string // what happened: "moved 3.5 mm to the right"
}

// Spot is a place on one of the panels, in millimetres from its lower left corner.
type Spot struct {
	On   string `json:"on"` // "old" or "new"
	MinX string `json:"left_mm"`
	MinY string `json:"lower_mm"`
	MaxX string `json:"right_mm"`
	MaxY string `json:"upper_mm"`
	box  geom.Box
}

func spot(on string, b geom.Box) []Spot {
	if b.Empty() {
		return nil
	}
	return []Spot{{on, b.Min.X.Decimal(), b.Min.Y.Decimal(), b.Max.X.Decimal(), b.Max.Y.Decimal(), b}}
}

// mostSpots is how many places one change shows.
const mostSpots = 400

// fold joins changes that say the same of several features, and words them all.
func fold(all []Change) []Change {
	type key struct {
		group        Group
		kind         Kind
		plural, says string
	}
	at := map[key]int{}
	var out []Change
	for _, c := range all {
		if c.plural == "" {
			out = append(out, c)
			continue
		}
		k := key{c.Group, c.Kind, c.plural, c.says}
		i, ok := at[k]
		if !ok {
			at[k] = len(out)
			out = append(out, c)
			continue
		}
		out[i].Features = append(out[i].Features, c.Features...)
		out[i].Was = append(out[i].Was, c.Was...)
		out[i].At = append(out[i].At, c.At...)
		out[i].rank = min(out[i].rank, c.rank)
	}
	for i := range out {
		c := &out[i]
		c.At = c.At[:min(len(c.At), mostSpots)]
		if c.plural != "" {
			if len(c.Features) == 1 && (c.Kind == Appeared || c.Kind == Gone) && len(c.At) == 1 && !strings.HasSuffix(c.says, "with the copy") {
				c.says += fmt.Sprintf(" at (%s) mm", point(c.At[0].box.Center()))
			}
			c.Text = c.subjectText() + c.joint()
		}
	}
	slices.SortStableFunc(out, func(a, b Change) int {
		return cmp.Or(cmp.Compare(slices.Index(Groups, a.Group), slices.Index(Groups, b.Group)), cmp.Compare(a.rank, b.rank))
	})
	return out
}

// mostNamed is how many features are named that changed alike.
const mostNamed = 4

// subjectText names what changed: "tab A1/tab/upper/2", "32 tabs (A1/tab/upper/1, ... and 28 more)"; what was renamed by
// both its names: "slot/3 → slot/4 renamed".
func (c *Change) subjectText() string {
	ids := c.Features
	if len(c.Was) == len(ids) {
		ids = nil
		for i, id := range c.Features {
			ids = append(ids, c.Was[i]+" → "+id)
		}
	}
	text := named(c.subject, c.plural, ids)
	if len(c.Was) == 0 {
		return text
	}
	if c.says != "" {
		return text + " renamed,"
	}
	return text + " renamed"
}

func named(one, many string, ids []string) string {
	if len(ids) == 1 {
		return strings.TrimSpace(one + " " + plainText(ids[0]))
	}
	return count(len(ids), one, many) + " (" + plainText(listed(ids, mostNamed)) + ")"
}

// joint joins a subject to what is said of it: verbs follow it, figures stand behind a colon.
func (c *Change) joint() string {
	first, _, _ := strings.Cut(c.says, " ")
	switch {
	case c.says == "":
		return ""
	case len(c.Was) > 0, slices.Contains([]string{"moved", "appeared", "gone", "changed", "turned", "of", "stayed"}, strings.TrimRight(first, ",")):
		return " " + c.says
	}
	return ": " + c.says
}
