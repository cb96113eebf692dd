package pipeline

import (
	"context"
	"errors"
	"testing"

	"github.com/stretchr/testify/assert"
)

func TestEachGivesTheErrorOfTheLowestNumber(t *testing.T) {
	release := make(chan struct{})
	err := Each(context.Background(), 4, 4, func(i int) error {
		switch i {
		case 1:
			<-release // fails last, counts first
			return errors.New("one")
		case 3:
			close(release)
			return errors.New("three")
		}
		return nil
	})
	assert.EqualError(t, err, "one")
}

func TestEachTurnsAPanicIntoAnError(t *testing.T) {
	err := Each(context.Background(), 2, 3, func(i int) error {
		if i == 1 {
			panic("spilt")
		}
		return nil
	})
	assert.ErrorContains(t, err, "internal fault: spilt (panelwright/pipeline.TestEachTurnsAPanicIntoAnError.func1")
}

func TestEachStopsWhenCancelled(t *testing.T) {
	ctx, stop := context.WithCancel(context.Background())
	ran := 0
	err := Each(ctx, 1, 100, func(int) error { ran++; stop(); return nil })
	assert.ErrorIs(t, err, context.Canceled)
	assert.Equal(t, 1, ran)
}
