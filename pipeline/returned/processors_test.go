package returned_test

import (
	"testing"

	"panelwright/pipeline/internal/processors"
)

func TestNothingIsFused(t *testing.T) { processors.NothingFused(t, "pipeline/returned") }
