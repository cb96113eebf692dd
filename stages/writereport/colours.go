package writereport

// Colours of the pictures: our own; told apart by lightness too, so that they work for colour-blind eyes and in
// grey print. Perforations and score lines differ in shape as well.
const (
	ground     = "#ffffff" // where there is no material
	ink        = "#20303a"
	masked     = "#2b5f63" // laminate under mask
	track      = "#3f8281" // copper under mask
	laminate   = "#d8c79a" // laminate laid bare
	bareCopper = "#e9a93c"
	letters    = "#f7f4ea"
	railFilm   = "#9fa8a3"
	blankFilm  = "#5f8f86" // blank laminate that stays on a board
	holeRim    = "#0f2a3a"
	breakoff   = "#c8322b"
	scoreLine  = "#e6007a"
	solder     = "#c9ced6" // paste
	within     = "#8a5a2b" // copper of an inner layer
	bodyEdge   = "#101c22" // of parts
)
