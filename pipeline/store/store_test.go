package store

import (
	"context"
	"fmt"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"gocloud.dev/blob"

	"panelwright/pipeline/run"
)

func TestPutAndFetch(t *testing.T) {
	eachPlace(t, func(t *testing.T, s *Store) {
		ctx := context.Background()
		found, err := s.Candidates(ctx, key)
		require.NoError(t, err)
		assert.Empty(t, found)
		made := newBuild(t, "G04 top*")
		require.NoError(t, s.Put(ctx, key, made.entry, made.dir))
		once := s.objects(t)
		require.NoError(t, s.Put(ctx, key, made.entry, made.dir))
		assert.Equal(t, once, s.objects(t), "to put it again changes nothing")
		assert.Len(t, once, 2)

		e := s.only(t)
		assert.Equal(t, made.entry.Asked, e.Asked)
		dir := t.TempDir()
		require.NoError(t, s.Fetch(ctx, key, e, dir))
		assert.Equal(t, tree(t, made.dir), tree(t, dir))

		other, err := s.Candidates(ctx, sumOf([]byte("another recipe")))
		require.NoError(t, err)
		assert.Empty(t, other)
	})
}

// TestManyBuilds: builds from other inputs stand beside one another, the latest are offered.
func TestManyBuilds(t *testing.T) {
	ctx := context.Background()
	s := New(places["memory"](t), "mem://")
	for i := range mostCandidates + 3 {
		made := newBuild(t, fmt.Sprint(i))
		require.NoError(t, s.Put(ctx, key, made.entry, made.dir))
	}
	found, err := s.Candidates(ctx, key)
	require.NoError(t, err)
	require.Len(t, found, mostCandidates)
	assert.Equal(t, sumOf(fmt.Append(nil, mostCandidates+2)), found[0].Asked[0].Answer, "the latest first")
}

// TestSameBytes: who packs a build packs the same archive, and what is asked may come in any order.
func TestSameBytes(t *testing.T) {
	a, b := newBuild(t, "x"), newBuild(t, "x")
	assert.Equal(t, a.archive(t), b.archive(t))
	b.entry.Asked[0], b.entry.Asked[3] = b.entry.Asked[3], b.entry.Asked[0]
	assert.Equal(t, a.entry.name(key), b.entry.name(key))
	b.entry.Asked[1].Answer = sumOf(nil)
	assert.NotEqual(t, a.entry.name(key), b.entry.name(key))
	assert.NotEqual(t, a.entry.name(key), a.entry.name(sumOf(nil)))
}

// TestNotKept: a folder that is not what its build has written is not kept, nor any part of it.
func TestNotKept(t *testing.T) {
	ctx := context.Background()
	for name, c := range map[string]struct {
		change func(b *build)
		want   string
	}{
		"a file changed":         {func(b *build) { put(t, b.dir, "fab/notes/read-first.txt", "score 0.5 mm deep\n") }, "fab/notes/read-first.txt has changed since it was built"},
		"a file longer":          {func(b *build) { put(t, b.dir, "report/empty.txt", "more") }, "report/empty.txt has changed since it was built"},
		"another manifest":       {func(b *build) { put(t, b.dir, run.ManifestName, "{}") }, "its manifest.json is not the one that the build has written"},
		"another panel":          {func(b *build) { b.entry.Panel = "probe" }, `its manifest.json is that of panel "gauge"`},
		"another supplier":       {func(b *build) { b.entry.Supplier = "acme" }, `not of "gauge" for "acme"`},
		"an input not asked":     {func(b *build) { b.entry.Asked = b.entry.Asked[1:] }, "was made from another ../boards/gauge/top.gbr than its entry says"},
		"an input asked of more": {func(b *build) { b.entry.Asked[1].Answer = sumOf(nil) }, "does not list ../boards/gauge/none.gbr, which its entry says that it read"},
	} {
		t.Run(name, func(t *testing.T) {
			s := New(places["memory"](t), "mem://")
			b := newBuild(t, "G04 top*")
			c.change(&b)
			assert.ErrorContains(t, s.Put(ctx, key, b.entry, b.dir), c.want)
			assert.Empty(t, s.objects(t))
		})
	}
	s := New(places["memory"](t), "mem://")
	b := newBuild(t, "G04 top*")
	for _, wrong := range []string{"", "../../x", strings.ToUpper(key), key[1:]} {
		assert.ErrorContains(t, s.Put(ctx, wrong, b.entry, b.dir), "is not 64 hexadecimal digits")
		_, err := s.Candidates(ctx, wrong)
		assert.ErrorContains(t, err, "is not 64 hexadecimal digits")
	}
}

// TestEntryLast: as long as the entry is not there, nothing is.
func TestEntryLast(t *testing.T) {
	ctx := context.Background()
	s := New(places["memory"](t), "mem://")
	b := newBuild(t, "G04 top*")
	require.NoError(t, s.Put(ctx, key, b.entry, b.dir))
	e := s.only(t)
	require.NoError(t, s.bucket.Delete(ctx, e.name(key)))
	found, err := s.Candidates(ctx, key)
	require.NoError(t, err)
	assert.Empty(t, found)
	require.NoError(t, s.Put(ctx, key, b.entry, b.dir), "what is left of a worker that was killed is no harm")
	assert.Equal(t, e, s.only(t))
}

// TestDamaged: whatever is wrong with what is kept is seen, told with its place, and mended by the next Put.
func TestDamaged(t *testing.T) {
	ctx := context.Background()
	type subject struct {
		bucket         *blob.Bucket
		entry, archive string
		e              Entry
	}
	rewrite := func(t *testing.T, b *blob.Bucket, name string, change func(data []byte) []byte) {
		data, err := b.ReadAll(ctx, name)
		require.NoError(t, err)
		require.NoError(t, b.WriteAll(ctx, name, change(data), nil))
	}
	replace := func(old, new string) func([]byte) []byte {
		return func(data []byte) []byte { return []byte(strings.ReplaceAll(string(data), old, new)) }
	}
	cases := map[string]struct {
		damage func(t *testing.T, x subject)
		want   string
	}{
		"archive lost": {func(t *testing.T, x subject) { require.NoError(t, x.bucket.Delete(ctx, x.archive)) }, "is not there"},
		"archive truncated": {func(t *testing.T, x subject) {
			rewrite(t, x.bucket, x.archive, func(data []byte) []byte { return data[:len(data)/2] })
		}, "and its entry says"},
		"archive longer": {func(t *testing.T, x subject) {
			rewrite(t, x.bucket, x.archive, func(data []byte) []byte { return append(data, 0) })
		}, "and its entry says"},
		"archive empty": {func(t *testing.T, x subject) {
			rewrite(t, x.bucket, x.archive, func(data []byte) []byte { return nil })
		}, "has 0 bytes"},
		"entry is garbage": {func(t *testing.T, x subject) {
			rewrite(t, x.bucket, x.entry, func(data []byte) []byte { return data[:len(data)/2] })
		}, "is not an entry"},
		"entry empty": {func(t *testing.T, x subject) { rewrite(t, x.bucket, x.entry, func([]byte) []byte { return nil }) }, "is not an entry"},
		"entry with more": {func(t *testing.T, x subject) {
			rewrite(t, x.bucket, x.entry, func(d []byte) []byte { return append(d, d...) })
		}, "is not an entry"},
		"entry of a later schema": {func(t *testing.T, x subject) { rewrite(t, x.bucket, x.entry, replace(`"schema": 1`, `"schema": 2`)) }, "schema 2"},
		"entry of other answers": {func(t *testing.T, x subject) {
			rewrite(t, x.bucket, x.entry, replace(sumOf([]byte("G04 top*")), sumOf([]byte("G04 old*"))))
		}, "another build"},
		"entry of another recipe": {func(t *testing.T, x subject) { rewrite(t, x.bucket, x.entry, replace(key, sumOf(nil))) }, "another build"},
		"entry leads elsewhere":   {func(t *testing.T, x subject) { rewrite(t, x.bucket, x.entry, replace(x.e.Archive, "../../etc/passwd")) }, "which archive"},
		"entry of another manifest": {func(t *testing.T, x subject) {
			rewrite(t, x.bucket, x.entry, replace(x.e.Manifest, sumOf(nil)))
		}, "holds another manifest.json than its entry says"},
		"archive of another build": {func(t *testing.T, x subject) {
			other := newBuild(t, "G04 old*").archive(t)
			require.NoError(t, x.bucket.WriteAll(ctx, x.archive, other, nil))
			rewrite(t, x.bucket, x.entry, replace(fmt.Sprintf(`"bytes": %d`, x.e.Bytes), fmt.Sprintf(`"bytes": %d`, len(other))))
		}, "holds another manifest.json than its entry says"},
	}
	for i := range 8 { // a bit flipped anywhere, header, files and end
		cases[fmt.Sprintf("bit flipped at %d of 8", i+1)] = struct {
			damage func(t *testing.T, x subject)
			want   string
		}{func(t *testing.T, x subject) {
			rewrite(t, x.bucket, x.archive, func(data []byte) []byte {
				data[(len(data)-1)*i/7] ^= 1
				return data
			})
		}, ""}
	}
	eachPlace(t, func(t *testing.T, s *Store) {
		made := newBuild(t, "G04 top*")
		for name, c := range cases {
			t.Run(name, func(t *testing.T) {
				require.NoError(t, s.Put(ctx, key, made.entry, made.dir))
				e := s.only(t)
				c.damage(t, subject{s.bucket, e.name(key), archiveName(e.Archive), e})
				found, err := s.Candidates(ctx, key)
				if err == nil {
					require.Len(t, found, 1)
					err = s.Fetch(ctx, key, found[0], t.TempDir())
				}
				var damaged *DamagedError
				require.ErrorAs(t, err, &damaged)
				assert.ErrorContains(t, err, "://builds/")
				assert.ErrorContains(t, err, c.want)
				require.NoError(t, s.Put(ctx, key, made.entry, made.dir))
				dir := t.TempDir()
				require.NoError(t, s.Fetch(ctx, key, s.only(t), dir))
				assert.Equal(t, tree(t, made.dir), tree(t, dir))
			})
		}
	})
}

// TestSoundAmongDamaged: a damaged entry hides no other.
func TestSoundAmongDamaged(t *testing.T) {
	ctx := context.Background()
	s := New(places["memory"](t), "mem://")
	for _, board := range []string{"1", "2", "3"} {
		b := newBuild(t, board)
		require.NoError(t, s.Put(ctx, key, b.entry, b.dir))
	}
	all := s.objects(t)
	var entries []string
	for _, name := range all {
		if strings.HasPrefix(name, "builds/") {
			entries = append(entries, name)
		}
	}
	require.Len(t, entries, 3)
	for _, name := range entries[:2] {
		require.NoError(t, s.bucket.WriteAll(ctx, name, []byte("?"), nil))
	}
	require.NoError(t, s.bucket.WriteAll(ctx, entries[0]+".17a2.tmp", []byte("?"), nil))
	found, err := s.Candidates(ctx, key)
	assert.Len(t, found, 1)
	assert.ErrorContains(t, err, "is not an entry (and 1 more are damaged)")
}
