package dxf

import (
	"fmt"
	"strings"
	"testing"
)

// BenchmarkRead reads a drawing of 50,000 lines and as many arcs.
func BenchmarkRead(b *testing.B) {
	var s strings.Builder
	for i := range 50_000 {
		fmt.Fprintf(&s, " 0 LINE 5 %X 100 Part 8 edge 100 Part 10 %d.123456 20 5.5 30 0.0 11 7.25 21 8.125 31 0.0", i, i%100)
		fmt.Fprintf(&s, " 0 ARC 5 %X 100 Part 8 edge 100 Part 10 %d.123456 20 5.5 30 0.0 40 7.25 100 Part 50 30.0 51 120.0", i, i%100)
	}
	text := []byte(drawingOf("", "", s.String()))
	b.SetBytes(int64(len(text)))
	b.ReportAllocs()
	for b.Loop() {
		if _, _, err := Read("bench.dxf", text, Options{}); err != nil {
			b.Fatal(err)
		}
	}
}
