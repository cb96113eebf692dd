package gerber

import (
	"io"
	"testing"

	"panelwright/pipeline/panel/artwork"
)

func BenchmarkRead(b *testing.B) {
	files := layers(b, "boards")
	size := 0
	for _, d := range files {
		size += len(d)
	}
	list := names(files)
	b.SetBytes(int64(size))
	b.ReportAllocs()
	for b.Loop() {
		for _, n := range list {
			if _, _, err := Read(n, files[n], Options{}); err != nil {
				b.Fatal(err)
			}
		}
	}
}

func BenchmarkWrite(b *testing.B) {
	files := layers(b, "boards")
	var images []*artwork.Image
	size := counter(0)
	for _, n := range names(files) {
		m, _, err := Read(n, files[n], Options{})
		if err != nil {
			b.Fatal(err)
		}
		images = append(images, m)
		if err := Write(&size, Header{}, []Piece{{Image: m}}); err != nil {
			b.Fatal(err)
		}
	}
	b.SetBytes(int64(size))
	b.ReportAllocs()
	for b.Loop() {
		for _, m := range images {
			if err := Write(io.Discard, Header{}, []Piece{{Image: m}}); err != nil {
				b.Fatal(err)
			}
		}
	}
}

type counter int

func (c *counter) Write(p []byte) (int, error) {
	*c += counter(len(p))
	return len(p), nil
}
