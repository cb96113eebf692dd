package cli

import (
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// A program that is put together wrongly does nothing at all, whatever it is asked for.
func TestAProgramThatDoesNotFitIsRefused(t *testing.T) {
	p := Program{Name: "acme-panels", Version: "1", Stages: testKinds(), Rules: testRules()}
	p.Stages[2].Contract = 2
	p.Rules[0].Contract = 0
	commands := [][]string{nil, {"help"}, {"--help"}, {"build", "--help"}, {"nonsense"}, {"--nonsense"}}
	for _, name := range names((&app{Program: p}).root()) {
		commands = append(commands, []string{name}, []string{name, "recipes"})
	}
	require.Greater(t, len(commands), 15)
	for _, args := range commands {
		var out, said strings.Builder
		assert.Equal(t, 3, Main(p, args, nil, &out, &said), args)
		assert.Empty(t, out.String(), args)
		assert.Equal(t, `acme-panels does nothing: 2 mistakes in how it is put together. No recipe is wrong; this is for whoever builds acme-panels
stage array is written for version 2 of the contract, and this program serves version 1
    build this program with a panelwright that serves version 2
rule copies does not say which version of the contract it is written for
    this program serves version 1: if that is what it is written for, set Contract: 1 in its pipeline.Rule, the number itself
`, said.String(), args)
	}
	var out, said strings.Builder
	p.Rules = nil
	assert.Equal(t, 3, Main(p, []string{"check", "--json", "recipes"}, nil, &out, &said))
	assert.JSONEq(t, `{"schema": 1, "exit": 3, "error": "acme-panels does nothing: 1 mistake in how it is put together. No recipe is wrong; this is for whoever builds acme-panels\nstage array is written for version 2 of the contract, and this program serves version 1\n    build this program with a panelwright that serves version 2"}`, out.String())
}
