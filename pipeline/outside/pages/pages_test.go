package pages

import (
	"bytes"
	"encoding/base64"
	"encoding/json"
	"flag"
	"image"
	"image/png"
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"golang.org/x/image/font/gofont/goregular"

	"panelwright/pipeline/internal/pictures"
	"panelwright/pipeline/internal/shared"
)

var update = flag.Bool("update", false, "write the reference pictures of pages anew; look at each")

// How much two pictures of a page may differ, of 255, in squares of 8 pixels. Measured: letters a little aside, as
// another build of the browser sets them, make 0.17 in the mean and 8 at most; the cautions missing make 1.39 and 34,
// any other part that is missing and another theme more than 13.
const (
	meanAtMost  = 0.6
	blockAtMost = 29
)

// shot is one picture to be taken; the JSON is that of shoot-page.mjs.
type shot struct {
	File   string `json:"file"`
	To     string `json:"to"`
	Dark   bool   `json:"dark"`
	Width  int    `json:"width"`
	Height int    `json:"height"`
	small  int    // how wide the picture that is kept is
}

// looks are the ways in which a page is pictured.
var looks = map[string]shot{
	"light": {Width: 1280, Height: 1800, small: 400},
	"dark":  {Width: 1280, Height: 1800, small: 400, Dark: true},
	"phone": {Width: 360, Height: 1080, small: 240},
}

// alike are pictures that would show no more than others do, and each takes some seconds.
var alike = map[string]bool{"station-set-dark": true, "compared-phone": true}

// shoot takes pictures in one browser, and gives them shrunk, by name.
func shoot(t *testing.T, shots map[string]shot) map[string]*image.Gray {
	t.Helper()
	browser, err := exec.LookPath("chromium")
	if err != nil {
		shared.Missing(t, "chromium, which pages are opened in, is not here (Debian: chromium)")
	}
	node, err := exec.LookPath("node")
	if err != nil {
		shared.Missing(t, "node, which drives the browser, is not here")
	}
	outside, err := filepath.Abs("../../../testdata/outside")
	require.NoError(t, err)
	if _, err := os.Stat(filepath.Join(outside, "node_modules", "playwright-core")); err != nil {
		shared.Missing(t, "playwright-core is not here: run npm ci in testdata/outside")
	}
	dir := t.TempDir()
	var list []shot
	for name, s := range shots {
		s.To = filepath.Join(dir, name+".png")
		list = append(list, s)
	}
	asked, err := json.Marshal(map[string]any{"browser": browser, "font": base64.StdEncoding.EncodeToString(goregular.TTF), "pages": list})
	require.NoError(t, err)
	cmd := exec.CommandContext(t.Context(), node, filepath.Join(outside, "shoot-page.mjs"))
	cmd.Stdin = bytes.NewReader(asked)
	said, err := cmd.CombinedOutput()
	require.NoError(t, err, string(said))
	out := map[string]*image.Gray{}
	for name, s := range shots {
		m, err := pictures.Read(filepath.Join(dir, name+".png"))
		require.NoError(t, err)
		out[name] = pictures.Shrunk(m, s.small)
	}
	return out
}

// built gives pages of the demo, by name: two reports, and the comparison of one panel with its next revision.
func built(t *testing.T) map[string]string {
	t.Helper()
	root, err := filepath.Abs("../../..")
	require.NoError(t, err)
	dir := t.TempDir()
	run := func(in string, code int, args ...string) {
		cmd := exec.CommandContext(t.Context(), args[0], args[1:]...)
		cmd.Dir = in
		said, _ := cmd.CombinedOutput()
		require.Equal(t, code, cmd.ProcessState.ExitCode(), "%v: %s", args, said)
	}
	program := filepath.Join(dir, "panelwright")
	run(root, 0, "go", "build", "-buildvcs=false", "-o", program, "./cmd/panelwright")
	run(root, 0, "go", "run", "./testdata/demoboards", "-o", filepath.Join(dir, "testdata", "boards"))
	require.NoError(t, os.CopyFS(filepath.Join(dir, "recipes"), os.DirFS(filepath.Join(root, "recipes"))))
	run(dir, 0, program, "build", "-o", "out", "recipes/gauge.panel.hcl", "recipes/station.panel.hcl")
	text, err := os.ReadFile(filepath.Join(dir, "recipes", "gauge.panel.hcl"))
	require.NoError(t, err)
	next := strings.Replace(string(text), `"62 mm"`, `"44 mm"`, 1)
	require.NotEqual(t, string(text), next)
	require.NoError(t, os.WriteFile(filepath.Join(dir, "recipes", "gauge.panel.hcl"), []byte(next), 0o644))
	run(dir, 1, program, "build", "-o", "next", "recipes/gauge.panel.hcl") // more tabs than stand well: findings
	run(dir, 1, program, "compare", "--page", "compared.html", "out/gauge-12up", "next/gauge-12up")
	return map[string]string{
		"gauge-12up":  filepath.Join(dir, "out", "gauge-12up", "report", "index.html"),
		"station-set": filepath.Join(dir, "out", "station-set", "report", "index.html"),
		"compared":    filepath.Join(dir, "compared.html"),
	}
}

// TestPagePictures holds the tops of pages, light, dark and as wide as a phone, against the pictures in
// testdata/pictures. Pages with planted faults look different.
func TestPagePictures(t *testing.T) {
	shots := map[string]shot{}
	pages := built(t)
	for name, file := range pages {
		for look, s := range looks {
			s.File = file
			if !alike[name+"-"+look] {
				shots[name+"-"+look] = s
			}
		}
	}
	good := len(shots)
	data, err := os.ReadFile(pages["gauge-12up"])
	require.NoError(t, err)
	for name, style := range map[string]string{
		"smoothing":              `body { letter-spacing: .002em }`, // letters a little aside, as another build sets them
		"pictures are gone":      `.stage svg { visibility: hidden }`,
		"cautions are gone":      `.cautions { visibility: hidden }`,
		"the theme is the other": `:root { --paper: #12181b !important; --sheet: #1a2226 !important }`,
	} {
		s := looks["light"]
		s.File = filepath.Join(t.TempDir(), "planted.html")
		require.NoError(t, os.WriteFile(s.File, []byte(strings.Replace(string(data), "</head>", "<style>"+style+"</style></head>", 1)), 0o644))
		shots["planted: "+name] = s
	}
	taken := shoot(t, shots)
	for name := range shots {
		planted, ok := strings.CutPrefix(name, "planted: ")
		if !ok {
			continue
		}
		mean, worst := pictures.Differ(taken["gauge-12up-light"], taken[name])
		t.Logf("%s: %.2f in the mean, %.0f at most", planted, mean, worst)
		assert.Equal(t, planted == "smoothing", mean <= meanAtMost && worst <= blockAtMost, planted)
	}
	dir := filepath.Join("testdata", "pictures")
	if *update {
		require.NoError(t, os.RemoveAll(dir))
		require.NoError(t, os.MkdirAll(dir, 0o755))
	}
	held := 0
	for name := range shots {
		if strings.HasPrefix(name, "planted: ") {
			continue
		}
		path := filepath.Join(dir, name+".png")
		if *update {
			var b bytes.Buffer
			require.NoError(t, (&png.Encoder{CompressionLevel: png.BestCompression}).Encode(&b, taken[name]))
			assert.Less(t, b.Len(), 60_000, "%s is large for a reference", name)
			require.NoError(t, os.WriteFile(path, b.Bytes(), 0o644))
			t.Logf("%s: %d bytes", name, b.Len())
			continue
		}
		want, err := pictures.Read(path)
		if err != nil {
			t.Errorf("%s is not there: make golden writes it", path)
			continue
		}
		if mean, worst := pictures.Differ(want, taken[name]); mean > meanAtMost || worst > blockAtMost {
			t.Errorf("%s looks different: by %.2f of 255 in the mean, by %.0f where it differs most", name, mean, worst)
			continue
		}
		held++
	}
	if held == good && !t.Failed() {
		shared.Ran(t, "page: pictures of pages")
		shared.Ran(t, "page: pictures: planted differences")
	}
}
