package run

import (
	"context"
	"errors"
	"fmt"
	"io/fs"
	"os"
	"path/filepath"
	"strings"
)

// AsBuilt is a finished build's files for the fabricator and its panel.json, as the build wrote them.
type AsBuilt struct {
	Manifest *Manifest
	Files    map[string][]byte // by their names in the build folder
}

// ReadAsBuilt reads them from the build folder dir. Each is held against the manifest: one that is missing or was
// changed since is an error, as is a build that wrote nothing for a fabricator; errors are as Build's.
func ReadAsBuilt(ctx context.Context, dir string) (*AsBuilt, error) {
	shown := filepath.ToSlash(filepath.Clean(dir))
	m, err := manifestOf(dir)
	if err != nil {
		return nil, err
	}
	out := &AsBuilt{Manifest: m, Files: map[string][]byte{}}
	var wrong []string
	fab := 0
	for _, o := range m.Outputs {
		if ctx.Err() != nil {
			return nil, ErrInterrupted
		}
		if inFab := strings.HasPrefix(o.Name, "fab/"); CleanName(o.Name) != nil || strings.HasSuffix(o.Name, ".zip") || !inFab && o.Name != panelName {
			continue
		} else if inFab {
			fab++
		}
		data, err := os.ReadFile(filepath.Join(dir, filepath.FromSlash(o.Name)))
		switch {
		case errors.Is(err, fs.ErrNotExist):
			wrong = append(wrong, o.Name+": is not there")
		case err != nil:
			return nil, inputError(shown+"/"+o.Name, err)
		case sumOf(data) != o.SHA256:
			wrong = append(wrong, o.Name+": was changed after the build")
		}
		out.Files[o.Name] = data
	}
	switch {
	case len(wrong) > 0:
		return nil, fmt.Errorf("%s: is not as it was built, so nothing can be held against it:\n    %s\n    build it again; readback without --against tells what changed", shown, strings.Join(wrong, "\n    "))
	case fab == 0:
		return nil, fmt.Errorf("%s: holds no files for a fabricator: its recipe has no stage write_fab", shown)
	case out.Files[panelName] == nil:
		return nil, fmt.Errorf("%s: %s is missing: without it nobody knows which board is which", shown, panelName)
	}
	return out, nil
}
