package intake

import (
	"context"
	"crypto/sha256"
	"encoding/hex"
	"fmt"
	"path"
	"slices"
	"strconv"
	"strings"

	"panelwright/pipeline"
)

// gathered is one file as it came, before anybody knows what it is.
type gathered struct {
	name    string // within the board's files
	data    []byte
	ignored string // known before its content is looked at
}

func (g gathered) sha256() string {
	sum := sha256.Sum256(g.data)
	return hex.EncodeToString(sum[:])
}

// gather reads every file that the paths mean, those inside zips too, sorted by name.
func gather(ctx context.Context, files pipeline.Files, paths []pipeline.InPath) ([]gathered, error) {
	var out []gathered
	seen := map[pipeline.InPath]bool{}
	taken := map[string]int{}
	for i, p := range paths {
		found, err := files.List(ctx, p)
		if err != nil {
			return nil, err
		}
		for _, f := range found {
			if seen[f] { // two globs may both mean it
				continue
			}
			seen[f] = true
			data, err := files.Read(ctx, f)
			if err != nil {
				return nil, err
			}
			name := nameWithin(p.Text, f.Text)
			if n := taken[name]; n > 0 {
				name = strconv.Itoa(i+1) + ":" + name // two folders may hold a file of the same name
			}
			taken[name]++
			if !isZip(data) {
				out = append(out, gathered{name: name, data: data})
				continue
			}
			members, err := unzip(name, data, boardZip)
			if err != nil {
				return nil, err
			}
			if len(found) > 1 || len(paths) > 1 {
				for j := range members {
					members[j].name = name + "/" + members[j].name
				}
			}
			out = append(out, members...)
		}
	}
	if len(out) == 0 {
		return nil, &Problem{pathsText(paths) + " holds no files", "name the folder, zip or files that hold the board's fabrication data"}
	}
	slices.SortFunc(out, func(a, b gathered) int { return strings.Compare(a.name, b.name) })
	for i := 1; i < len(out); i++ {
		if out[i].name == out[i-1].name {
			return nil, fmt.Errorf("two of the board's files are called %s", out[i].name)
		}
	}
	return out, nil
}

func pathsText(paths []pipeline.InPath) string {
	var s []string
	for _, p := range paths {
		s = append(s, path.Clean(strings.ReplaceAll(p.Text, `\`, "/")))
	}
	return list(s)
}

// nameWithin gives a file's name relative to the folder, or to the fixed beginning of the glob, by
// which it was found: names in a build must not depend on where the data lie.
func nameWithin(asked, found string) string {
	asked, found = path.Clean(strings.ReplaceAll(asked, `\`, "/")), path.Clean(strings.ReplaceAll(found, `\`, "/"))
	if asked == found {
		return path.Base(found)
	}
	if i := strings.IndexAny(asked, "*?[{"); i >= 0 {
		asked = asked[:i]
		asked = asked[:strings.LastIndexByte(asked, '/')+1]
	} else {
		asked += "/"
	}
	if asked == "./" {
		asked = ""
	}
	if rest, ok := strings.CutPrefix(found, asked); ok && rest != "" {
		return strings.TrimPrefix(rest, "/")
	}
	return path.Base(found)
}
