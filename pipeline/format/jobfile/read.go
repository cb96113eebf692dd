package jobfile

import (
	"bytes"
	"encoding/json"
	"errors"
	"math"
	"strconv"

	"panelwright/pipeline/format"
	"panelwright/pipeline/geom"
)

// name is what errors call the file; the caller may put the file's own name into the Fault.
const name = "job file"

const doExport = "export the job file again, or leave it out"

// UnmarshalJSON reads a number of millimetres, rounded to the nanometre.
func (l *jsonLength) UnmarshalJSON(b []byte) error {
	f, err := strconv.ParseFloat(string(b), 64)
	if err != nil || math.Abs(f) > geom.Limit.MM() {
		return &json.UnmarshalTypeError{Value: "length"}
	}
	*l = jsonLength(geom.FromMM(f))
	return nil
}

// Read reads a job file. A mistake is a *format.Fault.
func Read(data []byte) (*Job, error) {
	text := bytes.TrimPrefix(data, []byte{0xef, 0xbb, 0xbf})
	var top map[string]json.RawMessage
	if err := json.Unmarshal(text, &top); err != nil {
		return nil, fault(data, err)
	}
	var in jsonJob
	known := 0
	for _, part := range []struct {
		key string
		to  any
	}{
		{"Header", &in.Header}, {"GeneralSpecs", &in.GeneralSpecs},
		{"FilesAttributes", &in.FilesAttributes}, {"MaterialStackup", &in.MaterialStackup},
	} {
		raw, ok := top[part.key]
		if !ok {
			continue
		}
		known++
		if err := json.Unmarshal(raw, part.to); err != nil {
			return nil, &format.Fault{File: name, What: "the section " + part.key + " does not have the shape of a job file" + where(err), Do: doExport}
		}
	}
	if known == 0 {
		return nil, &format.Fault{File: name, What: "this is not a Gerber job file: it has none of the sections Header, GeneralSpecs, FilesAttributes", Do: doExport}
	}
	j := &Job{
		Software:     in.Header.GenerationSoftware,
		CreationDate: in.Header.CreationDate,
		LayerNumber:  in.GeneralSpecs.LayerNumber,
		Thickness:    plain(in.GeneralSpecs.BoardThickness),
		Finish:       in.GeneralSpecs.Finish,
	}
	if p := in.GeneralSpecs.ProjectID; p != nil {
		j.Project = Project(*p)
	}
	if s := in.GeneralSpecs.Size; s != nil {
		j.Size = geom.Pt(geom.Length(s.X), geom.Length(s.Y))
	}
	for _, f := range in.FilesAttributes {
		j.Files = append(j.Files, File{f.Path, f.FileFunction, f.FilePolarity})
	}
	for _, m := range in.MaterialStackup {
		j.Stackup = append(j.Stackup, Material{m.Type, m.Name, m.Material, m.Color, plain(m.Thickness), m.Notes})
	}
	return j, nil
}

func plain(l *jsonLength) geom.Length {
	if l == nil {
		return 0
	}
	return geom.Length(*l)
}

// where names the key that has the wrong kind of value.
func where(err error) string {
	var t *json.UnmarshalTypeError
	if errors.As(err, &t) && t.Field != "" {
		return ", at " + t.Field
	}
	return ""
}

func fault(data []byte, err error) error {
	var s *json.SyntaxError
	if errors.As(err, &s) {
		off := int(s.Offset) - 1 + len(data) - len(bytes.TrimPrefix(data, []byte{0xef, 0xbb, 0xbf}))
		return format.At(name, data, off, "this is not JSON from here on", doExport)
	}
	return &format.Fault{File: name, What: "this is not a Gerber job file: it is JSON of another shape", Do: doExport}
}
