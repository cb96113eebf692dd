//go:build unix && !linux

package main

import "testing"

// withoutExchange has no meaning on systems that exchange nothing in one step.
var withoutExchange = []string{"/usr/bin/env"}

func onlyByRenaming(*testing.T, *shop) {}
