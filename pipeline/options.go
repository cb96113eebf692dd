package pipeline

// The options of a stage are the exported fields of the struct that Kind.New returns, tagged:
//
//	type Array struct {
//		Board   string       `option:"board" required:"true" help:"which board to repeat"`
//		Columns int          `option:"columns" range:"1..200" help:"copies side by side"`
//		Gap     *geom.Length `option:"gap" range:"0..100" help:"board edge to board edge, both ways"`
//		Turn    geom.Angle   `option:"turn" help:"counter-clockwise, seen from the top"`
//		Every   string       `option:"turn_every_second" choice:"row|column" help:"…"`
//		Fit     []geom.Length`option:"fit_within" count:"2" help:"…"`
//		Pinned  []Pin        `block:"pinned" labels:"1" help:"a tab at a fixed place"`
//	}
//
// Kinds of fields: string, bool, int, float64, geom.Length (a number in millimetres or a string with
// its unit), geom.Angle (a number or a string in degrees), InPath, slices of these, and pointers to
// them (nil: not set). A field tagged block is a slice of structs tagged the same way; labels fill
// its fields tagged label:"0", label:"1" in order. Tags: required, range "low..high" (inclusive, in
// mm or deg for lengths and angles, either end may be missing), choice "a|b|c" (for strings and for
// the members of string slices), count (exact number of members of a slice), help (one line).
//
// From this one source come decoding, the errors for unknown or out-of-range options, the options
// command and its JSON.
