// Package mechanics holds what is reckoned of panels against an outside finite-element program: Debian's calculix-ccx.
//
// The outside model is another one wherever that matters: not a thin plate but the solid panel, quadratic wedges (15
// nodes) with the perforations meshed as holes and the score lines as grooves, and the elastic constants of the
// laminate in all three directions, transverse shear too. What both share is the panel's material, the sections'
// stiffness and mass, and how the panel is carried.
package mechanics
