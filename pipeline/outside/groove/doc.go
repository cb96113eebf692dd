// Package groove holds how much score lines yield in bending against CalculiX (Debian's calculix-ccx), a general program
// for finite elements, on meshes of the whole section that are made here.
package groove
