package sampled_test

import (
	"testing"

	"panelwright/pipeline/internal/processors"
)

func TestNothingIsFused(t *testing.T) { processors.NothingFused(t, "pipeline/panel/sampled") }
