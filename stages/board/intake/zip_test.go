package intake

import (
	"archive/zip"
	"bytes"
	"fmt"
	"testing"

	"github.com/stretchr/testify/require"
)

func packed(t *testing.T, sizes ...int) []byte {
	t.Helper()
	var b bytes.Buffer
	z := zip.NewWriter(&b)
	for i, n := range sizes {
		w, err := z.Create(fmt.Sprintf("layer-%d.gbr", i))
		require.NoError(t, err)
		_, err = w.Write(make([]byte, n))
		require.NoError(t, err)
	}
	require.NoError(t, z.Close())
	return b.Bytes()
}

// TestZipLimits: the limits count what comes out, and are met exactly.
func TestZipLimits(t *testing.T) {
	limit := zipLimits{members: 3, unpacked: 2 << 20}
	got, err := unzip("data.zip", packed(t, 1<<20, 1<<20, 0), limit)
	require.NoError(t, err)
	require.Len(t, got, 3)
	_, err = unzip("data.zip", packed(t, 1<<20, 1<<20, 1), limit)
	require.EqualError(t, err, "data.zip: the zip unpacks to more than 2 MiB\n    pack only the board's fabrication data")
	_, err = unzip("data.zip", packed(t, 1, 1, 1, 1), limit)
	require.EqualError(t, err, "data.zip: the zip has 4 members; at most 3 are read\n    pack only the board's fabrication data")
}

// FuzzUnzip: no name that leaves the zip comes out, whatever goes in.
func FuzzUnzip(f *testing.F) {
	var b bytes.Buffer
	z := zip.NewWriter(&b)
	w, _ := z.Create("a/b.gbr")
	w.Write([]byte("G04*"))
	z.Close()
	f.Add(b.Bytes())
	f.Add([]byte("PK\x05\x06"))
	f.Fuzz(func(t *testing.T, data []byte) {
		got, err := unzip("data.zip", data, zipLimits{100, 1 << 20})
		if err != nil {
			return
		}
		for _, g := range got {
			if name, err := memberName(g.name); err != nil || name != g.name {
				t.Errorf("%q came out", g.name)
			}
		}
	})
}
