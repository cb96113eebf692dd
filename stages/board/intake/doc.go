// Package intake is the reading of one board's fabrication data: which file is what, whether they
// belong together, and the board that they make. The board stage and the survey share it.
//
// It collects every mistake before it gives up, so that one run shows all of them; and it accounts
// for every file: used, ignored with a reason, or refused.
package intake
