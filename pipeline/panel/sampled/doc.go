// Package sampled draws layers on a grid of samples: a sample is set where its point is dark. It is for questions that
// an area worked out exactly would answer too slowly: how much of a layer is copper, and where two layers differ by more than
// their numbers' rounding.
//
// Where a row of samples enters and leaves an object is reckoned with no more than sums, products, quotients and square roots:
// the result is the same on every processor.
package sampled
