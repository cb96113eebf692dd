package netlist

import (
	"bytes"
	"errors"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"panelwright/pipeline/format"
	"panelwright/pipeline/geom"
	"panelwright/pipeline/panel"
)

const gauge = `C  RG-1042, revision C
P  JOB   RG-1042
P  UNITS CUST 0
P  NNAME1  /level/a_net_with_a_long_name
317GND              VIA   -     D0118PA00X+012345Y-000100X0236Y0000R000 S3
327NNAME1           U1    -12         A01X+010000Y+020000X0118Y0591R090 S2
367N/C              H1    -1    D1260UA00X+000000Y+000000X1260Y0000R000
378GND              L1 D0080 X+012345Y-000100
999
`

func TestRead(t *testing.T) {
	n, err := Read("gauge.ipc", []byte(gauge))
	require.NoError(t, err)
	const u = geom.Inch / 10_000
	assert.Equal(t, &panel.Netlist{Source: "gauge.ipc", Points: []panel.NetPoint{
		{Net: "GND", Via: true, At: geom.Pt(12345*u, -100*u), Drill: 118 * u, Plated: true, Width: 236 * u, Mask: 3},
		{Net: "/level/a_net_with_a_long_name", Refdes: "U1", Pin: "12", At: geom.Pt(geom.Inch, 2*geom.Inch), Access: 1,
			Width: 118 * u, Height: 591 * u, Turn: geom.Quarter, Mask: 2},
		{Refdes: "H1", Pin: "1", Drill: 1260 * u, Width: 1260 * u, Mask: -1},
	}}, n)
}

// The columns are those of the standard, from memory: this line is laid out with a ruler.
func TestColumns(t *testing.T) {
	//       0         1         2         3         4         5         6         7
	//       01234567890123456789012345678901234567890123456789012345678901234567890123456789
	line := "317A-NET-OF-14-CH   REFDES-PIN4MD9999PA02X-123456Y+654321X1111Y2222R359 S1"
	n, err := Read("ruler.ipc", []byte("P  UNITS CUST 1\n"+line+"\n999\n"))
	require.NoError(t, err)
	assert.Equal(t, []panel.NetPoint{{Net: "A-NET-OF-14-CH", Refdes: "REFDES", Pin: "PIN4", Drill: 9_999_000, Plated: true, Access: 2,
		At: geom.Pt(-123_456_000, 654_321_000), Width: 1_111_000, Height: 2_222_000, Turn: 359 * geom.Degree, Mask: 1}}, n.Points)
}

func TestUnits(t *testing.T) {
	for units, want := range map[string]geom.Length{"CUST 0": 2540, "CUST": 2540, "CUST 1": 1000, "SI": 1000, "CUST 2": 2540} {
		n, err := Read("u.ipc", []byte("P  UNITS "+units+"\n327GND              R1    -1          A01X+000001Y+000000\n999\n"))
		require.NoError(t, err, units)
		assert.Equal(t, want, n.Points[0].At.X, units)
	}
}

// Blanks for zeros, letters without a number, and the mask code a column early are all met.
func TestLoose(t *testing.T) {
	n, err := Read("u.ipc", []byte("P  UNITS CUST 0\n317GND              VIA   -     D  30PA00X 026000Y- 11500X 600Y    R  0S3\n999\n"))
	require.NoError(t, err)
	const u = geom.Inch / 10_000
	assert.Equal(t, []panel.NetPoint{{Net: "GND", Via: true, At: geom.Pt(26000*u, -11500*u), Drill: 30 * u, Plated: true, Width: 600 * u, Mask: 3}}, n.Points)
}

func TestContinued(t *testing.T) {
	n, err := Read("u.ipc", []byte("P  UNITS SI\r\n317GND              R1    -1    D0100PA01X+000001Y+000000\r\n027                                   A02X+000001Y+000000X0100Y0000\r\n999\r\n"))
	require.NoError(t, err)
	require.Len(t, n.Points, 2)
	assert.Equal(t, panel.NetPoint{Net: "GND", Refdes: "R1", Pin: "1", Access: 2, At: geom.Pt(1000, 0), Width: 100_000, Mask: -1}, n.Points[1])
}

func TestFaults(t *testing.T) {
	const rec = "327GND              R1    -1          A01X+000001Y+000000X0100Y0100R000"
	for _, c := range []struct{ name, text, want string }{
		{"empty", "", "a.ipc:1:1: this is not a netlist: there is neither a unit nor a test record in it\n    export the netlist again, as IPC-D-356"},
		{"binary", "C\x00", "a.ipc:1:2: this is not a netlist: it holds binary data\n    C.\n    export the netlist again, as IPC-D-356"},
		{"prose", "Dear fabricator\n", "a.ipc:1:1: this is no record of a netlist\n    Dear fabricator\n    export the netlist again, as IPC-D-356"},
		{"no unit", rec + "\n", "a.ipc:1:1: the netlist does not say its unit\n    " + rec[:60] + "...\n    a line such as P  UNITS CUST 0 must come first: export the netlist again, as IPC-D-356"},
		{"odd unit", "P  UNITS ELL\n", "a.ipc:1:1: the unit \"ELL\" is not known\n    P  UNITS ELL\n    the units known are CUST 0, CUST 1, CUST 2 and SI"},
		{"cut off", "P  UNITS SI\n" + rec[:48] + "\n", "a.ipc:2:1: this test record has no place: X belongs in column 42, Y in column 50\n    " + rec[:48] + "\n    the file may have been cut off: export the netlist again, as IPC-D-356"},
		{"no end", "P  UNITS SI\n" + rec + "\n", "a.ipc:3:1: the netlist does not end with 999\n    the file may have been cut off: export the netlist again, as IPC-D-356"},
		{"shifted", "P  UNITS SI\n" + rec[:20] + rec[21:] + "\n", "a.ipc:2:39: column 39 of a test record should be A or blank\n    327GND              1    -1          A01X+000001Y+000000X0100Y0100R000\n    export the netlist again, as IPC-D-356"},
		{"no number", "P  UNITS SI\n" + rec[:62] + "Y01O0\n", "a.ipc:2:64: \"01O0\" is no number behind Y\n    ...GND              R1    -1          A01X+000001Y+000000X0100Y01O0\n    export the netlist again, as IPC-D-356"},
		{"far", "P  UNITS CUST 0\n" + rec[:42] + "+999999" + rec[49:] + "\n999\n", "a.ipc:2:42: the point lies more than 1000 mm from the origin\n    327GND              R1    -1          A01X+999999Y+000000X0100Y0100R000\n    check the unit"},
		{"radians", "P  UNITS CUST 2\n" + rec[:68] + "090\n999\n", "a.ipc:2:69: turns in radians are not supported\n    ...            R1    -1          A01X+000001Y+000000X0100Y0100R090\n    export the netlist in millimetres (CUST 1) or inches with degrees (CUST 0)"},
		{"two names", "P  NNAME1  a\nP  NNAME1  b\n", "a.ipc:2:1: NNAME1 is given two names\n    P  NNAME1  b\n    export the netlist again, as IPC-D-356"},
	} {
		t.Run(c.name, func(t *testing.T) {
			_, err := Read("a.ipc", []byte(c.text))
			assert.EqualError(t, err, c.want)
		})
	}
}

func TestWrite(t *testing.T) {
	points := []Point{
		{panel.NetPoint{Net: "A1/GND", Via: true, At: geom.Pt(12_345_678, -1_000_500), Drill: 300_000, Plated: true, Width: 600_000, Mask: 3}},
		{panel.NetPoint{Net: "A1//level/a_net_with_a_long_name", Refdes: "CONN1234", Pin: "12345", At: geom.Pt(0, 0), Access: 2, Width: 1_000_000, Height: 500_000, Turn: 89_600_000, Mask: -1}},
		{panel.NetPoint{Refdes: "H1", At: geom.Pt(999*geom.MM, 0), Drill: 3_200_000, Mask: -1}},
	}
	var b bytes.Buffer
	require.NoError(t, Write(&b, "gauge-12up revision C", points))
	assert.Equal(t, `C  gauge-12up revision C
P  UNITS CUST 1
P  NNAME1  A1//level/a_net_with_a_long_name
317A1/GND           VIA         D0300PA00X+012346Y-001001X0600Y0000R000 S3
327NNAME1           CONN12-1234       A02X+000000Y+000000X1000Y0500R090
367N/C              H1          D3200UA00X+999000Y+000000X0000Y0000R000
999
`, b.String())
	assert.True(t, Looks(b.Bytes()))

	back, err := Read("panel.ipc", b.Bytes())
	require.NoError(t, err)
	assert.Equal(t, geom.Pt(12_346_000, -1_001_000), back.Points[0].At)
	assert.Equal(t, points[1].Net, back.Points[1].Net)
	assert.Equal(t, "", back.Points[2].Net)

	t.Run("a wide hole makes inches", func(t *testing.T) {
		var b bytes.Buffer
		require.NoError(t, Write(&b, "", []Point{{panel.NetPoint{Net: "GND", Drill: 12_700_000, Mask: -1}}}))
		assert.Equal(t, "P  UNITS CUST 0\n367GND                          D5000UA00X+000000Y+000000X0000Y0000R000\n999\n", b.String())
	})
	t.Run("refused", func(t *testing.T) {
		for want, p := range map[string]panel.NetPoint{
			`the net name "a\nb" cannot be written`:                                               {Net: "a\nb"},
			`the test point of net "a" at (1001, 0) mm lies more than 1000 mm from the origin`:    {Net: "a", At: geom.Pt(1001*geom.MM, 0)},
			`the test point of net "a" at (1000, 0) mm lies beyond the six digits of the netlist`: {Net: "a", At: geom.Pt(1000*geom.MM, 0)},
		} {
			assert.EqualError(t, Write(&bytes.Buffer{}, "", []Point{{p}}), want)
		}
	})
}

func TestLooks(t *testing.T) {
	assert.True(t, Looks([]byte(gauge)))
	for _, s := range []string{"", "M48\nINCH\n", "317 things to do\n", "%FSLAX46Y46*%\n", "Ref,X,Y\n"} {
		assert.False(t, Looks([]byte(s)), s)
	}
}

// FuzzRead holds the reader to this: no panic, no hang, a mistake is a Fault, and what is written is
// read and written again unchanged.
func FuzzRead(f *testing.F) {
	f.Add([]byte(gauge))
	f.Add([]byte("P  UNITS SI\r\n317GND              R1    -1    D0100PA01X+000001Y+000000\r\n027                                   A02X+000001Y+000000X0100Y0000\r\n999\r\n"))
	f.Fuzz(func(t *testing.T, data []byte) {
		Looks(data)
		n, err := Read("fuzz.ipc", data)
		if err != nil {
			var fault *format.Fault
			if !errors.As(err, &fault) {
				t.Fatalf("not a fault: %v", err)
			}
			return
		}
		write := func(n *panel.Netlist) []byte {
			var points []Point
			for _, p := range n.Points {
				points = append(points, Point{p})
			}
			var b bytes.Buffer
			if err := Write(&b, "", points); err != nil {
				t.Skip(err)
			}
			return b.Bytes()
		}
		first := write(n)
		back, err := Read("again.ipc", first)
		if err != nil {
			t.Fatalf("what was written is not read: %v\n%s", err, first)
		}
		if len(back.Points) != len(n.Points) {
			t.Fatalf("%d points became %d", len(n.Points), len(back.Points))
		}
		for i := range n.Points {
			if n.Points[i].Net != back.Points[i].Net {
				t.Fatalf("net %q became %q", n.Points[i].Net, back.Points[i].Net)
			}
		}
		if second := write(back); !bytes.Equal(first, second) {
			t.Fatalf("written\n%s\nthen\n%s", first, second)
		}
	})
}
