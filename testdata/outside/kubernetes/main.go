// Command kubernetes reads manifests into the types of Kubernetes' own API, strictly, and holds them against what its server asks
// for beyond them and what a shop should ask for. It prints as JSON what is wrong, and what the containers are started with.
//
// It is a module of its own, so that the program needs nothing of what it is held against.
package main

import (
	"encoding/json"
	"fmt"
	"log"
	"os"
	"regexp"

	batch "k8s.io/api/batch/v1"
	core "k8s.io/api/core/v1"
	meta "k8s.io/apimachinery/pkg/apis/meta/v1"
	"sigs.k8s.io/yaml"
)

// answer is what is said of one file.
type answer struct {
	Faults     []string    `json:"faults"`
	Parts      int32       `json:"parts"` // the Job's completions
	Final      []int32     `json:"final"` // exit codes after which an index is not tried again
	Containers []container `json:"containers"`
}

// container is what a container of a pod is started with, in the order in which they are.
type container struct {
	Name   string            `json:"name"`
	Image  string            `json:"image"`
	Argv   []string          `json:"argv"` // $(NAME) is not replaced yet
	Dir    string            `json:"dir"`
	Env    map[string]string `json:"env"`
	Fields map[string]string `json:"fields"` // variables that come from the pod, by what they are
	Mounts map[string]string `json:"mounts"` // path to volume
}

func main() {
	log.SetFlags(0)
	var answers []answer
	for _, name := range os.Args[1:] {
		text, err := os.ReadFile(name)
		if err != nil {
			log.Fatal(err)
		}
		answers = append(answers, look(text))
	}
	if err := json.NewEncoder(os.Stdout).Encode(answers); err != nil {
		log.Fatal(err)
	}
}

var between = regexp.MustCompile(`(?m)^---\s*$`)

func look(text []byte) answer {
	h := &holder{claims: map[string]bool{}}
	var jobs []batch.CronJob
	for i, doc := range between.Split(string(text), -1) {
		var kind meta.TypeMeta
		if err := yaml.Unmarshal([]byte(doc), &kind); err != nil {
			h.wrong("document %d: %v", i+1, err)
			continue
		}
		var err error
		switch kind.APIVersion + " " + kind.Kind {
		case "batch/v1 CronJob":
			var j batch.CronJob
			err = yaml.UnmarshalStrict([]byte(doc), &j)
			jobs = append(jobs, j)
		case "v1 PersistentVolumeClaim":
			var c core.PersistentVolumeClaim
			err = yaml.UnmarshalStrict([]byte(doc), &c)
			h.claim(c)
		default:
			h.wrong("document %d is no kind that belongs here: %q %q", i+1, kind.APIVersion, kind.Kind)
		}
		if err != nil {
			h.wrong("document %d does not fit the API's types: %v", i+1, err)
		}
	}
	for _, j := range jobs {
		h.cronJob(j)
	}
	if len(jobs) == 0 {
		h.wrong("there is no CronJob")
	}
	return h.answer
}

// holder gathers what is wrong.
type holder struct {
	answer
	claims map[string]bool
}

func (h *holder) wrong(format string, a ...any) {
	h.Faults = append(h.Faults, fmt.Sprintf(format, a...))
}

// must tells of a fault unless ok.
func (h *holder) must(ok bool, format string, a ...any) {
	if !ok {
		h.wrong(format, a...)
	}
}
