package pipeline

import (
	"fmt"
	"strings"
)

// Takes says what an option takes: its type, unit, number of members, range or choices.
func (o Option) Takes() string {
	if o.Block {
		if o.Required {
			return "blocks, one at least"
		}
		return "blocks, any number"
	}
	s := o.Type
	if o.Count > 0 {
		s = strings.Replace(s, "list of", fmt.Sprintf("list of %d", o.Count), 1)
	}
	if o.Range != "" {
		low, high, _ := strings.Cut(o.Range, "..")
		switch {
		case high == "":
			s += ", from " + low
		case low == "":
			s += ", up to " + high
		default:
			s += ", " + low + " to " + high
		}
		if o.Unit != "" {
			s += " " + o.Unit
		}
	} else if o.Unit != "" {
		s += ", " + o.Unit
	}
	if len(o.Choices) > 0 {
		s += ": " + strings.Join(o.Choices, ", ")
	}
	return s
}
