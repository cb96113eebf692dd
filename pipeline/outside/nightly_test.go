package outside

import (
	"context"
	"crypto/sha256"
	"encoding/json"
	"errors"
	"fmt"
	"os"
	"os/exec"
	"path/filepath"
	"regexp"
	"slices"
	"strings"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"panelwright/pipeline/internal/shared"
)

// manifest is what testdata/outside/kubernetes says of a file of manifests.
type manifest struct {
	Faults     []string
	Parts      int
	Final      []int
	Containers []struct {
		Name, Image, Dir    string
		Argv                []string
		Env, Fields, Mounts map[string]string
	}
}

// lookAtManifests reads manifests with the types of Kubernetes' API.
func lookAtManifests(t *testing.T, texts ...string) (all []manifest) {
	t.Helper()
	dir := t.TempDir()
	reader := filepath.Join(dir, "reader")
	ctx, stop := context.WithTimeout(context.Background(), 10*time.Minute)
	defer stop()
	build := exec.CommandContext(ctx, "go", "build", "-o", reader, ".")
	build.Dir = filepath.Join(root(t), "testdata", "outside", "kubernetes")
	if said, err := build.CombinedOutput(); err != nil {
		shared.Missing(t, "the types of Kubernetes' API cannot be had: "+string(said))
	}
	var args []string
	for i, text := range texts {
		at := filepath.Join(dir, fmt.Sprint(i, ".yaml"))
		require.NoError(t, os.WriteFile(at, []byte(text), 0o644))
		args = append(args, at)
	}
	cmd := exec.CommandContext(ctx, reader, args...)
	cmd.Stderr = os.Stderr
	raw, err := cmd.Output()
	require.NoError(t, err)
	require.NoError(t, json.Unmarshal(raw, &all))
	require.Len(t, all, len(texts))
	return all
}

// Source: the Go types of Kubernetes' API, modules k8s.io/api v0.37.2 and sigs.k8s.io/yaml v1.6.0, decoded strictly, and what their
// comments ask for. Planted faults must be found. What the manifest starts is started here, by a shell, for each index of the Job.
func TestNightOnKubernetes(t *testing.T) {
	text, err := os.ReadFile(filepath.Join(root(t), "recipes", "nightly", "kubernetes.yaml"))
	require.NoError(t, err)
	planted := []struct{ old, new, fault string }{
		{"completionMode: Indexed", "completionMode: Index", "completionMode is not Indexed"},
		{"completions: 4", "completionz: 4", `unknown field "completionz"`},
		{"completions: 4", "completions: four", "cannot unmarshal"},
		{"completions: 4", "completions: 3", "parallelism 4 does not go with completions 3"},
		{"kind: CronJob", "kind: NightJob", `no kind that belongs here: "batch/v1" "NightJob"`},
		{"concurrencyPolicy: Forbid", "concurrencyPolicy: Allow", "a night must not begin before the last one ends"},
		{"restartPolicy: Never", "restartPolicy: Always", `restartPolicy "Always" is not allowed in a Job`},
		{"restartPolicy: Never", "restartPolicy: OnFailure", "podFailurePolicy asks for restartPolicy Never"},
		{"backoffLimitPerIndex: 2", "backoffLimit: 2", "action FailIndex asks for backoffLimitPerIndex"},
		{"values: [1, 2]", "values: [0, 1]", "0 is none"},
		{"containerName: build", "containerName: builds", "names a container that is not there"},
		{"timeZone: Etc/UTC", "timeZone: Ets/UTC", "time zone: "},
		{"storage: 50Gi", "storage: 50 GB", "quantities must match"},
		{"claimName: panels", "claimName: panel", "names a claim that is not there"},
		{"mountPath: /panels}", "mountPath: panels}", `mount path "panels" is not absolute`},
		{"{name: panels, mountPath", "{name: pannels, mountPath", "mounts a volume pannels that is not there"},
		{"name: JOB_NAME", "name: JOB", "$(JOB_NAME) is not set"},
		{"runAsNonRoot: true", "runAsNonRoot: false", "may run as root"},
		{"readOnlyRootFilesystem: true", "readOnlyRootFilesystem: false", "its root folder can be written to"},
		{"drop: [ALL]", "drop: [CHOWN]", "it keeps capabilities"},
		{"limits: {memory: 4Gi}", "limits: {memory: 2Gi}", "asks for more memory than it may have"},
		{"registry.acme.example/panels:1", "panels", "is not of the invented shop"},
	}
	texts := []string{string(text)}
	for _, p := range planted {
		require.Contains(t, string(text), p.old)
		texts = append(texts, strings.Replace(string(text), p.old, p.new, 1))
	}
	all := lookAtManifests(t, texts...)
	night := all[0]
	if assert.Empty(t, night.Faults) {
		shared.Ran(t, "types of Kubernetes' API: recipes/nightly/kubernetes.yaml")
	}
	for i, p := range planted {
		if assert.Contains(t, strings.Join(all[1+i].Faults, "\n"), p.fault, "%s in the place of %s", p.new, p.old) {
			shared.Ran(t, "types of Kubernetes' API: finds "+p.old+" turned into "+p.new)
		}
	}
	require.Equal(t, []int{1, 2}, night.Final, "codes that another try does not mend")
	carryOut(t, night)
}

// carryOut does what the pods of a night do, in folders of this machine, and holds what comes of it against one machine's work.
func carryOut(t *testing.T, night manifest) {
	here := t.TempDir()
	panels, checkout := filepath.Join(here, "panels"), filepath.Join(here, "work", "panels")
	require.NoError(t, os.CopyFS(filepath.Join(checkout, "recipes", "nightly"), os.DirFS(filepath.Join(root(t), "recipes", "nightly"))))
	for name, text := range reportsBoard {
		at := filepath.Join(checkout, filepath.FromSlash(name))
		require.NoError(t, os.MkdirAll(filepath.Dir(at), 0o755))
		require.NoError(t, os.WriteFile(at, []byte(text), 0o644))
	}
	held := strings.Replace(reportsRecipe, "# unchecked", unchecked, 1)
	good := strings.Replace(strings.Replace(held, "9 mm", "8 mm", 1), "staff-2up", "staff-good", 1)
	for name, text := range map[string]string{"staff": held, "good": good} {
		require.NoError(t, os.WriteFile(filepath.Join(checkout, "recipes", name+".panel.hcl"), []byte(text), 0o644))
	}
	path := filepath.Dir(program(t)) + string(os.PathListSeparator) + os.Getenv("PATH")
	url := "file://" + filepath.ToSlash(filepath.Join(here, "store"))
	require.NoError(t, os.MkdirAll(filepath.Join(here, "store"), 0o755))
	build := night.Containers[len(night.Containers)-1]
	require.Equal(t, "build", build.Name)
	var files []string
	for index := range night.Parts {
		env := map[string]string{"JOB_COMPLETION_INDEX": fmt.Sprint(index), "JOB_NAME": "panels-night-29000000"}
		for name := range build.Fields {
			require.Contains(t, env, name)
		}
		mapped := func(s string) string {
			s = regexp.MustCompile(`\$\((\w+)\)`).ReplaceAllStringFunc(s, func(ref string) string { return env[ref[2:len(ref)-1]] })
			switch {
			case strings.HasPrefix(s, "s3://"):
				return url
			case s == "/tmp":
				return t.TempDir()
			case strings.HasPrefix(s, "/"):
				return filepath.Join(here, filepath.FromSlash(s))
			}
			return s
		}
		for name, value := range build.Env {
			env[name] = mapped(value)
		}
		argv := make([]string, len(build.Argv))
		for i, word := range build.Argv {
			argv[i] = mapped(word)
		}
		ctx, stop := context.WithTimeout(context.Background(), 2*time.Minute)
		cmd := exec.CommandContext(ctx, argv[0], argv[1:]...)
		cmd.Dir, cmd.Env = mapped(build.Dir), []string{"PATH=" + path}
		for name, value := range env {
			cmd.Env = append(cmd.Env, name+"="+value)
		}
		said, err := cmd.CombinedOutput()
		stop()
		var exit *exec.ExitError
		if err != nil && !errors.As(err, &exit) {
			t.Fatal(err)
		}
		joined := fileNames(t, filepath.Join(panels, "nights", env["JOB_NAME"]), "summary.*")
		if index < night.Parts-1 {
			require.Contains(t, []int{0, 1}, cmd.ProcessState.ExitCode(), string(said))
			require.Empty(t, joined, "joined before all parts are there")
			continue
		}
		require.Equal(t, 1, cmd.ProcessState.ExitCode(), string(said))
		require.Len(t, joined, 3, string(said))
		files = joined
	}
	alone := exec.Command(program(t), "build", "--quiet", "-o", filepath.Join(here, "alone"), "--records", filepath.Join(here, "none"), "recipes")
	for _, f := range files {
		alone.Args = append(alone.Args, "--summary", filepath.Join(here, "one", filepath.Base(f)))
	}
	alone.Dir = checkout
	said, _ := alone.CombinedOutput()
	require.Equal(t, 1, alone.ProcessState.ExitCode(), string(said))
	for _, f := range files {
		got, err := os.ReadFile(f)
		require.NoError(t, err)
		want, err := os.ReadFile(filepath.Join(here, "one", filepath.Base(f)))
		require.NoError(t, err)
		require.Equal(t, string(want), string(got))
	}
	require.Equal(t, treeOf(t, filepath.Join(here, "alone")), treeOf(t, filepath.Join(panels, "build")))
}

func fileNames(t *testing.T, dir, pattern string) []string {
	t.Helper()
	names, err := filepath.Glob(filepath.Join(dir, pattern))
	require.NoError(t, err)
	return names
}

// treeOf gives the names of a folder's files with their contents.
func treeOf(t *testing.T, dir string) (names []string) {
	t.Helper()
	require.NoError(t, filepath.WalkDir(dir, func(at string, e os.DirEntry, err error) error {
		if err != nil || e.IsDir() {
			return err
		}
		text, err := os.ReadFile(at)
		names = append(names, strings.TrimPrefix(at, dir)+fmt.Sprintf(" %x", sha256.Sum256(text)))
		return err
	}))
	slices.Sort(names)
	require.NotEmpty(t, names)
	return names
}
