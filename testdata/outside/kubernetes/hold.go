package main

import (
	"path"
	"regexp"
	"slices"
	"strings"
	"time"

	batch "k8s.io/api/batch/v1"
	core "k8s.io/api/core/v1"
)

// What stands here the API's types do not say. Source: the comments on these types in k8s.io/api, which are the API's reference,
// for what the server refuses; for what pods should be confined to, the "restricted" Pod Security Standard of Kubernetes' documentation (from memory).

func (h *holder) claim(c core.PersistentVolumeClaim) {
	h.claims[c.Name] = true
	h.must(c.Name != "" && len(c.Spec.AccessModes) > 0, "the claim has no name or no access mode")
	h.must(!c.Spec.Resources.Requests.Storage().IsZero(), "claim %s asks for no storage", c.Name)
}

func (h *holder) cronJob(c batch.CronJob) {
	h.must(c.Name != "" && len(c.Name) <= 52, "the CronJob's name must have 1 to 52 letters")
	h.must(len(strings.Fields(c.Spec.Schedule)) == 5, "schedule %q has not five fields", c.Spec.Schedule)
	if z := c.Spec.TimeZone; z != nil {
		_, err := time.LoadLocation(*z)
		h.must(err == nil, "time zone: %v", err)
	}
	h.must(c.Spec.ConcurrencyPolicy == batch.ForbidConcurrent, "concurrencyPolicy is %q: a night must not begin before the last one ends", c.Spec.ConcurrencyPolicy)
	h.job(c.Spec.JobTemplate.Spec)
}

func (h *holder) job(j batch.JobSpec) {
	pod := j.Template.Spec
	h.must(j.CompletionMode != nil && *j.CompletionMode == batch.IndexedCompletion, "completionMode is not Indexed")
	if j.Completions == nil || j.Parallelism == nil {
		h.wrong("completions or parallelism is not stated")
		return
	}
	h.Parts = *j.Completions
	h.must(h.Parts > 0 && *j.Parallelism > 0 && *j.Parallelism <= h.Parts, "parallelism %d does not go with completions %d", *j.Parallelism, h.Parts)
	h.must(pod.RestartPolicy == core.RestartPolicyNever || pod.RestartPolicy == core.RestartPolicyOnFailure, "restartPolicy %q is not allowed in a Job", pod.RestartPolicy)
	h.must(j.BackoffLimitPerIndex == nil || pod.RestartPolicy == core.RestartPolicyNever, "backoffLimitPerIndex asks for restartPolicy Never")
	h.must(j.ActiveDeadlineSeconds != nil && j.TTLSecondsAfterFinished != nil, "the Job may run, or stay, for ever")
	h.failures(j)
	h.pod(pod)
}

// failures looks at what is done after a pod failed.
func (h *holder) failures(j batch.JobSpec) {
	if j.PodFailurePolicy == nil {
		h.wrong("there is no podFailurePolicy: what is wrong in a recipe would be tried again")
		return
	}
	h.must(j.Template.Spec.RestartPolicy == core.RestartPolicyNever, "podFailurePolicy asks for restartPolicy Never")
	for i, r := range j.PodFailurePolicy.Rules {
		h.must((r.OnExitCodes == nil) != (len(r.OnPodConditions) == 0), "rule %d of podFailurePolicy must have either exit codes or conditions", i+1)
		known := []batch.PodFailurePolicyAction{batch.PodFailurePolicyActionFailIndex, batch.PodFailurePolicyActionIgnore, batch.PodFailurePolicyActionCount, batch.PodFailurePolicyActionFailJob}
		h.must(slices.Contains(known, r.Action), "rule %d of podFailurePolicy has action %q", i+1, r.Action)
		h.must(r.Action != batch.PodFailurePolicyActionFailIndex || j.BackoffLimitPerIndex != nil, "action FailIndex asks for backoffLimitPerIndex")
		for _, p := range r.OnPodConditions {
			h.must(p.Type != "" && (p.Status == core.ConditionTrue || p.Status == core.ConditionFalse || p.Status == core.ConditionUnknown), "rule %d of podFailurePolicy has no type or status", i+1)
		}
		e := r.OnExitCodes
		if e == nil {
			continue
		}
		named := e.ContainerName == nil || slices.ContainsFunc(slices.Concat(j.Template.Spec.Containers, j.Template.Spec.InitContainers), func(c core.Container) bool { return c.Name == *e.ContainerName })
		h.must(named, "rule %d of podFailurePolicy names a container that is not there", i+1)
		h.must(e.Operator == batch.PodFailurePolicyOnExitCodesOpIn && len(e.Values) > 0 && slices.IsSorted(e.Values) && !slices.Contains(e.Values, 0),
			"rule %d of podFailurePolicy: codes must be in order, and 0 is none", i+1)
		if r.Action == batch.PodFailurePolicyActionFailIndex {
			h.Final = append(h.Final, e.Values...)
		}
	}
}

func (h *holder) pod(p core.PodSpec) {
	h.must(p.AutomountServiceAccountToken != nil && !*p.AutomountServiceAccountToken, "the pod gets a token of the cluster, which it has no use for")
	s := p.SecurityContext
	h.must(s != nil && s.RunAsNonRoot != nil && *s.RunAsNonRoot && s.RunAsUser != nil && *s.RunAsUser > 0, "the pod may run as root")
	h.must(s != nil && s.FSGroup != nil, "the pod's user may not be able to write to its volumes: fsGroup is not stated")
	h.must(s != nil && s.SeccompProfile != nil && s.SeccompProfile.Type == core.SeccompProfileTypeRuntimeDefault, "the seccomp profile is not RuntimeDefault")
	h.must(!p.HostNetwork && !p.HostPID && !p.HostIPC, "the pod shares something with its host")
	volumes := map[string]core.Volume{}
	for _, v := range p.Volumes {
		_, twice := volumes[v.Name]
		h.must(!twice, "volume %s is there twice", v.Name)
		volumes[v.Name] = v
		h.must(v.EmptyDir != nil || v.PersistentVolumeClaim != nil, "volume %s is neither an empty folder nor a claim", v.Name)
		h.must(v.EmptyDir == nil || v.EmptyDir.SizeLimit != nil, "volume %s may fill its machine", v.Name)
		h.must(v.PersistentVolumeClaim == nil || h.claims[v.PersistentVolumeClaim.ClaimName], "volume %s names a claim that is not there", v.Name)
	}
	h.must(len(p.Containers) == 1, "there must be one container, whose exit code is the pod's")
	names := map[string]bool{}
	used := map[string]bool{}
	for _, c := range slices.Concat(p.InitContainers, p.Containers) {
		h.must(!names[c.Name] && c.Name != "", "two containers, or one without a name: %q", c.Name)
		names[c.Name] = true
		h.container(c, volumes, used)
	}
	for name := range volumes {
		h.must(used[name], "volume %s is mounted nowhere", name)
	}
}

var reference = regexp.MustCompile(`\$\(([A-Za-z_][A-Za-z0-9_]*)\)`)

// fields are what the pod can tell a container of itself, as far as it is used here.
var fields = []string{"metadata.annotations['batch.kubernetes.io/job-completion-index']", "metadata.labels['batch.kubernetes.io/job-name']"}

func (h *holder) container(c core.Container, volumes map[string]core.Volume, used map[string]bool) {
	h.must(strings.HasPrefix(c.Image, "registry.acme.example/") && strings.Contains(path.Base(c.Image), ":"), "container %s: image %q is not of the invented shop, or has no version", c.Name, c.Image)
	h.must(len(c.Command) > 0, "container %s: what it starts hangs on the image", c.Name)
	s := c.SecurityContext
	h.must(s != nil && s.ReadOnlyRootFilesystem != nil && *s.ReadOnlyRootFilesystem, "container %s: its root folder can be written to", c.Name)
	h.must(s != nil && s.AllowPrivilegeEscalation != nil && !*s.AllowPrivilegeEscalation && (s.Privileged == nil || !*s.Privileged), "container %s: it may gain privileges", c.Name)
	h.must(s != nil && s.Capabilities != nil && slices.Equal(s.Capabilities.Drop, []core.Capability{"ALL"}) && len(s.Capabilities.Add) == 0, "container %s: it keeps capabilities", c.Name)
	r := c.Resources
	h.must(!r.Requests.Cpu().IsZero() && !r.Requests.Memory().IsZero() && !r.Limits.Memory().IsZero(), "container %s: requests of cpu and memory, or a limit of memory, is missing", c.Name)
	for name, limit := range r.Limits {
		ask := r.Requests[name]
		h.must(ask.Cmp(limit) <= 0, "container %s: asks for more %s than it may have", c.Name, name)
	}
	out := container{Name: c.Name, Image: c.Image, Argv: slices.Concat(c.Command, c.Args), Dir: c.WorkingDir, Env: map[string]string{}, Fields: map[string]string{}, Mounts: map[string]string{}}
	for _, m := range c.VolumeMounts {
		_, there := volumes[m.Name]
		h.must(there, "container %s mounts a volume %s that is not there", c.Name, m.Name)
		used[m.Name] = true
		h.must(path.IsAbs(m.MountPath) && out.Mounts[m.MountPath] == "", "container %s: mount path %q is not absolute, or there twice", c.Name, m.MountPath)
		out.Mounts[m.MountPath] = m.Name
	}
	h.must(out.Mounts["/tmp"] != "" && volumes[out.Mounts["/tmp"]].EmptyDir != nil, "container %s has no /tmp to write to", c.Name)
	for _, e := range c.Env {
		switch {
		case e.ValueFrom == nil:
			out.Env[e.Name] = e.Value
		case e.ValueFrom.FieldRef != nil && slices.Contains(fields, e.ValueFrom.FieldRef.FieldPath):
			out.Fields[e.Name] = e.ValueFrom.FieldRef.FieldPath
		default:
			h.wrong("container %s: where %s comes from is not known", c.Name, e.Name)
		}
	}
	for _, word := range out.Argv {
		for _, m := range reference.FindAllStringSubmatch(word, -1) {
			_, plain := out.Env[m[1]]
			_, field := out.Fields[m[1]]
			h.must(plain || field, "container %s: $(%s) is not set, and would stay as it is", c.Name, m[1])
		}
	}
	h.Containers = append(h.Containers, out)
}
