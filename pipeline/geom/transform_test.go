package geom

import (
	"math"
	"math/rand/v2"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

func TestTransform(t *testing.T) {
	p := Pt(30, 10)
	for turn, want := range map[Angle]Point{0: {30, 10}, Quarter: {-10, 30}, Half: {-30, -10}, 3 * Quarter: {10, -30}, FullTurn: {30, 10}, -Quarter: {10, -30}} {
		assert.Equal(t, want, Transform{Turn: turn}.Apply(p), "%s", turn)
	}
	assert.Equal(t, Pt(1_000_000+5, 1_732_051+7), Transform{Turn: 60 * Degree, Shift: Pt(5, 7)}.Apply(Pt(2_000_000, 0))) // cos 60° = ½, sin 60° = √3/2
	assert.True(t, Transform{}.Identity())
	assert.True(t, Transform{Turn: FullTurn}.Identity())
	assert.False(t, Transform{Shift: Pt(1, 0)}.Identity())
}

// A thousand quarter turns with their inverses leave a point where it was, exactly; other angles come
// back to the nanometre.
func TestTransformInverse(t *testing.T) {
	r := rand.New(rand.NewPCG(26, 27))
	pt := func() Point { return Pt(Length(r.Int64N(2e9)-1e9), Length(r.Int64N(2e9)-1e9)) }
	for range 1000 {
		q := Transform{Turn: Angle(r.IntN(4)) * Quarter, Shift: pt()}
		p := pt()
		require.Equal(t, p, q.Inverse().Apply(q.Apply(p)))
		u := Transform{Turn: Angle(r.IntN(4)) * Quarter, Shift: pt()}
		require.Equal(t, u.Apply(q.Apply(p)), q.Then(u).Apply(p))

		odd := Transform{Turn: Angle(r.Int64N(int64(FullTurn))), Shift: pt()}
		require.LessOrEqual(t, odd.Inverse().Apply(odd.Apply(p)).Distance(p), 2.2)
		require.InDelta(t, p.Norm(), Transform{Turn: odd.Turn}.Apply(p).Norm(), 0.75)
	}
}

func TestTransformKeepsOutline(t *testing.T) {
	o := Outline{Outer: rect(0, 0, 10, 5), CutOuts: []Path{RoundedRectangle(Box{mm(2, 2), mm(4, 4)}, 500*UM).Reverse()}}
	tr := Transform{Turn: 33 * Degree, Shift: mm(100, -20)}
	q := tr.Outline(o)
	assert.InDelta(t, o.Outer.Area(), q.Outer.Area(), 1e7*2)
	assert.InDelta(t, o.CutOuts[0].Area(), q.CutOuts[0].Area(), 1e7)
	assert.Equal(t, Outside, q.Locate(tr.Apply(mm(3, 3))))
	assert.Equal(t, Inside, q.Locate(tr.Apply(mm(1, 1))))
	assert.Equal(t, Box{mm(-5, 0), mm(0, 10)}, Transform{Turn: Quarter}.Box(o.Box()))
	assert.True(t, Transform{Turn: 33}.Box(EmptyBox()).Empty())
}

func TestLengthsInWords(t *testing.T) {
	for l, want := range map[Length]string{0: "0 mm", 1: "0.000001 mm", -1_500_000: "-1.5 mm", 1000 * MM: "1000 mm", -30: "-0.00003 mm", math.MinInt64: "-9223372036854.775808 mm"} {
		assert.Equal(t, want, l.String())
	}
	assert.Equal(t, "(1.5, -2)", mm(1.5, -2).String())
	assert.Equal(t, "22.5 deg", (22*Degree + Degree/2).String())
}

func TestMulDiv(t *testing.T) {
	assert.Equal(t, int64(3), MulDiv(5, 1, 2)) // 2.5 away from zero
	assert.Equal(t, int64(-3), MulDiv(-5, 1, 2))
	assert.Equal(t, int64(1<<61), MulDiv(1<<61, 1<<61, 1<<61))
	assert.Equal(t, int64(math.MinInt64+1), MulDiv(math.MinInt64+1, 7, 7))
}

func TestParseAngle(t *testing.T) {
	for s, want := range map[string]Angle{"90": Quarter, " -22.5 ": -22*Degree - Degree/2, "0.0000004": 0, "0.0000005": 1, "+360": FullTurn} {
		got, err := ParseAngle(s)
		require.NoError(t, err, s)
		assert.Equal(t, want, got, s)
	}
	for _, s := range []string{"", "1e3", "nan", "inf", "0x10", "1_000", "--1", "12345678901234567890"} {
		_, err := ParseAngle(s)
		assert.Error(t, err, s)
	}
}
