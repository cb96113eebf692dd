package panel

import "regexp"

// Words in the names of packages that nothing is placed for, though placement files list them, and the beginnings of
// their reference designators: from memory, no published source.
var (
	onlyDrawn       = regexp.MustCompile(`(?i)^fid|test_?point|fiducial|mounting_?hole|solder_?jumper|net_?tie|logo`)
	onlyDrawnRefdes = regexp.MustCompile(`(?i)^(fid|tp|mh|logo)[0-9]`)
)

// OnlyDrawn tells whether a part seems to be copper or a hole that placement files list, not something that is placed: by
// its package or reference designator, unless the shop's table knows its body or it is of a known class.
func (p Part) OnlyDrawn() bool {
	return p.Body.ClassBy == NotKnown && p.Body.By != ByTable && (onlyDrawn.MatchString(p.Package) || onlyDrawnRefdes.MatchString(p.Refdes))
}
