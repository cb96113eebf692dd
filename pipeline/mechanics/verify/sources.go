package verify

// Source is where a reference comes from.
type Source string

// The sources.
const (
	navier Source = "Navier's double series, summed here (S. Timoshenko, S. Woinowsky-Krieger, Theory of Plates and Shells, 2nd ed. 1959, " +
		"art. 30; orthotropic: art. 85; formulas from memory). For one material it rounds to the figures of Roark's Formulas for Stress and Strain, " +
		"table 11.4 case 1a (excerpt scribd 248898958), which a test holds it to"
	ritz Source = "the Ritz method with products of polynomials, solved by a test of package verify, which finds the digits given here; no print was read. " +
		"Clamped plates: Timoshenko, Woinowsky-Krieger, table 35, agrees to about 1 % (from memory)"
	exact Source = "exact: λ = π² (m² + n²) (A. W. Leissa, J. Sound Vib. 31, 1973; from memory)"
	modes Source = "the Ritz method as before, which gives upper bounds, lower than those in print: clamped 35.99 (Leissa 1973, from memory), " +
		"held at one side 3.492, 8.525, 21.43, 27.33, free 13.49, 19.79, 24.43, 35.02 (Code_Aster validation manual V2.03.001)"
	turned  Source = "the elastic constants of a layer turned by an angle (R. M. Jones, Mechanics of Composite Materials; formula from memory)"
	quoted  Source = "a figure quoted without its test in a forum (forum.solidworks.com 11722): 17.9 and 17.2 GPa along the weave, 8.3 GPa at 45°"
	statics Source = "statics: what does not depend on stiffness"
	theory  Source = "the element's published order (J.-L. Batoz, K.-J. Bathe, L.-W. Ho 1980; from memory)"
	layered Source = "classical laminate theory for layers that lie alike above and below, D = Σ Q (z₁³ − z₀³)/3, and for one-sided copper the transformed section (Jones; from memory)"
	mindlin Source = "Navier's series with shear, each term times 1 + D k²/(κ G t), edges' normals held against turning along them (R. D. Mindlin, J. Appl. Mech. 18, 1951; from memory)"
	beams   Source = "beam theory: slope M ∫ds/EI, deflection F l³/3EI + 6/5 F l/GA; the torsion constant of a square 0.1406 b⁴ (Timoshenko, Strength of Materials; from memory)"
)
