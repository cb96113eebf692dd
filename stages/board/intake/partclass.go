package intake

import (
	"fmt"
	"strings"

	"panelwright/pipeline/format"
	"panelwright/pipeline/panel"
)

// settleClasses guesses what parts are of which the shop's table does not say it, and gives those of a class that
// have no row in the table the room of their pads: near a break it matters how they lie. A guess is good for a
// hint, not for a refusal.
func (r *Result) settleClasses() {
	guessed := false
	for i := range r.parts {
		p := &r.parts[i]
		if p.Body.Class != panel.NoClass {
			continue
		}
		if c := guessClass(p.Refdes, p.Package); c != panel.NoClass {
			p.Body.Class, p.Body.ClassBy = c, panel.ByName
			guessed = guessed || p.Body.By == panel.NotKnown
		}
	}
	if !guessed {
		return
	}
	for i, q := range r.Bodies() {
		if b := &r.parts[i].Body; b.Class != panel.NoClass && b.By == panel.NotKnown && q.Body.By == panel.ByPads {
			b.By, b.Length, b.Width, b.Offset = q.Body.By, q.Body.Length, q.Body.Width, q.Body.Offset
		}
	}
}

// Words that packages are called by, from memory, no published source: libraries differ.
var (
	ballWords = format.Pattern(`BGA|CSP`)
	// The sizes of ceramic chips, by hundredths of an inch and by tenths of a millimetre.
	chipSizes      = format.Pattern(`(^|[^0-9])(01005|0201|0402|0603|0805|1206|1210|1806|1808|1812|1825|2220|2225|1005|1608|2012|3216|3225|4520|4532|5750)([^0-9]|$)`)
	otherCapacitor = format.Pattern(`^CP|TANT|EIA|ELEC|ELKO|POL`) // polarized: tantalum and electrolytic ones
	crystalWords   = format.Pattern(`CRYSTAL|XTAL|HC-?49|RESONATOR`)
	connectorWords = format.Pattern(`CONN|HEADER|SOCKET|USB|RJ-?45|TERMINAL`)
	jumperWords    = format.Pattern(`JUMPER`)
)

// guessClass guesses from the letters that a reference designator begins with (C capacitor, Y or X crystal, J, P, CN or CON
// connector: common practice, from memory) and from the name of the package.
func guessClass(refdes, pack string) panel.PartClass {
	refdes, pack = strings.ToUpper(refdes), strings.ToUpper(pack)
	letters := refdes[:len(refdes)-len(strings.TrimLeft(refdes, "ABCDEFGHIJKLMNOPQRSTUVWXYZ"))]
	if ballWords().MatchString(pack) {
		return panel.BallGridArray
	}
	switch letters {
	case "C":
		if chipSizes().MatchString(pack) && !otherCapacitor().MatchString(pack) {
			return panel.CeramicCapacitor
		}
	case "X":
		if connectorWords().MatchString(pack) {
			return panel.Connector
		}
		return panel.Crystal
	case "Y", "XTAL":
		return panel.Crystal
	case "J", "P", "CN", "CON", "CONN":
		if !jumperWords().MatchString(pack) {
			return panel.Connector
		}
	}
	if crystalWords().MatchString(pack) {
		return panel.Crystal
	}
	return panel.NoClass
}

// ClassCount counts the parts of one class, by how it is known.
type ClassCount struct {
	Class   panel.PartClass `json:"class"`
	Known   int             `json:"known"`   // from the shop's table
	Guessed int             `json:"guessed"` // from reference designators and packages
}

// Line says it in words.
func (c ClassCount) Line() string {
	return fmt.Sprintf("class %s: %d known from a table, %d guessed from names", strings.ReplaceAll(string(c.Class), "_", " "), c.Known, c.Guessed)
}

// classCounts counts parts by class, in the order of the classes.
func classCounts(parts []panel.Part) []ClassCount {
	out := []ClassCount{}
	for _, class := range []panel.PartClass{panel.CeramicCapacitor, panel.Crystal, panel.Connector, panel.BallGridArray} {
		n := ClassCount{Class: class}
		for _, p := range parts {
			switch {
			case p.Body.Class != class:
			case p.Body.ClassBy == panel.ByTable:
				n.Known++
			default:
				n.Guessed++
			}
		}
		if n.Known+n.Guessed > 0 {
			out = append(out, n)
		}
	}
	return out
}
