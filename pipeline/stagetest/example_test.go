package stagetest_test

import (
	"fmt"

	"panelwright/pipeline/panel"
	"panelwright/pipeline/stagetest"
)

// Run holds the fingerprints of a panel before and after a stage against each other: it sees what nobody can reach from outside.
func ExampleFingerprint() {
	board := &panel.Board{Name: "staff", Finish: "tin"}
	before := stagetest.Fingerprint(board)
	board.Finish = "gold"
	fmt.Println(before == stagetest.Fingerprint(board))
	board.Finish = "tin"
	fmt.Println(before == stagetest.Fingerprint(board))
	// Output:
	// false
	// true
}
