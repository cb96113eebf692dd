// Package sparse solves large sparse symmetric systems directly, with the same digits on every processor.
//
// A system is added up from the blocks of elements (Builder, Matrix), put in an order that keeps its factor small (Order: nested
// dissection), prepared (Plan: elimination tree, dense fronts) and factorized as L Lᵀ (Factor: multifrontal). Then it
// solves (Solve), gives Gᵀ A⁻¹ G for many sparse columns (Gram) and finds the lowest eigenvalues (Lowest: block
// Lanczos). Matrices of the same pattern share a Plan. Source of the method: I. S. Duff, J. K. Reid, "The multifrontal solution of indefinite sparse
// symmetric linear systems", ACM Trans. Math. Softw. 9, 1983; J. W. H. Liu, "The multifrontal method for sparse matrix solution: theory
// and practice", SIAM Review 34, 1992.
//
// Digits: every product is rounded by itself before it is added, every sum has one order, and neither workers nor what is solved
// at the same time change it. testdata/digests.txt holds digests which arm64 (emulated) gives too.
//
// # Why a solver of our own
//
// Of direct solvers for such systems in Go only gonum's Cholesky factorization of a band is kept and served (v0.17.0; its kernels are
// assembly on amd64 and Go elsewhere, which leaves digits to the processor). "make bench-solver" holds both against each other on thin plates, three unknowns a node, in one run on one core. As measured
// with go1.26.8 on linux/amd64 (AMD EPYC, 2 cores, other work beside it), in milliseconds of processor time, the least of 5 runs; the band's
// factor has an estimate of the condition in it; the difference is the greatest of deflections, as a share of the greatest one:
//
//	system             unknowns          order, analysis  factor  one solution  together  numbers held  difference
//	square plate           4961  sparse              8.2     7.6           0.4      16.2        0.40 M
//	                             band                0.1   126.8           3.8     130.7        1.19 M
//	                             ratio                      16.7           9.5       8.1           2.9     1.6e-10
//	square plate          30098  sparse             48.2    73.6           5.4     127.2        3.27 M
//	                             band                0.7  3850.9          51.7    3903.3       17.88 M
//	                             ratio                      52.3           9.5      30.7           5.5     2.6e-08
//	strip                 29273  sparse             45.0    41.3           4.0      90.4        2.47 M
//	                             band                0.7  2364.5          19.4    2384.5        4.22 M
//	                             ratio                      57.2           4.8      26.4           1.7     1.6e-11
//	12 boards on tabs     25616  sparse             41.0    23.4           2.3      66.6        1.70 M
//	                             band                0.7  2636.2          43.6    2680.6       15.37 M
//	                             ratio                     112.7          19.2      40.2           9.1     1.3e-08
package sparse
