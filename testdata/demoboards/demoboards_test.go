package main

import (
	"io"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"
)

func TestWritesABoard(t *testing.T) {
	dir := t.TempDir()
	var log strings.Builder
	require.NoError(t, run(dir, "probe", &log))
	require.Contains(t, log.String(), "RG-3010 rev A")
	files, err := os.ReadDir(filepath.Join(dir, "probe"))
	require.NoError(t, err)
	require.Greater(t, len(files), 8)
}

func TestUnknownBoardIsRefused(t *testing.T) {
	require.EqualError(t, run(t.TempDir(), "buoy", io.Discard), `no board is called "buoy"; there are gauge, modem, probe and relay`)
}
