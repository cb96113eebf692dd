package outside

import (
	"bytes"
	"context"
	"encoding/json"
	"flag"
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"panelwright/pipeline/internal/shared"
)

// everyPlanted plants those faults too that take long to find.
var everyPlanted = flag.Bool("every-planted", false, "plant every fault in the pages that a browser opens")

// looked is a page to be looked at in a browser, and what was seen.
type looked struct {
	Name     string   `json:"name"`
	File     string   `json:"file"`
	Kind     string   `json:"kind,omitempty"` // "compare" for the page of two builds; else a report
	Only     []string `json:"only,omitempty"` // ways to open it; all when empty
	Pictures string   `json:"pictures,omitempty"`
}

type seen struct {
	Name   string         `json:"name"`
	Did    []string       `json:"did"`
	Faults []string       `json:"faults"`
	Took   map[string]int `json:"took"` // milliseconds
}

// browse opens all pages in one browser. With PANELWRIGHT_PICTURES set, screenshots are left in that folder.
func browse(t *testing.T, pages []looked) map[string]seen {
	t.Helper()
	dir := filepath.Join(root(t), "testdata", "outside")
	browser, err := exec.LookPath("chromium")
	if err != nil {
		shared.Missing(t, "chromium, which pages are opened in, is not here (Debian: chromium)")
	}
	node, err := exec.LookPath("node")
	if err != nil {
		shared.Missing(t, "node, which drives the browser, is not here")
	}
	for _, module := range []string{"playwright-core", "axe-core"} {
		if _, err := os.Stat(filepath.Join(dir, "node_modules", module)); err != nil {
			shared.Missing(t, module+" is not here: run npm ci in testdata/outside")
		}
	}
	for i := range pages {
		if to := os.Getenv("PANELWRIGHT_PICTURES"); to != "" && pages[i].Only == nil {
			pages[i].Pictures = to
		}
	}
	asked, err := json.Marshal(map[string]any{"browser": browser, "pages": pages})
	require.NoError(t, err)
	ctx, stop := context.WithTimeout(context.Background(), 15*time.Minute)
	defer stop()
	cmd := exec.CommandContext(ctx, node, filepath.Join(dir, "check-page.mjs"))
	cmd.Stdin = bytes.NewReader(asked)
	var said bytes.Buffer
	cmd.Stderr = &said
	raw, err := cmd.Output()
	require.NoError(t, err, said.String())
	var answers []seen
	require.NoError(t, json.Unmarshal(raw, &answers))
	out := map[string]seen{}
	for _, a := range answers {
		out[a.Name] = a
	}
	require.Len(t, out, len(pages))
	return out
}

// ways are all the ways in which check-page.mjs opens a page.
var ways = []string{"light, wide", "light, on a phone", "dark, wide", "dark, on a phone", "layers", "zoom", "marks", "without scripts", "printed"}

// waysToCompare are those for the page of two builds.
var waysToCompare = []string{"light, wide", "light, on a phone", "dark, wide", "dark, on a phone", "in use", "without scripts", "printed"}

// largestPage is how many bytes the page of a report may have.
const largestPage = 3_000_000

// recipesOfDemo names all recipes of the demo.
func recipesOfDemo(t *testing.T) (names []string) {
	t.Helper()
	found, err := filepath.Glob(filepath.Join(root(t), "recipes", "*.panel.hcl"))
	require.NoError(t, err)
	for _, f := range found {
		names = append(names, strings.TrimSuffix(filepath.Base(f), ".panel.hcl"))
	}
	require.NotEmpty(t, names)
	return names
}

// comparedPage is the page of probe-6up and of the same panel with more tabs, of the next revision.
func comparedPage(t *testing.T, build string) string {
	t.Helper()
	dir := filepath.Dir(build)
	data, err := os.ReadFile(filepath.Join(dir, "recipes", "probe.panel.hcl"))
	require.NoError(t, err)
	text := string(data)
	for old, new := range map[string]string{`revision = "A"` + "\n  built_to": `revision = "B"` + "\n  built_to", `"36 mm"`: `"28 mm"`} {
		require.Contains(t, text, old)
		text = strings.Replace(text, old, new, 1)
	}
	recipe := filepath.Join(dir, "recipes", "probe-next.panel.hcl")
	require.NoError(t, os.WriteFile(recipe, []byte(text), 0o644))
	said, _ := exec.Command(program(t), "build", "-o", filepath.Join(dir, "next"), recipe).CombinedOutput()
	file := filepath.Join(dir, "compared.html")
	cmd := exec.Command(program(t), "compare", "--page", file, filepath.Join(build, "probe-6up"), filepath.Join(dir, "next", "probe-6up"))
	said2, _ := cmd.CombinedOutput()
	require.Equal(t, 1, cmd.ProcessState.ExitCode(), "%s%s", said, said2)
	return file
}

// TestPagesInABrowser: the page of a report opens from the disk and asks for nothing else; nothing is said on the
// console; layers, zoom by button, key, wheel, mouse and fingers, and the ways from marks to rows and back work; without
// scripts all is there; on a phone it is no wider than the screen; axe-core finds nothing serious (rules of WCAG 2.1 A and
// AA, as that library knows them). Pages with planted faults are told from good ones.
func TestPagesInABrowser(t *testing.T) {
	dir := t.TempDir()
	build := demo(t, recipesOfDemo(t)...)
	kept := filepath.Join(dir, "kept-back.html") // errors, waivers, a rule left out, hostile words
	require.NoError(t, os.WriteFile(kept, []byte(stampedPage(t)), 0o644))
	pages := []looked{
		{Name: "kept-back", File: kept},
		{Name: "compare", File: comparedPage(t, build), Kind: "compare"},
	}
	some := map[string][]string{"relay-4up": {"light, wide", "zoom", "marks"}, "station-set": {"light, wide", "dark, on a phone", "marks"}, // no rectangle; the largest
		"modem-24up": {"light, wide"}, "gauge-6up/estuary": {"light, wide"}}
	reports, err := filepath.Glob(filepath.Join(build, "*", "report", "index.html"))
	require.NoError(t, err)
	ofSuppliers, err := filepath.Glob(filepath.Join(build, "*", "*", "report", "index.html"))
	require.NoError(t, err)
	for _, file := range append(reports, ofSuppliers...) {
		data, err := os.Stat(file)
		require.NoError(t, err)
		name, err := filepath.Rel(build, filepath.Dir(filepath.Dir(file)))
		require.NoError(t, err)
		assert.Less(t, data.Size(), int64(largestPage), "%s: a page that is slow to open and too large to send", name)
		only, ok := some[filepath.ToSlash(name)]
		if !ok {
			only = []string{"dark, on a phone"}
		}
		pages = append(pages, looked{Name: strings.ReplaceAll(filepath.ToSlash(name), "/", "-"), File: file, Only: only})
	}
	require.Len(t, pages, 2+9, "the demo has nine builds")
	good := len(pages)
	const policy = `<meta http-equiv="Content-Security-Policy"`
	type fault struct{ name, old, new, only, finds string }
	planted := []fault{
		{"an image from elsewhere", policy, `<img alt="x" src="https://pictures.invalid/x.png"><meta name="was"`, "opened", "asks for https://pictures.invalid/x.png"},
		{"an image from elsewhere that the page's policy stops", `<main id="content">`, `<main id="content"><img alt="x" src="https://pictures.invalid/x.png">`, "opened", "pictures.invalid"},
		{"an error on the console", "</body>", `<script>console.error("planted")</script></body>`, "opened", "the console says (error) planted"},
		{"a script that fails", "</body>", `<script>nothing.at.all()</script></body>`, "opened", "nothing is not defined"},
		{"a missing label", `<main id="content">`, `<main id="content"><input type="text">`, "light, wide", "critical: label"},
		{"a page wider than a phone", `<main id="content">`, `<main id="content"><div style="width:900px">wide</div>`, "light, on a phone", "wider than the screen"},
		{"a mark that leads nowhere", `id="finding-1"`, `id="finding-x"`, "marks", "leads to"},
		{"a key that does nothing", `'+': 'in',`, ``, "zoom", "key +"},
		{"dark letters' colours kept in print", `@media screen {`, `@media all {`, "printed", "dark by the button"},
		{"a part that only a script shows", "<section id=\"waivers\"", `<section class="scripted" id="waivers"`, "without scripts", "waivers is not shown"},
	}
	if *everyPlanted {
		planted = append(planted, []fault{
			{"text that can hardly be read", `<main id="content">`, `<main id="content"><p style="color:#aaa;background:#fff">hardly to be read</p>`, "light, wide", "serious: color-contrast"},
			{"text that can hardly be read in the dark", `--soft: #aeb8b9`, `--soft: #3c4648`, "dark, wide", "serious: color-contrast"},
			{"a layer that cannot be switched", `.pic:has([data-layer="names"]:not(:checked)) .la-names`, `.nothing`, "layers", "layer names changes nothing"},
			{"a picture's part without a name", `<g class="la-findings findings">`, `<g class="la-findings findings"><g role="img" tabindex="0"><path d="M0 0h9"/></g>`, "light, wide", "serious: svg-img-alt"},
			{"a layer that stays away", `<script>`, `<script>addEventListener('change', e => { if (e.target.dataset.layer === 'mask') document.querySelectorAll('.la-mask').forEach(x => x.remove()) });`, "layers", "do not come back"},
		}...)
	}
	text, err := os.ReadFile(kept)
	require.NoError(t, err)
	for _, p := range planted {
		require.Contains(t, string(text), p.old, p.name)
		at := filepath.Join(dir, strings.ReplaceAll(p.name, " ", "-")+".html")
		require.NoError(t, os.WriteFile(at, []byte(strings.ReplaceAll(string(text), p.old, p.new)), 0o644))
		pages = append(pages, looked{Name: p.name, File: at, Only: []string{p.only}})
	}
	found := browse(t, pages)
	for _, p := range pages[:good] {
		assert.Empty(t, found[p.Name].Faults, p.Name)
		want := p.Only
		if want == nil {
			want = ways
			if p.Kind == "compare" {
				want = waysToCompare
			}
		}
		for _, w := range want {
			if assert.Contains(t, found[p.Name].Did, w, p.Name) && len(found[p.Name].Faults) == 0 {
				shared.Ran(t, "page: "+p.Name+", "+w)
			}
		}
		assert.NotContains(t, found[p.Name].Did, "0 marks", "%s: nothing was tried of marks", p.Name)
		t.Logf("%s: %v ms", p.Name, found[p.Name].Took)
	}
	for _, p := range planted {
		assert.Contains(t, strings.Join(found[p.name].Faults, "\n"), p.finds, p.name)
		shared.Ran(t, "page: planted: "+p.name)
	}
}

// stampedPage is the page of a panel that is kept back.
func stampedPage(t *testing.T) string {
	t.Helper()
	dir := t.TempDir()
	for name, text := range reportsBoard {
		at := filepath.Join(dir, filepath.FromSlash(name))
		require.NoError(t, os.MkdirAll(filepath.Dir(at), 0o755))
		require.NoError(t, os.WriteFile(at, []byte(text), 0o644))
	}
	file := filepath.Join(dir, "recipes", "staff.panel.hcl")
	require.NoError(t, os.MkdirAll(filepath.Dir(file), 0o755))
	require.NoError(t, os.WriteFile(file, []byte(strings.Replace(reportsRecipe, "# unchecked", unchecked, 1)+"stage \"write_report\" {}\n"), 0o644))
	cmd := exec.Command(program(t), "build", "-o", filepath.Join(dir, "build"), file)
	said, _ := cmd.CombinedOutput()
	require.Equal(t, 1, cmd.ProcessState.ExitCode(), string(said))
	data, err := os.ReadFile(filepath.Join(dir, "build", "staff-2up", "report", "index.html"))
	require.NoError(t, err)
	require.Contains(t, string(data), "NOT FOR RELEASE")
	require.Contains(t, string(data), "agreed &lt;by&gt; letter")
	return string(data)
}
