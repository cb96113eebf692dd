package board_test

import (
	"bytes"
	"context"
	"encoding/xml"
	"errors"
	"io"
	"regexp"
	"strconv"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"panelwright/pipeline"
	"panelwright/pipeline/run"
	"panelwright/stages/board"
)

// picturesOf gives the pictures of a survey, by name.
func picturesOf(t testing.TB, files folder) map[string]string {
	t.Helper()
	dir := files.write(t)
	out := map[string]string{}
	var text bytes.Buffer
	_, err := board.Survey(context.Background(), run.NewFiles(context.Background(), dir, ""), []pipeline.InPath{{Text: "data", Dir: dir}}, &text, false,
		func(name string, picture []byte) (string, error) {
			out[name] = string(picture)
			return "there/" + name, nil
		})
	require.NoError(t, err)
	if len(out) > 0 {
		require.Contains(t, text.String(), "\npictures\n  there/board-top.svg\n  there/board-bottom.svg\n")
	}
	return out
}

// wellFormed tells whether a text is XML without numbers that are none, and every reference has its definition.
func wellFormed(t testing.TB, picture string) {
	t.Helper()
	d := xml.NewDecoder(strings.NewReader(picture))
	ids, refs := map[string]bool{}, []string{}
	hash := regexp.MustCompile(`^(?:url\()?#([a-z0-9-]+)\)?$`)
	for {
		token, err := d.Token()
		if errors.Is(err, io.EOF) {
			break
		}
		require.NoError(t, err)
		e, ok := token.(xml.StartElement)
		if !ok {
			continue
		}
		for _, a := range e.Attr {
			if a.Name.Local == "id" {
				require.False(t, ids[a.Value], "%s is there twice", a.Value)
				ids[a.Value] = true
			}
			if m := hash.FindStringSubmatch(a.Value); m != nil && a.Name.Local != "fill" && a.Name.Local != "stroke" && a.Name.Local != "color" {
				refs = append(refs, m[1])
			}
		}
	}
	for _, r := range refs {
		assert.True(t, ids[r], "%s is not defined", r)
	}
	assert.NotContains(t, picture, "NaN")
	assert.NotContains(t, picture, "Inf")
	assert.NotContains(t, picture, "%!")
}

func TestPictures(t *testing.T) {
	files := gauge().with(folder{
		"m.gbr":   layer("FileFunction,Soldermask,Top", pad),
		"s.gbr":   layer("FileFunction,Legend,Top", "X10000Y10000D02*\nX20000D01*\n"),
		"n.drl":   "M48\n; #@! TF.FileFunction,NonPlated,1,2,NPTH\nMETRIC\nT1C1.5\n%\nT1\nX15.0Y5.0\nX2.0Y8.0G85X4.0Y8.0\nM30\n",
		"pos.csv": "Ref,Val,Package,PosX,PosY,Rot,Side\nR<1>,10k & more,0603,2.0,3.0,90,top\nR2,10k,0603,4.0,3.0,0,bottom\n",
	})
	got := picturesOf(t, files)
	require.Len(t, got, 2)
	top, bottom := got["board-top.svg"], got["board-bottom.svg"]
	for _, p := range []string{top, bottom} {
		wellFormed(t, p)
		assert.Contains(t, p, `<path id="outline" d="M0 0L20 0L20 10L0 10L0 0Z"`)
		assert.Contains(t, p, "20 × 10 mm")
		assert.Contains(t, p, "plated hole or slot")
		assert.Contains(t, p, "non-plated hole or slot")
		assert.Contains(t, p, `<circle cx="15" cy="5" r="0.75"/>`)
	}
	assert.Contains(t, top, "gauge, revision C, 20 × 10 mm, seen from the top")
	assert.Contains(t, bottom, "seen from below: left and right are exchanged")
	assert.Contains(t, top, "scale(1 -1)")
	assert.Contains(t, bottom, "scale(-1 -1)")
	assert.Contains(t, top, "<title>R&lt;1&gt; 10k &amp; more 0603</title>")
	assert.NotContains(t, bottom, "R&lt;1&gt;")
	assert.Contains(t, bottom, ">R2</text>", "no legend names it")
	at := regexp.MustCompile(`<text x="([0-9.]+)"[^>]*>R2</text>`).FindStringSubmatch(bottom)
	require.NotNil(t, at)
	x, err := strconv.ParseFloat(at[1], 64)
	require.NoError(t, err)
	assert.Greater(t, x, 16.0, "what lies at 4 mm from the left of 20 mm lies on the right from below")
	assert.Contains(t, top, "copper under mask")
	assert.Contains(t, bottom, "There is no mask on this side.")
	assert.Equal(t, got, picturesOf(t, files), "other bytes the second time")

	assert.Empty(t, picturesOf(t, folder{"README.md": "# nothing\n"}))
}

// TestPicturesInDoubt: where the outline is not settled, the pictures show what it may be taken from.
func TestPicturesInDoubt(t *testing.T) {
	pads := "X40000Y50000D03*\nX80000D03*\nX120000D03*\nX160000D03*\n"
	loops := square + "X-10000Y-10000D02*\nX210000D01*\nY110000D01*\nX-10000D01*\nY-10000D01*\n"
	files := gauge().with(folder{
		"gauge-top.gbr":     layer("FileFunction,Copper,L1,Top", pads),
		"gauge-profile.gbr": layer("FileFunction,Profile,NP", loops),
	})
	top := picturesOf(t, files)["board-top.svg"]
	wellFormed(t, top)
	assert.Contains(t, top, "the outline is not settled")
	assert.Contains(t, top, ">loop-1</text>")
	assert.Contains(t, top, ">loop-2</text>")
	assert.NotContains(t, top, `id="outline"`)

	top = picturesOf(t, files.with(folder{"gauge-profile.gbr": layer("FileFunction,Profile,NP", "X0Y0D02*\nX200000D01*\nY100000D01*\nX0D01*\nY50000D01*\n")}))["board-top.svg"]
	wellFormed(t, top)
	assert.Contains(t, top, "loose end of a stroke")
	assert.Equal(t, 3, strings.Count(top, `stroke="#d21f1f"`), "two ends and the key")

	// Without any outline the layers are shown.
	top = picturesOf(t, files.with(folder{"gauge-profile.gbr": ""}))["board-top.svg"]
	wellFormed(t, top)
	assert.Contains(t, top, "the outline is not settled")
}
