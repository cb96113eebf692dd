// Package run carries out a recipe: it calls the stages in order, records what they read and write,
// has the written files proved, and exchanges the finished build folder for the old one in one step.
//
// A build folder is a function of the recipe and its inputs alone. No clock, host, user, working
// folder, absolute path, map order or number of workers reaches its bytes.
package run
