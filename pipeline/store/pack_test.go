package store

import (
	"context"
	"io"
	"os"
	"testing"

	"panelwright/pipeline/run"
)

// BenchmarkPack packs the build folder named by PANELWRIGHT_BUILD, else one of the tests'.
func BenchmarkPack(b *testing.B) {
	made := newBuild(b, "G04 top*")
	if dir := os.Getenv("PANELWRIGHT_BUILD"); dir != "" {
		made = finished(b, dir)
	}
	f, err := openFolder(made.dir, made.entry)
	if err != nil {
		b.Fatal(err)
	}
	defer f.close()
	whole := int64(len(f.manifest))
	for _, o := range f.files {
		whole += o.Bytes
	}
	b.SetBytes(whole)
	for b.Loop() {
		if err := f.pack(context.Background(), io.Discard); err != nil {
			b.Fatal(err)
		}
	}
	b.ReportMetric(100*float64(len(made.archive(b)))/float64(whole), "%size")
}

// finished is a build folder with the entry that fits it.
func finished(b *testing.B, dir string) build {
	m, err := run.ReadManifest(dir)
	if err != nil {
		b.Fatal(err)
	}
	sum, err := run.SumOfFile(dir + "/" + run.ManifestName)
	if err != nil {
		b.Fatal(err)
	}
	e := Entry{Panel: m.Panel, Supplier: m.Supplier, Manifest: sum}
	for _, in := range m.Inputs {
		e.Asked = append(e.Asked, run.Asked{What: run.AskedFile, Name: in.Name, Answer: in.SHA256})
	}
	return build{dir, e}
}
