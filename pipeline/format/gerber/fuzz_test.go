package gerber

import (
	"bytes"
	"testing"

	"github.com/stretchr/testify/require"
)

// FuzzRead holds three things: no input panics or takes unbounded work; what is read can be written,
// and reading that gives the same image; writing it once more gives the same bytes.
func FuzzRead(f *testing.F) {
	for _, s := range seeds {
		f.Add([]byte(s))
	}
	for _, s := range specFacts() {
		f.Add([]byte(s.file()))
	}
	f.Fuzz(func(t *testing.T, data []byte) {
		m, _, err := Read("fuzz.gbr", data, Options{MaxObjects: 5000, DefaultUnit: UnitMM, DefaultFormat: &NumberFormat{XWhole: 3, XPart: 4, YWhole: 3, YPart: 4}})
		if err != nil {
			require.NotEmpty(t, err.Error())
			return
		}
		var b, c bytes.Buffer
		require.NoError(t, Write(&b, Header{Attributes: m.Attributes}, []Piece{{Image: m}}))
		again, _, err := Read("again.gbr", b.Bytes(), Options{})
		require.NoError(t, err)
		require.Equal(t, "", difference(m, again))
		require.NoError(t, Write(&c, Header{Attributes: again.Attributes}, []Piece{{Image: again}}))
		require.Equal(t, b.String(), c.String())
	})
}

// seeds touch every statement once.
var seeds = []string{
	"%FSLAX46Y46*%\n%MOMM*%\n%ADD10C,0.5X0.2*%\nD10*\nX1000000Y2000000D03*\nM02*\n",
	"%FSTAX23Y23*%%MOIN*%%ADD11R,.05X.02*%G54D11*X1Y1D02*G01X2Y15D01*X3D01*M02*",
	"%FSAX24Y24*%G70*%ADD12O,0.05X0.03*%%ADD13P,0.1X6X22.5X0.03*%D13*G55X010000Y010000D03*D12*Y020000*M00*",
	"%FSLAX34Y34*%%MOMM*%%ADD10C,0*%D10*G75*X0Y0D02*G03X0Y0I10000J0D01*G74*G02X5000Y5000I5000J0D01*G01*M02*",
	"%FSLAX34Y34*%%MOMM*%%TA.AperFunction,Conductor*%G36*X0Y0D02*G01X10000D01*G75*G03Y10000I0J5000D01*G01X0D01*Y0D01*X2Y2D02*X3D01*Y3D01*G37*%TD*%M02*",
	"%FSLAX34Y34*%%MOMM*%%AMA*0 note*1,1,$1,0.1,0,30*20,1,.1,0,0,1,1,45*21,0,.2,.1,0,0,$2*22,1,1,1,0,0*4,1,3,0,0,1,0,1,1,0,0,10*5,1,8,0,0,1.08239X$1,22.5*6,0,0,2,.1,.1,3,.05,2,5*7,0,0,2,1,.2,5*$3=($1-0.1)/-2x3*1,$2,$3+1,0,0*%%ADD10A,0.5X1*%D10*X0Y0D03*M02*",
	"%FSLAX34Y34*%%MOMM*%%ADD10R,1X0.2*%%LMX*%%LR30*%%LS0.5*%D10*X0Y0D03*X10000D02*X20000Y10000D01*%LMXY*%%LR90*%X0Y0D01*M02*",
	"%FSLAX34Y34*%%MOMM*%%ADD10C,1*%%SRX3Y2I5J4*%D10*X0Y0D03*%LPC*%X1Y1D03*G36*X0Y0D02*X1D01*Y1D01*G37*%SR*%M02*",
	"%FSLAX34Y34*%%MOMM*%%ADD10R,1X2*%%ABD11*%D10*X0Y0D03*X10000D01*%ABD12*%X0Y0D02*X1Y9D01*%AB*%D12*%LPC*%X3Y3D03*%AB*%%LR45*%%LS2*%%LMY*%D11*X100Y100D03*M02*",
	"%TF.FileFunction,Copper,L1,Top*%\nG04 #@! TF.Part,Single*\n%FSLAX46Y46*%\n%MOMM*%\nG04 #@! TA.AperFunction,SMDPad,CuDef*\n%ADD10C,1*%\n%TD*%\n%TO.N,caf\\u00E9\\,*%\n%TO.C,R1*%\nD10*\nX0Y0D03*\n%TD.N*%\n%TO.P,R1,1*%\nX1Y1D03*\nM02*",
	"%ASAXBY*OFA1B2*SFA1.5B1.5*MIA1B0*IR90*IPPOS*%%FSLIN2X33Y33*%%MOIN*%%INx*LNy*%%ADD10R,.1X.2X.01X.01*%N1G91*D10*X10Y10D03*X10D02*G75*G02X5Y5I5J0D01*",
	"%FSLAX34Y34*%%MOMM*%%ADD10C,1*%%ABD10*%D10*X0Y0D03*%AB*%D10*X5Y5D03*D99*%ADD99C,2*%X1Y1D03*M02*",
	"%FSLAX34Y34*%%MOMM*%%IPNEG*%%ASAYBX*%%SFA2B1*%%ADD10R,2X1*%D10*%KOCX0Y0I1J1*%X1Y1D03*%KODK.1*%G75*G03X10Y10I5J5D01*%MIA1*%%SRX2Y1I3J0*%%KOCK1*%X5Y5D03*%SR*%%PFx*%M02*",
	// Found by fuzzing: a tiny arc without a centre, a pen without size, a sweep that leaves the limit, a
	// macro of nothing mirrored, a knockout of nothing.
	"%ADD10C,0*%D10G2X01D1*",
	"%AMFLAG*%%ADD10FLAG*%D10*%LMX*%D1*",
	"%ADD10R,0X0*%D10D1*%KOCK0*%X0*",
	"%FSLAX34Y34*%%MOMM*%%SFA0.001B1*%%KODX0Y0I0.0001J1*%M02*",
	"%ADD10R,0X0*LR001*%D10D1*",
	"%FSLAX46Y46*%%MOMM*%%ADD10R,2X2*%%LR5*%D10*X1000000000Y0D02*D01*",
}
