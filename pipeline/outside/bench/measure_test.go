package main

import (
	"context"
	"os"
	"path/filepath"
	"testing"

	"github.com/stretchr/testify/require"
)

func TestVerdict(t *testing.T) {
	for _, c := range []struct {
		got, want float64
		atMost    bool
		text      string
		reached   bool
	}{
		{15, 15, false, ">= 15: reached", true},
		{12, 15, false, ">= 15: SHORT by 25%", false},
		{6, 6, true, "<= 6: reached", true},
		{7.5, 6, true, "<= 6: SHORT by 25%", false},
	} {
		text, reached := verdict(c.got, c.want, c.atMost)
		require.Equal(t, c.text, text)
		require.Equal(t, c.reached, reached)
	}
}

const layer = "%FSLAX46Y46*%\n%MOMM*%\n%ADD10C,0.1*%\nD10*\nX0Y0D02*\nX1000000D01*\nD03*\nG36*\nX0Y0D02*\nX1D01*\nY1D01*\nX0Y0D01*\nG37*\nM02*\n"

func TestLayersAreToldByTheirFormatStatement(t *testing.T) {
	dir := t.TempDir()
	for name, text := range map[string]string{
		"b.txt":    layer,
		"a.gbr":    layer + "\n",
		"notes.md": "layers begin with `%FSLAX46Y46*%`\n",
		"hole.drl": "M48\nMETRIC\n",
	} {
		require.NoError(t, os.WriteFile(filepath.Join(dir, name), []byte(text), 0o600))
	}
	b, err := layersOf(dir)
	require.NoError(t, err)
	require.Equal(t, []string{filepath.Join(dir, "a.gbr"), filepath.Join(dir, "b.txt")}, b.files)
	require.EqualValues(t, 2*len(layer)+1, b.bytes)

	images, warnings, err := readOnce(context.Background(), b.files)
	require.NoError(t, err)
	require.Zero(t, warnings)
	require.Len(t, images, 2)
	require.Equal(t, 6, things(images[0]), "a stroke, a flash, a region and its three edges")
}
