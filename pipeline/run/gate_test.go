package run

import (
	"context"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"panelwright/pipeline"
	"panelwright/pipeline/panel"
)

func figure(v float64) *float64 { return &v }

// gateRules are the rules that the stages here report under.
func gateRules() []pipeline.Rule {
	return []pipeline.Rule{
		{Name: "hole-spacing", Family: pipeline.HolesFamily, Bound: pipeline.AtLeast, Unit: "mm"},
		{Name: "no-placement", Family: pipeline.DataFamily, JudgedBy: "stage write_fab"},
		{Name: "object-missing", Family: pipeline.ProofFamily},
	}
}

// stamped writes a file that says whether the panel may be released.
func stamped(found ...pipeline.Finding) fakeRun {
	return func(_ context.Context, env *pipeline.Env, in panel.Panel, _ pipeline.InPath) (pipeline.Result, error) {
		text := "released"
		if !env.Released() {
			text = NotForRelease
		}
		w, err := env.Files.Create("drawing/stamp.txt")
		if err != nil {
			return pipeline.Result{}, err
		}
		if _, err := w.Write([]byte(text)); err != nil {
			return pipeline.Result{}, err
		}
		if err := w.Close(); err != nil {
			return pipeline.Result{}, err
		}
		for _, f := range found {
			env.Report(f)
		}
		return pipeline.Result{Panel: in}, env.Files.Archive("gauge-fab.zip", []string{"drawing/stamp.txt"})
	}
}

// reporting judges with the findings and waivers given.
func reporting(found []pipeline.Finding, waivers ...pipeline.Waiver) fakeRun {
	return func(_ context.Context, env *pipeline.Env, in panel.Panel, _ pipeline.InPath) (pipeline.Result, error) {
		for _, f := range found {
			env.Report(f)
		}
		env.Waive(waivers)
		return pipeline.Result{Panel: in}, nil
	}
}

// What the files say of the release is true, whoever decides over it and when.
func TestStampsAreTrue(t *testing.T) {
	near := pipeline.Finding{Rule: "hole-spacing", Severity: pipeline.Error, Feature: "A1", Measured: figure(0.2)}
	warned := near
	warned.Severity = pipeline.Warning
	waiver := pipeline.Waiver{Rule: "hole-spacing", Where: []string{"A1"}, Reason: "agreed", Revision: "C", AtWorst: figure(0.2)}
	late := pipeline.Finding{Rule: "no-placement", Severity: pipeline.Warning, Feature: "panel"}
	accepted := pipeline.Waiver{Rule: "no-placement", Where: []string{"panel"}, Reason: "agreed", Revision: "C"}
	missing := pipeline.Finding{Rule: "object-missing", Severity: pipeline.Error, Feature: "drawing/stamp.txt"}
	for _, c := range []struct {
		name     string
		rules    fakeRun
		write    fakeRun
		proof    []pipeline.Finding
		reject   pipeline.Severity
		released bool
		twice    bool
		counts   FindingCounts
		notice   string
	}{
		{name: "good", rules: reporting(nil), write: stamped(), released: true},
		{name: "an error", rules: reporting([]pipeline.Finding{near}), write: stamped(), counts: FindingCounts{Error: 1}, notice: "1 finding at error level"},
		{name: "an error that is waived", rules: reporting([]pipeline.Finding{near}, waiver), write: stamped(), released: true, counts: FindingCounts{Waived: 1}},
		{name: "a warning", rules: reporting([]pipeline.Finding{warned}), write: stamped(), released: true, counts: FindingCounts{Warning: 1}},
		{name: "a warning that is rejected", rules: reporting([]pipeline.Finding{warned}), write: stamped(), reject: pipeline.Warning,
			counts: FindingCounts{Warning: 1}, notice: "1 finding at warning level, which --reject warning rejects"},
		{name: "a warning that would be rejected and is waived", rules: reporting([]pipeline.Finding{warned}, waiver), write: stamped(), reject: pipeline.Warning,
			released: true, counts: FindingCounts{Waived: 1}},
		{name: "the proof, afterwards", rules: reporting(nil), write: stamped(), proof: []pipeline.Finding{missing}, twice: true,
			counts: FindingCounts{Error: 1}, notice: "1 finding at error level"},
		{name: "a stage that writes, afterwards", rules: reporting(nil), write: stamped(late), reject: pipeline.Warning, twice: true,
			counts: FindingCounts{Warning: 1}, notice: "1 finding at warning level, which --reject warning rejects"},
		{name: "a waiver whose finding comes afterwards", rules: reporting(nil, accepted), write: stamped(late), reject: pipeline.Warning, twice: true,
			released: true, counts: FindingCounts{Waived: 1}},
		{name: "both levels", rules: reporting([]pipeline.Finding{near}), write: stamped(late), reject: pipeline.Warning,
			counts: FindingCounts{Error: 1, Warning: 1}, notice: "1 finding at error level, and 1 at warning level, which --reject warning rejects"},
	} {
		t.Run(c.name, func(t *testing.T) {
			dir := t.TempDir()
			kinds := with("rules", c.rules)
			kinds[len(kinds)-1] = kindOf("write_fab", pipeline.Write, c.write)
			opt := options(filepath.Join(dir, "build"))
			opt.Rules, opt.Gate = gateRules(), pipeline.Gate{Reject: c.reject}
			proofs := 0
			opt.Prove = func(context.Context, ProofInput) ([]pipeline.Finding, error) { proofs++; return c.proof, nil }
			out, err := Build(t.Context(), load(t, project(t, dir), kinds), opt)
			require.NoError(t, err)
			assert.Equal(t, c.released, out.Released)
			assert.Equal(t, c.counts, CountFindings(out.Findings))
			assert.Equal(t, 1+map[bool]int{true: 1}[c.twice], proofs)
			got := tree(t, out.Dir)
			want := NotForRelease
			if c.released {
				want = "released"
			}
			assert.Equal(t, want, got["drawing/stamp.txt"])
			_, zipped := got["gauge-fab.zip"]
			assert.Equal(t, c.released, zipped)
			for _, f := range []string{"manifest.json", "report/findings.json"} {
				if c.notice != "" {
					assert.Contains(t, got[f], `"notice": "NOT FOR RELEASE: `+c.notice+`"`)
				} else {
					assert.NotContains(t, got[f], `"notice"`)
				}
				assert.Contains(t, got[f], `"reject": "`+string(opt.Gate.Level())+`"`)
			}
			assert.Equal(t, c.twice, strings.Contains(got["build.log"], "written again"))
			assert.Equal(t, 1, strings.Count(got["build.log"], `"files":1,"message":"ends"`), "the log tells of the files that there are")
			assert.Empty(t, leftovers(t, opt.OutDir))
		})
	}
}

// Findings say which line set what they were judged by; the proof's say which stage wrote the file.
func TestFindingsSayWhereTheyComeFrom(t *testing.T) {
	dir := t.TempDir()
	kinds := with("rules", reporting([]pipeline.Finding{{Rule: "hole-spacing", Severity: pipeline.Error, Feature: "A1", Option: "files"},
		{Rule: "no-placement", Severity: pipeline.Note, Feature: "B1"}},
		pipeline.Waiver{Rule: "hole-spacing", Where: []string{"A1"}, Revision: "C", Option: "waive hole-spacing 1"}))
	opt := options(filepath.Join(dir, "build"))
	opt.Rules = gateRules()
	opt.Prove = func(context.Context, ProofInput) ([]pipeline.Finding, error) {
		return []pipeline.Finding{{Rule: "object-missing", Severity: pipeline.Error, Feature: "fab/gauge-copper-1-top.gbr"},
			{Rule: "object-missing", Severity: pipeline.Error, Feature: "piece/1"}}, nil
	}
	path := project(t, dir)
	text := strings.Replace(gaugeRecipe, `stage "rules" {}`, "stage \"rules\" {\n  files = \"x\"\n}", 1)
	require.NoError(t, os.WriteFile(path, []byte(text), 0o644))
	require.NoError(t, os.WriteFile(filepath.Join(filepath.Dir(path), "x"), nil, 0o644))
	at := func(out []pipeline.Finding) (all []string) {
		for _, f := range out {
			all = append(all, f.Rule+" "+f.Feature+" "+string(f.Family)+" "+f.Set.File+" "+strings.Split(text, "\n")[f.Set.Line-1])
		}
		return all
	}
	out, err := Build(t.Context(), load(t, path, kinds), opt)
	require.NoError(t, err)
	assert.Equal(t, []string{
		`hole-spacing A1 holes gauge.panel.hcl   files = "x"`,
		`object-missing fab/gauge-copper-1-top.gbr proof gauge.panel.hcl stage "write_fab" {}`,
		`object-missing piece/1 proof gauge.panel.hcl stage "write_fab" {}`,
		`waiver-without-finding A1 data gauge.panel.hcl stage "rules" {`,
		`no-placement B1 data gauge.panel.hcl stage "rules" {`,
	}, at(out.Findings))
	assert.Equal(t, 3, out.Findings[0].Set.Column)
	assert.Equal(t, "the waiver of hole-spacing covers no finding: the finding at A1 has no figure that could be held against at_worst", out.Findings[3].Message)
}

// A check does not run the stages that write: a waiver of what they would find is no waiver without a finding.
func TestCheckLeavesWaiversOfWhatIsNotRun(t *testing.T) {
	accepted := pipeline.Waiver{Rule: "no-placement", Where: []string{"panel"}, Reason: "agreed", Revision: "C"}
	idle := pipeline.Waiver{Rule: "hole-spacing", Where: []string{"A1"}, Reason: "agreed", Revision: "C", AtWorst: figure(0.2)}
	dir := t.TempDir()
	opt := options(filepath.Join(dir, "build"))
	opt.Rules, opt.CheckOnly = gateRules(), true
	out, err := Build(t.Context(), load(t, project(t, dir), with("rules", reporting(nil, accepted, idle))), opt)
	require.NoError(t, err)
	require.Len(t, out.Findings, 1)
	assert.Equal(t, "A1", out.Findings[0].Feature)
	opt.CheckOnly = false
	out, err = Build(t.Context(), load(t, project(t, t.TempDir()), with("rules", reporting(nil, accepted, idle))), opt)
	require.NoError(t, err)
	assert.Len(t, out.Findings, 2)
}
