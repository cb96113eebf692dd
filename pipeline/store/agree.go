package store

import (
	"encoding/json"
	"fmt"
	"maps"
	"slices"

	"panelwright/pipeline/run"
)

// outputs reads a manifest, holds it against the entry, and gives the files that it lists by name.
func (e Entry) outputs(manifest []byte) (map[string]run.FileSum, error) {
	var m run.Manifest
	if err := json.Unmarshal(manifest, &m); err != nil {
		return nil, fmt.Errorf("its %s cannot be read", run.ManifestName)
	}
	if m.Panel != e.Panel || m.Supplier != e.Supplier {
		return nil, fmt.Errorf("its %s is that of panel %q for supplier %q, not of %q for %q", run.ManifestName, m.Panel, m.Supplier, e.Panel, e.Supplier)
	}
	read := map[string]string{}
	for _, q := range e.Asked {
		if q.What == run.AskedFile && q.Answer != "" {
			read[q.Name] = q.Answer
		}
	}
	for _, in := range m.Inputs {
		if read[in.Name] != in.SHA256 {
			return nil, fmt.Errorf("its %s says that it was made from another %s than its entry says", run.ManifestName, in.Name)
		}
		delete(read, in.Name)
	}
	if len(read) > 0 {
		return nil, fmt.Errorf("its %s does not list %s, which its entry says that it read", run.ManifestName, slices.Min(slices.Collect(maps.Keys(read))))
	}
	return listed(m.Outputs)
}

// listed gives a manifest's outputs by name, unless they cannot be those of a build.
func listed(outputs []run.FileSum) (map[string]run.FileSum, error) {
	if len(outputs) > mostFiles {
		return nil, fmt.Errorf("its %s lists %d files: the most is %d", run.ManifestName, len(outputs), mostFiles)
	}
	files, names := make(map[string]run.FileSum, len(outputs)), run.Names{run.ManifestName: run.ManifestName}
	left := int64(mostBuild)
	for _, o := range outputs {
		if run.CleanName(o.Name) != nil || names.Take(o.Name) != nil || !isKey(o.SHA256) || o.Bytes < 0 || o.Bytes > left {
			return nil, fmt.Errorf("its %s lists %q, which no build can hold", run.ManifestName, o.Name)
		}
		left -= o.Bytes
		files[o.Name] = o
	}
	return files, nil
}
