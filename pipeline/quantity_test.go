package pipeline

import (
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

func TestQuantitiesAreRead(t *testing.T) {
	for text, want := range map[string]Quantity{
		"12 N": {12, "N"}, "0.25mm": {0.25, "mm"}, "10 mil": {0.254, "mm"}, "1900 kg/m3": {1900, "kg/m3"}, " 24.3  GPa ": {24.3, "GPa"}, "7": {7, ""},
		"1e3 MPa": {1000, "MPa"}, "-.5 N": {-0.5, "N"},
	} {
		got, err := ParseQuantity(text)
		require.NoError(t, err, text)
		assert.Equal(t, want.Unit, got.Unit, text)
		assert.InDelta(t, want.Value, got.Value, 1e-12, text)
	}
	for _, text := range []string{"", "N", "a 5 N", "N 5", "inf mm", "NaN mm", "-Infinity", "0x10 N", "1e999 N"} {
		_, err := ParseQuantity(text)
		assert.Error(t, err, text)
	}
}
