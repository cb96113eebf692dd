// Package bounds holds tests alone: every rule's limit, through recipe and written files. A board is written as
// layer, drill, placement and packages files, a recipe is carried out by all stages and the proof, and the
// findings are read from the report that was written.
//
// A case (see bound_test.go) is two panels, one just inside and one just outside a rule's limit, with the figure
// that the rule must give for the one outside: its hand calculation stands beside it. Whoever adds a rule adds
// a case, or a line in elsewhere_test.go that says where it is tested.
package bounds
