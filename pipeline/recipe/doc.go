// Package recipe reads recipes and standards: HCL files become a checked, ordered list of stage
// calls, or a list of every mistake in them, each with its source line and what to do about it.
package recipe
