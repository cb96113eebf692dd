package compare

import "strings"

// ofSupport tells how the panel is carried otherwise than before. The constants of the laminate are a list of their own.
func (c *comparison) ofSupport(old, new string) {
	x := Change{Group: PanelGroup, Kind: Changed, rank: 70, Old: plainText(old), New: plainText(new)}
	a, b := rawFields(old), rawFields(new)
	how := func(of map[string]string) string {
		words := map[string]string{`"rails"`: "on two rails", `"pins"`: "on pins", `"one_rail"`: "held at one rail"}[of["carried"]]
		if words == "" {
			words = short(of["carried"], "")
		}
		if sides := short(of["sides"], ""); sides != "" {
			words += " (" + sides + ")"
		}
		return words
	}
	switch {
	case old == new:
		return
	case old == "":
		x.Text = "how the panel is carried is now said: " + how(b)
	case new == "":
		x.Text = "how the panel is carried is no longer said; before: " + how(a)
	default:
		var says []string
		if was, is := how(a), how(b); was != is {
			says = append(says, was+" → "+is)
		}
		says = append(says, fieldPhrases(a, b, "carried", "sides")...)
		x.Text = "the panel is carried otherwise: " + strings.Join(says, ", ")
	}
	c.add(x)
}
