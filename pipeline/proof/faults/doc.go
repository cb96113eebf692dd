// Package faults plants faults in the written files of finished builds and requires that the proof finds
// each, by the one rule that is meant for it and by no other. It holds tests only:
//
//	go test ./pipeline/proof/faults -run Planted -seed 7 -v
//
// plants ten faults of each of ten classes at places drawn by that seed, and prints a table. Faults are
// planted in the text of the files, as a slip of a hand, a disk or a program between the build and the
// fabricator would leave them; the panel's plan and the boards only tell where. Each build, and its files
// taken apart and put together again without a change, must pass the proof.
package faults
