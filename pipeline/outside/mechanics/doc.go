// Package mechanics holds what is reckoned of panels against an outside finite-element program: Debian's calculix-ccx.
//
// The outside model is another one wherever that matters: not plates and beams but the solid panel, quadratic wedges of
// fifteen nodes with the perforations meshed as holes, or quadratic bricks of twenty with score lines as V-grooves whose
// roots are modelled as such, and the elastic constants of the laminate in all three directions. What both share is the
// panel's material, the bending stiffness and mass of laminate with copper, square by square, and how the panel is carried.
package mechanics
