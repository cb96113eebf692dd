package jobfile

import (
	"bytes"
	"errors"
	"reflect"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"panelwright/pipeline/format"
	"panelwright/pipeline/geom"
)

var gauge = Job{
	Software:    Software{"River Gauge Works", "panelwright", "1.0"},
	Project:     Project{"RG-1042", "5247d1d0-6f0e-4a4b-8c5e-0d1f2a3b4c5d", "C"},
	Size:        geom.Pt(120_500_000, 80_000_001),
	LayerNumber: 2,
	Thickness:   1_600_000,
	Finish:      "ENIG",
	Files: []File{
		{"gauge-copper-1-top.gbr", "Copper,L1,Top", "Positive"},
		{"gauge-drill-plated-1-2.drl", "Plated,1,2,PTH", ""},
	},
	Stackup: []Material{
		{Type: "SolderMask", Color: "Green"},
		{Type: "Copper", Name: "Top", Thickness: 35_000},
		{Type: "Dielectric", Material: "FR4", Thickness: 1_510_000, Notes: "glass & resin"},
	},
}

const written = `{
  "Header": {
    "GenerationSoftware": {
      "Vendor": "River Gauge Works",
      "Application": "panelwright",
      "Version": "1.0"
    }
  },
  "GeneralSpecs": {
    "ProjectId": {
      "Name": "RG-1042",
      "GUID": "5247d1d0-6f0e-4a4b-8c5e-0d1f2a3b4c5d",
      "Revision": "C"
    },
    "Size": {
      "X": 120.5,
      "Y": 80.000001
    },
    "LayerNumber": 2,
    "BoardThickness": 1.6,
    "Finish": "ENIG"
  },
  "FilesAttributes": [
    {
      "Path": "gauge-copper-1-top.gbr",
      "FileFunction": "Copper,L1,Top",
      "FilePolarity": "Positive"
    },
    {
      "Path": "gauge-drill-plated-1-2.drl",
      "FileFunction": "Plated,1,2,PTH"
    }
  ],
  "MaterialStackup": [
    {
      "Type": "SolderMask",
      "Color": "Green"
    },
    {
      "Type": "Copper",
      "Thickness": 0.035,
      "Name": "Top"
    },
    {
      "Type": "Dielectric",
      "Material": "FR4",
      "Thickness": 1.51,
      "Notes": "glass & resin"
    }
  ]
}
`

func TestWriteAndRead(t *testing.T) {
	var b bytes.Buffer
	require.NoError(t, Write(&b, gauge))
	assert.Equal(t, written, b.String())
	back, err := Read(b.Bytes())
	require.NoError(t, err)
	assert.Equal(t, &gauge, back)

	dated := gauge
	dated.CreationDate = "2026-01-02T03:04:05Z"
	b.Reset()
	require.NoError(t, Write(&b, dated))
	assert.Contains(t, b.String(), "    },\n    \"CreationDate\": \"2026-01-02T03:04:05Z\"\n  },")
}

func TestReadOther(t *testing.T) {
	j, err := Read([]byte("\xef\xbb\xbf{\"Header\":{\"Extra\":1},\"GeneralSpecs\":{\"ProjectId\":{\"Name\":\"RG\",\"Revision\":\"B\"},\"Size\":{\"X\":1e1,\"Y\":2}},\"DesignRules\":[{}]}"))
	require.NoError(t, err)
	assert.Equal(t, &Job{Project: Project{Name: "RG", Revision: "B"}, Size: geom.Pt(10*geom.MM, 2*geom.MM)}, j)
}

func TestFaults(t *testing.T) {
	for _, c := range []struct{ name, text, want string }{
		{"empty", "", "job file:1:1: this is not JSON from here on\n    export the job file again, or leave it out"},
		{"cut off", "{\n  \"Header\": {", "job file:2:13: this is not JSON from here on\n      \"Header\": {\n    export the job file again, or leave it out"},
		{"comma", "{\"Header\": {},}", "job file:1:15: this is not JSON from here on\n    {\"Header\": {},}\n    export the job file again, or leave it out"},
		{"list", "[]", "job file: this is not a Gerber job file: it is JSON of another shape\n    export the job file again, or leave it out"},
		{"other", "{\"a\":1}", "job file: this is not a Gerber job file: it has none of the sections Header, GeneralSpecs, FilesAttributes\n    export the job file again, or leave it out"},
		{"kind", "{\"GeneralSpecs\":{\"LayerNumber\":\"two\"}}", "job file: the section GeneralSpecs does not have the shape of a job file, at LayerNumber\n    export the job file again, or leave it out"},
		{"far", "{\"GeneralSpecs\":{\"BoardThickness\":1e99}}", "job file: the section GeneralSpecs does not have the shape of a job file, at BoardThickness\n    export the job file again, or leave it out"},
	} {
		t.Run(c.name, func(t *testing.T) {
			_, err := Read([]byte(c.text))
			assert.EqualError(t, err, c.want)
		})
	}
}

// FuzzRead holds the reader to this: no panic, a mistake is a Fault, and what it reads is written and
// read again unchanged.
func FuzzRead(f *testing.F) {
	f.Add([]byte(written))
	f.Add([]byte(`{"Header":{},"FilesAttributes":[{"Path":"é"}]}`))
	f.Fuzz(func(t *testing.T, data []byte) {
		j, err := Read(data)
		if err != nil {
			var fault *format.Fault
			if !errors.As(err, &fault) {
				t.Fatalf("not a fault: %v", err)
			}
			return
		}
		var b bytes.Buffer
		if err := Write(&b, *j); err != nil {
			t.Fatal(err)
		}
		back, err := Read(b.Bytes())
		if err != nil {
			t.Fatalf("what was written is not read: %v\n%s", err, b.String())
		}
		if !reflect.DeepEqual(j, back) {
			t.Fatalf("%+v became %+v", j, back)
		}
	})
}
