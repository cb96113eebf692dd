//go:build race && unix

package child

// raced: the detector's own memory is many times the program's.
const raced = true
