package pipeline

// Free is an option's value of any kind: a number, a text, true or false, a list, an object. Its zero is not set.
type Free struct {
	Text string // as a recipe would write it
	// JSON is the value for whoever reads JSON: lengths in millimetres and angles in degrees, as plain numbers.
	JSON string
}
