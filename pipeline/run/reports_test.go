package run

import (
	"context"
	"encoding/json"
	"path/filepath"
	"regexp"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"panelwright/pipeline"
	"panelwright/pipeline/geom"
	"panelwright/pipeline/panel"
)

// The reports for machines say of every finding what findings.json says.
func TestReportsForMachines(t *testing.T) {
	at := geom.Pt(1_500_000, -1)
	found := []pipeline.Finding{
		{Rule: "hole-spacing", Severity: pipeline.Error, Message: "too near", Feature: "A1/hole/1", Copies: []string{"A1", "B1"}, At: &at, Measured: figure(0.2), Limit: figure(0.25), Unit: "mm", Source: "a table"},
		{Rule: "hole-spacing", Severity: pipeline.Error, Message: "too near as well", Feature: "A1/hole/1", Copies: []string{"C1"}},
		{Rule: "hole-spacing", Severity: pipeline.Error, Message: "near", Feature: "D1", Measured: figure(0.24)},
		{Rule: "no-placement", Severity: pipeline.Warning, Message: "none"},
		{Rule: "acme-sticker", Severity: pipeline.Note, Message: "a shop's own"},
		{Rule: "slots-odd", Severity: pipeline.Note, Message: "not checked: agreed", Unchecked: true},
	}
	rules := func(_ context.Context, env *pipeline.Env, in panel.Panel, _ pipeline.InPath) (pipeline.Result, error) {
		for _, f := range found {
			env.Report(f)
		}
		env.Judged(pipeline.Judged{Rule: "hole-spacing", Bound: pipeline.AtLeast, Limit: figure(0.25), Unit: "mm", Source: "a table", Option: "files"})
		env.Judged(pipeline.Judged{Rule: "slots-odd", Unchecked: "agreed"})
		env.Waive([]pipeline.Waiver{{Rule: "hole-spacing", Where: []string{"D1"}, Reason: "agreed", Revision: "C", AtWorst: figure(0.24)}})
		return pipeline.Result{Panel: in}, nil
	}
	build := func(gate pipeline.Gate, epoch *int64) map[string]string {
		dir := t.TempDir()
		opt := options(filepath.Join(dir, "build"))
		opt.Gate, opt.SourceDateEpoch = gate, epoch
		opt.Rules = append(gateRules(), pipeline.Rule{Name: "slots-odd", Family: pipeline.CutsFamily, Severity: pipeline.Warning, Help: "Look at slots.", Summary: "Slots are even."},
			pipeline.Rule{Name: "part-not-known", Family: pipeline.CutsFamily, JudgedBy: "stage array"}, pipeline.Rule{Name: "elsewhere", Family: pipeline.CutsFamily, JudgedBy: "stage that-is-not-here"})
		out, err := Build(t.Context(), load(t, project(t, dir), with("rules", rules)), opt)
		require.NoError(t, err)
		got := tree(t, out.Dir)
		for _, name := range []string{"report/findings.sarif", "report/junit.xml", "report/findings.json"} {
			assert.NotContains(t, got[name], dir)
		}
		return got
	}
	got := build(pipeline.Gate{}, nil)

	var log struct {
		Runs []struct {
			Tool struct {
				Driver struct{ Rules []map[string]any }
			}
			Results []struct {
				RuleID              string
				RuleIndex           int
				Kind, Level         string
				PartialFingerprints map[string]string
				Suppressions        []struct{ Justification string }
				Properties          map[string]any
				Locations           []struct {
					LogicalLocations []struct{ FullyQualifiedName, Kind string }
				}
			}
		}
	}
	require.NoError(t, json.Unmarshal([]byte(got["report/findings.sarif"]), &log))
	var lines, prints []string
	for _, r := range log.Runs[0].Results {
		line := strings.TrimSpace(r.RuleID + " " + r.Level + " " + r.Kind)
		assert.Equal(t, r.RuleID, log.Runs[0].Tool.Driver.Rules[r.RuleIndex]["id"])
		for _, l := range r.Locations[0].LogicalLocations {
			line += " " + l.Kind + "=" + l.FullyQualifiedName
		}
		for _, s := range r.Suppressions {
			line += " " + s.Justification
		}
		lines = append(lines, line)
		prints = append(prints, r.PartialFingerprints["ruleAndFeature/v1"])
	}
	assert.Equal(t, []string{
		"hole-spacing error feature=A1/hole/1 copy=C1",
		"hole-spacing error feature=A1/hole/1 copy=A1 copy=B1",
		"hole-spacing error feature=D1 agreed (revision C, at worst 0.24)",
		"no-placement warning",
		"acme-sticker note",
		"slots-odd none notApplicable",
	}, lines)
	assert.Equal(t, strings.TrimSuffix(prints[0], ":1"), strings.TrimSuffix(prints[1], ":2"), "one rule at one feature")
	assert.NotEqual(t, prints[0][:32], prints[2][:32])
	assert.Equal(t, map[string]any{"x_mm": 1.5, "y_mm": -0.000001, "measured": 0.2, "limit": 0.25, "unit": "mm", "source": "a table", "stage": "rules", "family": "holes"},
		log.Runs[0].Results[1].Properties)

	xml := got["report/junit.xml"]
	cases := func(xml string) (all []string) {
		for _, m := range regexp.MustCompile(`(?s)<testcase name="([^"]*)" classname="([^"]*)" time="0">(.*?)</testcase>`).FindAllStringSubmatch(xml, -1) {
			all = append(all, m[2]+" "+m[1]+" "+regexp.MustCompile(`\s+`).ReplaceAllString(strings.TrimSpace(m[3]), " "))
		}
		return all
	}
	assert.Equal(t, []string{
		"gauge-12up.other acme-sticker ",
		"gauge-12up.cuts part-not-known ",
		"gauge-12up.cuts slots-odd <skipped>agreed</skipped>",
		"gauge-12up.data no-placement ",
		`gauge-12up.holes hole-spacing <failure type="error" message="2 findings">error: hole-spacing at A1/hole/1: too near as well; set at gauge.panel.hcl:6&#xA;` +
			`error: hole-spacing at A1/hole/1 (1.5, -0.000001) mm: too near; measured 0.2 mm, limit 0.25 mm; copies A1, B1; set at gauge.panel.hcl:6</failure>`,
	}, cases(xml))
	assert.Contains(t, xml, "<system-out>error: hole-spacing at D1: near; measured 0.24; set at gauge.panel.hcl:6; waived for revision C: agreed&#xA;</system-out>")
	assert.Contains(t, xml, "<system-out>warning: no-placement: none; set at gauge.panel.hcl:6&#xA;</system-out>")
	assert.Contains(t, xml, `<property name="hole-spacing at_least" value="0.25 mm"></property>`)
	assert.Contains(t, xml, `timestamp="1970-01-01T00:00:00" hostname="localhost" tests="1" failures="1"`)

	var file struct {
		Judged   []pipeline.Judged
		ByFamily []FindingTotal `json:"by_family"`
		ByRule   []FindingTotal `json:"by_rule"`
	}
	require.NoError(t, json.Unmarshal([]byte(got["report/findings.json"]), &file))
	var judged []string
	for _, j := range file.Judged {
		judged = append(judged, strings.TrimSpace(j.Rule+" "+j.Unchecked))
	}
	assert.Equal(t, []string{"part-not-known", "slots-odd agreed", "no-placement", "hole-spacing"}, judged)
	assert.Equal(t, 0.25, *file.Judged[3].Limit)
	assert.Equal(t, []FindingTotal{
		{Family: "", FindingCounts: FindingCounts{Note: 1}}, {Family: pipeline.CutsFamily, FindingCounts: FindingCounts{Note: 1}},
		{Family: pipeline.DataFamily, FindingCounts: FindingCounts{Warning: 1}}, {Family: pipeline.HolesFamily, FindingCounts: FindingCounts{Error: 2, Waived: 1}},
	}, file.ByFamily)
	assert.Equal(t, FindingTotal{Rule: "hole-spacing", Family: pipeline.HolesFamily, FindingCounts: FindingCounts{Error: 2, Waived: 1}}, file.ByRule[3])

	epoch := int64(1_700_000_000)
	strict := build(pipeline.Gate{Reject: pipeline.Warning}, &epoch)
	assert.Contains(t, cases(strict["report/junit.xml"]), `gauge-12up.data no-placement <failure type="warning" message="1 finding">warning: no-placement: none; set at gauge.panel.hcl:6</failure>`)
	assert.Contains(t, strict["report/junit.xml"], `timestamp="2023-11-14T22:13:20"`)
	assert.Equal(t, prints, func() (again []string) {
		require.NoError(t, json.Unmarshal([]byte(strict["report/findings.sarif"]), &log))
		for _, r := range log.Runs[0].Results {
			again = append(again, r.PartialFingerprints["ruleAndFeature/v1"])
		}
		return again
	}())
}

// No stage may write what the build itself writes.
func TestReportsAreTheBuildsOwn(t *testing.T) {
	f := NewFiles(t.Context(), t.TempDir(), t.TempDir())
	for _, name := range []string{"report/findings.json", "report/Findings.SARIF", "report/junit.xml"} {
		_, err := f.Create(name)
		assert.ErrorContains(t, err, "the build itself writes")
	}
}
