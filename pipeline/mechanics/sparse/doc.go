// Package sparse solves large sparse symmetric systems directly, with the same digits on every processor.
package sparse
