package shophelper

import (
	"testing"

	"github.com/stretchr/testify/require"

	"panelwright/stages/shophelper/jsonplace"
)

// fitsQuestion holds what a helper is handed against its description.
func fitsQuestion(t *testing.T, text []byte) {
	t.Helper()
	v, err := jsonplace.Parse(text)
	require.NoError(t, err)
	require.Empty(t, question().Check(v, 5))
}
