package store

import (
	"archive/tar"
	"bytes"
	"compress/gzip"
	"context"
	"encoding/json"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"gocloud.dev/blob/memblob"

	"panelwright/pipeline/run"
)

// member is one piece of an archive that someone has made by hand.
type member struct {
	tar.Header
	text string
}

func file(name, text string) member {
	return member{tar.Header{Typeflag: tar.TypeReg, Name: name, Size: int64(len(text)), Mode: 0o4777}, text}
}

func archiveOf(t *testing.T, members ...member) []byte {
	t.Helper()
	var out bytes.Buffer
	z := gzip.NewWriter(&out)
	w := tar.NewWriter(z)
	for _, m := range members {
		require.NoError(t, w.WriteHeader(&m.Header))
		_, err := w.Write([]byte(m.text))
		require.NoError(t, err)
	}
	require.NoError(t, w.Close())
	require.NoError(t, z.Close())
	return out.Bytes()
}

func manifestOf(t *testing.T, outputs ...run.FileSum) member {
	t.Helper()
	text, err := json.Marshal(run.Manifest{Schema: 1, Panel: "gauge", Outputs: outputs})
	require.NoError(t, err)
	return file(run.ManifestName, string(text))
}

func sumFile(name, text string) run.FileSum {
	return run.FileSum{Name: name, SHA256: sumOf([]byte(text)), Bytes: int64(len(text))}
}

// TestHostileArchives: archives that were made by hand, to which their entries fit in all that an entry says.
func TestHostileArchives(t *testing.T) {
	ctx := context.Background()
	good := sumFile("fab/a.txt", "aaa")
	long := strings.Repeat("long/", 60) + "a.txt"
	link := func(kind byte, to string) member {
		return member{Header: tar.Header{Typeflag: kind, Name: "fab/a.txt", Linkname: to}}
	}
	cases := map[string]struct {
		members []member
		more    func(archive []byte) []byte
		want    string
	}{
		"out of the folder":     {members: []member{manifestOf(t, sumFile("../evil.txt", "aaa")), file("../evil.txt", "aaa")}, want: `lists "../evil.txt", which no build can hold`},
		"an absolute path":      {members: []member{manifestOf(t, sumFile("/tmp/evil.txt", "aaa")), file("/tmp/evil.txt", "aaa")}, want: `lists "/tmp/evil.txt", which no build can hold`},
		"another system's path": {members: []member{manifestOf(t, sumFile(`fab\..\..\a.txt`, "aaa")), file(`fab\..\..\a.txt`, "aaa")}, want: "which no build can hold"},
		"a reserved name":       {members: []member{manifestOf(t, sumFile("fab/con.txt", "aaa")), file("fab/con.txt", "aaa")}, want: "which no build can hold"},
		"too long a name":       {members: []member{manifestOf(t, sumFile(long, "aaa")), file(long, "aaa")}, want: "which no build can hold"},
		"not listed":            {members: []member{manifestOf(t, good), file("fab/a.txt", "aaa"), file("fab/b.txt", "bbb")}, want: `holds "fab/b.txt", which its manifest.json does not list like this`},
		"out, and not listed":   {members: []member{manifestOf(t, good), file("../evil.txt", "aaa")}, want: `holds "../evil.txt", which its manifest.json does not list like this`},
		"a link":                {members: []member{manifestOf(t, sumFile("fab/a.txt", "")), link(tar.TypeSymlink, "/etc/passwd")}, want: `holds "fab/a.txt", which its manifest.json does not list like this`},
		"a second name":         {members: []member{manifestOf(t, sumFile("fab/a.txt", "")), link(tar.TypeLink, "manifest.json")}, want: `holds "fab/a.txt", which its manifest.json does not list like this`},
		"a device":              {members: []member{manifestOf(t, sumFile("fab/a.txt", "")), link(tar.TypeChar, "")}, want: `holds "fab/a.txt", which its manifest.json does not list like this`},
		"a folder":              {members: []member{manifestOf(t, good), {Header: tar.Header{Typeflag: tar.TypeDir, Name: "fab/"}}, file("fab/a.txt", "aaa")}, want: `holds "fab/", which its manifest.json does not list like this`},
		"twice":                 {members: []member{manifestOf(t, good), file("fab/a.txt", "aaa"), file("fab/a.txt", "aaa")}, want: `holds "fab/a.txt", which its manifest.json does not list like this`},
		"listed twice":          {members: []member{manifestOf(t, good, good), file("fab/a.txt", "aaa")}, want: `lists "fab/a.txt", which no build can hold`},
		"the manifest listed":   {members: []member{manifestOf(t, sumFile(run.ManifestName, "aaa")), file(run.ManifestName, "aaa")}, want: `lists "manifest.json", which no build can hold`},
		"two manifests":         {members: []member{manifestOf(t, good), manifestOf(t, good), file("fab/a.txt", "aaa")}, want: `holds "manifest.json", which its manifest.json does not list like this`},
		"longer than listed":    {members: []member{manifestOf(t, good), file("fab/a.txt", "aaaa")}, want: `holds "fab/a.txt", which its manifest.json does not list like this`},
		"other content":         {members: []member{manifestOf(t, good), file("fab/a.txt", "aab")}, want: "holds another fab/a.txt than its manifest.json lists"},
		"missing":               {members: []member{manifestOf(t, good)}, want: "lacks 1 of the files that its manifest.json lists"},
		"below a file":          {members: []member{manifestOf(t, sumFile("fab", "aaa"), sumFile("fab/a.txt", "aaa")), file("fab", "aaa"), file("fab/a.txt", "aaa")}, want: `lists "fab/a.txt", which no build can hold`},
		"case folded":           {members: []member{manifestOf(t, good, sumFile("FAB/A.txt", "bbb")), file("fab/a.txt", "aaa"), file("FAB/A.txt", "bbb")}, want: "which no build can hold"},
		"manifest behind":       {members: []member{file("fab/a.txt", "aaa"), manifestOf(t, good)}, want: "does not begin with manifest.json"},
		"manifest a link":       {members: []member{{Header: tar.Header{Typeflag: tar.TypeSymlink, Name: run.ManifestName, Linkname: "x"}}}, want: "does not begin with manifest.json"},
		"manifest is garbage":   {members: []member{file(run.ManifestName, "{")}, want: "its manifest.json cannot be read"},
		"larger than any build": {members: []member{manifestOf(t, run.FileSum{Name: "fab/a.txt", SHA256: sumOf(nil), Bytes: mostBuild + 1})}, want: "which no build can hold"},
		"negative":              {members: []member{manifestOf(t, run.FileSum{Name: "fab/a.txt", SHA256: sumOf(nil), Bytes: -1})}, want: "which no build can hold"},
		"nothing":               {want: "is not an archive of a build"},
		"goes on":               {members: []member{manifestOf(t, good), file("fab/a.txt", "aaa")}, more: func(a []byte) []byte { return append(a, zipped(t, make([]byte, 64<<20))...) }, want: "goes on after its end"},
		"garbage behind":        {members: []member{manifestOf(t, good), file("fab/a.txt", "aaa")}, more: func(a []byte) []byte { return append(a, "more"...) }, want: "is not an archive of a build"},
		"no archive":            {more: func([]byte) []byte { return []byte("hello") }, want: "is not an archive of a build"},
		"expands":               {more: func([]byte) []byte { return zipped(t, make([]byte, 64<<20)) }, want: "is not an archive of a build"},
	}
	for name, c := range cases {
		t.Run(name, func(t *testing.T) {
			archive := archiveOf(t, c.members...)
			if c.more != nil {
				archive = c.more(archive)
			}
			e := Entry{Panel: "gauge", Archive: sumOf(archive), Bytes: int64(len(archive))}
			for _, m := range c.members {
				if m.Name == run.ManifestName {
					e.Manifest = sumOf([]byte(m.text))
					break
				}
			}
			s := New(memblob.OpenBucket(nil), "mem://")
			require.NoError(t, s.bucket.WriteAll(ctx, archiveName(e.Archive), archive, nil))
			around := t.TempDir()
			dir := filepath.Join(around, "stage")
			require.NoError(t, os.Mkdir(dir, 0o755))
			err := s.Fetch(ctx, key, e, dir)
			var damaged *DamagedError
			require.ErrorAs(t, err, &damaged)
			assert.ErrorContains(t, err, c.want)
			entries, err := os.ReadDir(around)
			require.NoError(t, err)
			assert.Len(t, entries, 1, "nothing is written beside the folder")
		})
	}
}

func zipped(t *testing.T, data []byte) []byte {
	var out bytes.Buffer
	z := gzip.NewWriter(&out)
	_, err := z.Write(data)
	require.NoError(t, err)
	require.NoError(t, z.Close())
	return out.Bytes()
}

// TestModes: what an archive says of modes does not count.
func TestModes(t *testing.T) {
	archive := archiveOf(t, manifestOf(t, sumFile("fab/a.txt", "aaa")), file("fab/a.txt", "aaa"))
	e := Entry{Panel: "gauge", Archive: sumOf(archive), Bytes: int64(len(archive)), Manifest: sumOf([]byte(manifestOf(t, sumFile("fab/a.txt", "aaa")).text))}
	dir := t.TempDir()
	require.NoError(t, unpack(context.Background(), bytes.NewReader(archive), e, dir))
	info, err := os.Stat(filepath.Join(dir, "fab", "a.txt"))
	require.NoError(t, err)
	assert.Zero(t, info.Mode()&^0o666, "%v", info.Mode())
}

// TestDiskFails: what keeps the folder from being written is the machine's failure, not the store's.
func TestDiskFails(t *testing.T) {
	ctx := context.Background()
	s := New(memblob.OpenBucket(nil), "mem://")
	made := newBuild(t, "G04 top*")
	require.NoError(t, s.Put(ctx, key, made.entry, made.dir))
	var machine *run.MachineError
	assert.ErrorAs(t, s.Fetch(ctx, key, s.only(t), filepath.Join(t.TempDir(), "gone")), &machine)
}
