package jobfile

import (
	"bytes"
	"encoding/json"
	"io"

	"panelwright/pipeline/geom"
)

// The file's own shape. The order of the fields is the order of the keys.
type (
	jsonJob struct {
		Header          jsonHeader
		GeneralSpecs    jsonSpecs
		FilesAttributes []jsonFile
		MaterialStackup []jsonMaterial `json:",omitempty"`
	}
	jsonHeader struct {
		GenerationSoftware Software
		CreationDate       string `json:",omitempty"`
	}
	jsonSpecs struct {
		ProjectID      *jsonProject `json:"ProjectId,omitempty"`
		Size           *jsonSize    `json:",omitempty"`
		LayerNumber    int          `json:",omitempty"`
		BoardThickness *jsonLength  `json:",omitempty"`
		Finish         string       `json:",omitempty"`
	}
	jsonProject struct {
		Name     string
		GUID     string `json:",omitempty"`
		Revision string
	}
	jsonSize struct{ X, Y jsonLength }
	jsonFile struct {
		Path         string
		FileFunction string
		FilePolarity string `json:",omitempty"`
	}
	jsonMaterial struct {
		Type      string
		Color     string      `json:",omitempty"`
		Material  string      `json:",omitempty"`
		Thickness *jsonLength `json:",omitempty"`
		Name      string      `json:",omitempty"`
		Notes     string      `json:",omitempty"`
	}
)

// jsonLength is a length as a plain number of millimetres, exact.
type jsonLength geom.Length

func (l jsonLength) MarshalJSON() ([]byte, error) { return []byte(geom.Length(l).Decimal()), nil }

func length(l geom.Length) *jsonLength {
	if l == 0 {
		return nil
	}
	return (*jsonLength)(&l)
}

// Write writes the job file: two blanks an indent, LF line ends, keys in a fixed order.
func Write(w io.Writer, j Job) error {
	out := jsonJob{
		Header: jsonHeader{j.Software, j.CreationDate},
		GeneralSpecs: jsonSpecs{
			LayerNumber:    j.LayerNumber,
			BoardThickness: length(j.Thickness),
			Finish:         j.Finish,
		},
		FilesAttributes: []jsonFile{},
	}
	if j.Project != (Project{}) {
		out.GeneralSpecs.ProjectID = (*jsonProject)(&j.Project)
	}
	if j.Size != (geom.Point{}) {
		out.GeneralSpecs.Size = &jsonSize{jsonLength(j.Size.X), jsonLength(j.Size.Y)}
	}
	for _, f := range j.Files {
		out.FilesAttributes = append(out.FilesAttributes, jsonFile{f.Path, f.Function, f.Polarity})
	}
	for _, m := range j.Stackup {
		out.MaterialStackup = append(out.MaterialStackup, jsonMaterial{m.Type, m.Color, m.Material, length(m.Thickness), m.Name, m.Notes})
	}
	var b bytes.Buffer
	e := json.NewEncoder(&b)
	e.SetEscapeHTML(false)
	e.SetIndent("", "  ")
	if err := e.Encode(out); err != nil {
		return err
	}
	_, err := w.Write(b.Bytes())
	return err
}
