package summary

import (
	"fmt"
	"math/rand/v2"
	"slices"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

func TestPartOf(t *testing.T) {
	t.Setenv("JOB_COMPLETION_INDEX", "3")
	t.Setenv("LINE", " 0\n")
	t.Setenv("EMPTY", "")
	t.Setenv("FOUR", "4")
	for _, c := range []struct {
		text string
		part Part
		want string
	}{
		{"0/1", Part{Index: 0, Of: 1}, ""},
		{"3/4", Part{Index: 3, Of: 4}, ""},
		{"9999/10000", Part{Index: 9999, Of: 10000}, ""},
		{"JOB_COMPLETION_INDEX/4", Part{Index: 3, Of: 4}, ""},
		{"LINE/4", Part{Index: 0, Of: 4}, ""},
		{"4/4", Part{}, "parts are counted from 0: those of 4 are 0/4 to 3/4"},
		{"1/1", Part{}, "parts are counted from 0, and 0/1 is the only one"},
		{"0/0", Part{}, "there is at least one part: 0/1 is all of it"},
		{"0/10001", Part{}, "10000 parts are the most"},
		{"0/99999999999999999999", Part{}, "10000 parts are the most"},
		{"99999999999999999999/4", Part{}, "parts are counted from 0: those of 4 are 0/4 to 3/4"},
		{"-1/4", Part{}, "a whole number from 0 to 3 is wanted before the slash"},
		{"one/4", Part{}, "a whole number from 0 to 3 is wanted before the slash"},
		{"1.0/4", Part{}, "a whole number from 0 to 3 is wanted before the slash"},
		{"01/4", Part{}, "a whole number from 0 to 3 is wanted before the slash"},
		{" 1/4", Part{}, "a whole number from 0 to 3 is wanted before the slash"},
		{"FOUR/4", Part{}, `the environment variable FOUR holds "4": parts are counted from 0: those of 4 are 0/4 to 3/4`},
		{"EMPTY/4", Part{}, `the environment variable EMPTY holds "": a whole number from 0 to 3 is wanted before the slash`},
		{"NOT_SET/4", Part{}, "the environment variable NOT_SET is not set; Kubernetes sets JOB_COMPLETION_INDEX, in the pods of a Job whose completionMode is Indexed"},
		{"", Part{}, "write it as INDEX/PARTS, counted from 0: 0/4, 1/4, 2/4 and 3/4 are the parts of 4"},
		{"1", Part{}, "write it as INDEX/PARTS"},
		{"1-of-4", Part{}, "write it as INDEX/PARTS"},
		{"/4", Part{}, "write it as INDEX/PARTS"},
		{"1/", Part{}, "write it as INDEX/PARTS"},
		{"1/4/4", Part{}, "write it as INDEX/PARTS"},
		{"1/-4", Part{}, "write it as INDEX/PARTS"},
		{"1/NOT_SET", Part{}, "write it as INDEX/PARTS"},
	} {
		p, err := PartOf(c.text)
		if c.want == "" {
			assert.NoError(t, err, c.text)
		} else {
			assert.ErrorContains(t, err, c.want, c.text)
		}
		assert.Equal(t, c.part, p, c.text)
	}
	assert.Equal(t, "3/4", Part{Index: 3, Of: 4}.String())
}

func someNames(n int) (names []string) {
	for i := range n {
		names = append(names, fmt.Sprintf("recipes/gauge-%05d.panel.hcl", i))
	}
	return names
}

// owners gives the part that takes each name, as it is cleaned, and requires that just one does.
func owners(t testing.TB, names []string, of int) map[string]int {
	t.Helper()
	at := map[string]int{}
	sizes := make([]int, of)
	for p := range of {
		takes := Part{Index: p, Of: of}.Takes(names)
		if len(takes) != len(names) {
			t.Fatalf("%d answers for %d names", len(takes), len(names))
		}
		for i, mine := range takes {
			name := cleanName(names[i])
			switch other, twice := at[name]; {
			case !mine:
			case !twice:
				at[name] = p
				sizes[p]++
			case other != p:
				t.Fatalf("%s is in parts %d and %d", name, other, p)
			}
		}
	}
	for _, n := range names {
		if _, ok := at[cleanName(n)]; !ok {
			t.Fatalf("no part takes %s", n)
		}
	}
	if slices.Max(sizes)-slices.Min(sizes) > 1 {
		t.Fatalf("parts are of unequal size: %d", sizes)
	}
	return at
}

// moved counts the names that are in another part than before.
func moved(before, after map[string]int) (n int) {
	for name, p := range after {
		if old, ok := before[name]; ok && old != p {
			n++
		}
	}
	return n
}

// Every name is in one part, whatever the order; parts differ by one at most; one name more or less moves at most one other over each
// cut. -v prints what moves.
func TestTakes(t *testing.T) {
	rng := rand.New(rand.NewPCG(3, 4))
	for _, of := range []int{1, 2, 3, 4, 5, 7, 8, 12, 16} {
		for _, n := range []int{1, 2, 3, 17, 100, 1000} {
			names := someNames(n)
			before := owners(t, names, of)
			mixed := slices.Clone(names)
			rng.Shuffle(n, func(i, j int) { mixed[i], mixed[j] = mixed[j], mixed[i] })
			require.Equal(t, before, owners(t, mixed, of))
			most, sum := 0, 0
			const tries = 4
			for i := range tries {
				changed := append(slices.Clone(names), fmt.Sprintf("recipes/new-%d.panel.hcl", i))
				if i%2 == 1 && n > 1 {
					gone := rng.IntN(n)
					changed = slices.Delete(slices.Clone(names), gone, gone+1)
				}
				m := moved(before, owners(t, changed, of))
				most, sum = max(most, m), sum+m
			}
			require.LessOrEqual(t, most, of-1, "%d names in %d parts", n, of)
			if n == 1000 {
				t.Logf("%2d parts of %d names: one more or less moves %d others at most, %.1f of them on average (%.2f %%)", of, n, most, float64(sum)/tries, 100*float64(sum)/tries/float64(n))
			}
		}
	}
	for _, of := range []int{2, 16} {
		many := someNames(10_000)
		require.LessOrEqual(t, moved(owners(t, many, of), owners(t, many[1:], of)), of-1)
	}
}

// The split is the same with every version of the program: these are part 0 of 3.
func TestTakesStays(t *testing.T) {
	var mine []string
	names := someNames(10)
	for i, takes := range (Part{Index: 0, Of: 3}).Takes(names) {
		if takes {
			mine = append(mine, names[i])
		}
	}
	assert.Equal(t, []string{"recipes/gauge-00004.panel.hcl", "recipes/gauge-00005.panel.hcl", "recipes/gauge-00007.panel.hcl"}, mine)
}

// Names that mean one recipe are one; recipes that share a board do not crowd in one part.
func TestTakesByName(t *testing.T) {
	names := append(someNames(7), "./recipes/gauge-00003.panel.hcl", "recipes//gauge-00004.panel.hcl", "recipes/gauge-00003.panel.hcl")
	for p := range 3 {
		takes := Part{Index: p, Of: 3}.Takes(names)
		assert.Equal(t, takes[3], takes[7])
		assert.Equal(t, takes[4], takes[8])
		assert.Equal(t, takes[3], takes[9])
	}
	split := Part{Index: 1, Of: 3}.Split(names)
	assert.Equal(t, 7, split.Recipes)
	assert.Equal(t, Part{Index: 1, Of: 3}.Split(someNames(7)), split)
	assert.NotEqual(t, Part{Index: 1, Of: 3}.Split(someNames(8)).Names, split.Names)

	var many []string
	for board := range 50 {
		for i := range 20 {
			many = append(many, fmt.Sprintf("recipes/board-%02d/panel-%02d.panel.hcl", board, i))
		}
	}
	at := owners(t, many, 4)
	crowd := 0
	for board := range 50 {
		var here [4]int
		for _, n := range many[board*20 : board*20+20] {
			here[at[n]]++
		}
		crowd = max(crowd, slices.Max(here[:]))
	}
	t.Logf("of 20 recipes of one board, at most %d of them are in one of 4 parts", crowd)
	assert.Less(t, crowd, 15)
}

func FuzzTakes(f *testing.F) {
	f.Add(uint16(10), uint8(3), "a")
	f.Add(uint16(0), uint8(1), "../a\\b//")
	f.Add(uint16(500), uint8(16), "\xff")
	f.Fuzz(func(t *testing.T, n uint16, parts uint8, odd string) {
		of := int(parts)%64 + 1
		names := append(someNames(int(n)%600), odd, odd+"/", "./"+odd)
		before := owners(t, names, of)
		slices.Reverse(names)
		require.Equal(t, before, owners(t, names, of))
		require.LessOrEqual(t, moved(before, owners(t, append(names, odd+"x"), of)), of-1)
	})
}
