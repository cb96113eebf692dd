package gerber

import (
	"strings"
	"testing"

	"github.com/stretchr/testify/require"

	"panelwright/pipeline/panel/artwork"
)

// attached gives what an object carries, as text: attributes of its own, then those of its aperture or
// region.
func attached(m *artwork.Image, i int) string {
	o := m.Objects[i]
	set := o.AperSet
	if o.Kind != artwork.Fill {
		set = m.Apertures[o.Aperture].Set
	}
	return inWords(m.Sets[o.Set]) + " / " + inWords(m.Sets[set])
}

func inWords(list artwork.Attributes) string {
	var out []string
	for _, a := range list {
		out = append(out, strings.Join(append([]string{a.Name}, a.Values...), ","))
	}
	return strings.Join(out, " ")
}

// Attributes: what they are attached to, and until when.
func TestSpecAttributes(t *testing.T) {
	const region = "G36*X0Y0D02*G01X1000D01*Y1000D01*X0Y0D01*G37*"
	for _, c := range []struct {
		of, data string
		file     string   // attributes of the file
		want     []string // of each object: own / of its aperture or region
	}{
		{"5.2 file attributes", "%TF.FilePolarity,Positive*%%TFMakerOfIt,a,b*%", ".FilePolarity,Positive MakerOfIt,a,b", nil},
		{"5.2 an attribute without a value", "%TF.SameCoordinates*%", ".SameCoordinates", nil},
		{"5.2 file attributes are not deleted", "%TF.Part,Single*%%TD*%%TD.Part*%", ".Part,Single", nil},
		{"5.1.1 attributes in comments", "G04 #@! TF.Part,Single*G04 #@! TA.AperFunction,ViaPad*%ADD10C,1*%G04 #@! TO.N,GND*D10*X0Y0D03*G04 #@! TD*X1Y0D03*", ".Part,Single",
			[]string{".N,GND / .AperFunction,ViaPad", " / .AperFunction,ViaPad"}},
		{"5.1.1 another comment is no attribute", "G04 TF.Part,Single*G04 # TF.Part,Single*", "", nil},
		{"5.3 an aperture takes what is in force when it is defined", "%TA.AperFunction,SMDPad,CuDef*%%ADD10C,1*%%TA.AperFunction,ViaPad*%%ADD11C,1*%D10*X0Y0D03*D11*X0Y0D03*", "",
			[]string{" / .AperFunction,SMDPad,CuDef", " / .AperFunction,ViaPad"}},
		{"5.3 an aperture defined before has nothing of it", "%ADD10C,1*%%TA.AperFunction,ViaPad*%D10*X0Y0D03*", "", []string{" / "}},
		{"5.3 what is in force when it is drawn with does not count", "%TA.AperFunction,ViaPad*%%ADD10C,1*%%TD.AperFunction*%D10*X0Y0D03*%TA.AperFunction,Conductor*%X1Y0D03*", "",
			[]string{" / .AperFunction,ViaPad", " / .AperFunction,ViaPad"}},
		{"5.3 several attributes in force", "%TA.AperFunction,ComponentPad*%%TAOfOurs,x*%%ADD10C,1*%D10*X0Y0D03*", "", []string{" / .AperFunction,ComponentPad OfOurs,x"}},
		{"5.3 a second value takes the first one's place", "%TA.AperFunction,ViaPad*%%TA.AperFunction,Conductor*%%ADD10C,1*%D10*X0Y0D03*", "", []string{" / .AperFunction,Conductor"}},
		{"5.3 a macro's aperture takes attributes as any other", "%AMA*1,1,1,0,0*%%TA.AperFunction,ViaPad*%%ADD10A*%D10*X0Y0D03*", "", []string{" / .AperFunction,ViaPad"}},
		{"5.3.1 a region takes aperture attributes in force when it is made", "%TA.AperFunction,Conductor*%" + region + "%TD.AperFunction*%" + region, "",
			[]string{" / .AperFunction,Conductor", " / "}},
		{"5.3.1 a region has nothing of the aperture selected", "%TA.AperFunction,ViaPad*%%ADD10C,1*%%TD*%D10*" + region, "", []string{" / "}},
		{"5.4 objects take what is in force when they are made", "%ADD10C,1*%D10*%TO.N,GND*%X0Y0D03*%TO.N,VCC*%X1Y0D02*G01X2D01*" + region + "%TD.N*%X0Y0D03*", "",
			[]string{".N,GND / ", ".N,VCC / ", ".N,VCC / ", " / "}},
		{"5.4 several at once", "%ADD10C,1*%D10*%TO.N,GND*%%TO.C,R1*%%TO.P,R1,2*%X0Y0D03*", "", []string{".N,GND .C,R1 .P,R1,2 / "}},
		{"5.4 selecting or defining an aperture does not end them", "%ADD10C,1*%%TO.N,GND*%D10*X0Y0D03*%ADD11C,2*%D11*X0Y0D03*", "", []string{".N,GND / ", ".N,GND / "}},
		{"5.4 an object attribute does not go to apertures", "%TO.N,GND*%%ADD10C,1*%%TD*%D10*X0Y0D03*", "", []string{" / "}},
		{"5.4 copies carry what the first carries", "%ADD10C,1*%%SRX2Y1I5J0*%%TO.N,GND*%D10*X0Y0D03*%TD*%X1Y0D03*%SR*%", "", []string{".N,GND / ", " / ", ".N,GND / ", " / "}},
		{"5.5 TD with a name deletes that one", "%ADD10C,1*%D10*%TO.N,GND*%%TO.C,R1*%%TD.N*%X0Y0D03*", "", []string{".C,R1 / "}},
		{"5.5 TD without a name deletes all, of objects and of apertures", "%TA.AperFunction,ViaPad*%%TO.N,GND*%%TD*%%ADD10C,1*%D10*X0Y0D03*", "", []string{" / "}},
		{"5.5 TD leaves what is attached", "%TA.AperFunction,ViaPad*%%ADD10C,1*%%TO.N,GND*%D10*X0Y0D03*%TD*%X1Y0D03*", "", []string{".N,GND / .AperFunction,ViaPad", " / .AperFunction,ViaPad"}},
		{"5.5 TD of what is not there does nothing", "%ADD10C,1*%D10*%TO.N,GND*%%TD.C*%X0Y0D03*", "", []string{".N,GND / "}},
		{"5.4 an empty value is a value", "%ADD10C,1*%D10*%TO.N,*%X0Y0D03*", "", []string{".N, / "}},
		{"3.4.4 escapes of percent, star, comma and backslash", "%ADD10C,1*%D10*%TO.N,a\\u0025b\\u002Ac\\u002Cd\\u005Ce*%X0Y0D03*", "", []string{".N,a%b*c,d\\e / "}},
		{"3.4.4 escapes of letters, and letters as they are", "%ADD10C,1*%D10*%TO.N,\\u00B5A/µA*%X0Y0D03*", "", []string{".N,µA/µA / "}},
		{"3.4.4 blanks within a value stay", "%ADD10C,1*%D10*%TO.N,level low*%X0Y0D03*", "", []string{".N,level low / "}},
		{"3.4.4 names tell upper from lower case", "%TFName,a*%%TFname,b*%", "Name,a name,b", nil},
		{"5.1 attributes leave the image alone", "%ADD10C,1*%D10*%TA.AperFunction,ViaPad*%X0Y0D03*", "", []string{" / "}},
	} {
		t.Run(c.of, func(t *testing.T) {
			m, _, err := Read("t.gbr", []byte(metric+c.data+"M02*"), Options{})
			require.NoError(t, err)
			require.Equal(t, c.file, inWords(m.Attributes))
			require.Len(t, m.Objects, len(c.want))
			for i, w := range c.want {
				require.Equal(t, w, attached(m, i), "object %d", i)
			}
		})
	}
}
