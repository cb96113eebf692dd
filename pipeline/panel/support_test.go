package panel

import (
	"reflect"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"panelwright/pipeline/geom"
)

// supported is a panel of one board that is carried by pins.
func supported(t *testing.T) Panel {
	t.Helper()
	b := &Board{Name: "weir", Outline: geom.Outline{Outer: geom.Rectangle(geom.Box{Max: geom.Pt(60*geom.MM, 40*geom.MM)})}}
	sag := 0.75
	p, err := Panel{}.Edit().AddBoard(b).AddCopy(Copy{ID: "A1", Board: b}).FitOutline().SetSupport(Support{Carried: ByPins, MostSag: &sag,
		Pins: []geom.Point{geom.Pt(geom.MM, geom.MM), geom.Pt(59*geom.MM, geom.MM), geom.Pt(30*geom.MM, 39*geom.MM)}}).Build()
	require.NoError(t, err)
	return p
}

// Whoever reads or states how a panel is carried changes nothing of the panel by changing what he holds.
func TestSupportIsItsPanelsOwn(t *testing.T) {
	p := supported(t)
	s := p.Support()
	s.Pins[0], *s.MostSag = geom.Point{}, 9
	assert.Equal(t, geom.Pt(geom.MM, geom.MM), p.Support().Pins[0])
	assert.Equal(t, 0.75, *p.Support().MostSag)
	assert.Nil(t, Panel{}.Support())
}

// A rail to the left and below moves the pins with the boards: they are where they were on them.
func TestPinsMoveWithTheBoards(t *testing.T) {
	p := supported(t)
	q, err := p.Edit().LayRails([]RailSide{Lower, Left}, 10*geom.MM, 2*geom.MM, 0, false).Build()
	require.NoError(t, err)
	assert.Equal(t, geom.Pt(13*geom.MM, 13*geom.MM), q.Support().Pins[0])
	assert.Equal(t, geom.Pt(geom.MM, geom.MM), p.Support().Pins[0], "the panel before")
}

func TestCarriedSides(t *testing.T) {
	lying, upright := []RailSide{Upper, Lower}, []RailSide{Left, Right}
	for _, c := range []struct {
		name          string
		width, height geom.Length
		rails         []RailSide
		want          []RailSide
	}{
		{"no rails, broad", 60, 40, nil, lying},
		{"no rails, high", 40, 60, nil, upright},
		{"rails at left and right of a broad panel", 60, 40, upright, upright},
		{"rails above and below a high panel", 40, 90, lying, lying},
		{"a frame", 40, 90, []RailSide{Left, Right, Upper, Lower}, lying},
		{"one rail", 40, 90, []RailSide{Upper}, lying},
	} {
		b := &Board{Name: "weir", Outline: geom.Outline{Outer: geom.Rectangle(geom.Box{Max: geom.Pt(c.width*geom.MM, c.height*geom.MM)})}}
		e := Panel{}.Edit().AddBoard(b).AddCopy(Copy{ID: "A1", Board: b}).FitOutline()
		if c.rails != nil {
			e.LayRails(c.rails, 5*geom.MM, 2*geom.MM, 0, false)
		}
		p, err := e.Build()
		require.NoError(t, err)
		assert.Equal(t, c.want, p.CarriedSides(), c.name)
	}
}

// Every constant of a laminate is listed, once.
func TestLaminateFiguresAreAll(t *testing.T) {
	var l Laminate
	seen := map[*Constant]bool{}
	for _, f := range LaminateFigures() {
		assert.False(t, seen[f.Of(&l)], f.Key)
		seen[f.Of(&l)] = true
	}
	n := 0
	for i := range reflect.TypeFor[Laminate]().NumField() {
		if reflect.TypeFor[Laminate]().Field(i).Type == reflect.TypeFor[Constant]() {
			n++
		}
	}
	assert.Len(t, seen, n)
}

func TestSupportIsWrittenOneConstantALine(t *testing.T) {
	p := supported(t)
	s := p.Support()
	s.Warp, s.Force, s.ElasticWarp = "y", Constant{5, "N", "from memory"}, Constant{24.3, "GPa", "a datasheet"}
	p, err := p.Edit().SetSupport(*s).Build()
	require.NoError(t, err)
	text, err := p.Data("p", "A")
	require.NoError(t, err)
	assert.Contains(t, string(text), `
  "support": {"carried":"pins","pins_mm":[[1,1],[59,1],[30,39]],"force_newton":5,"force_source":"from memory","warp":"y","open_mesh_mm":0,"fine_mesh_mm":0,"most_sag_percent":0.75},
  "laminate": [
    {"name":"elastic_warp","value":24.3,"unit":"GPa","source":"a datasheet"},
    {"name":"elastic_fill","value":0},
`)
}
