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

// wanted is one file that the paths mean.
type wanted struct {
	file pipeline.InPath
	name string
	zip  string // what the names of a zip's files begin with
}

// gather reads every file that the paths mean, those inside zips too, several at a time, and gives them
// sorted by name.
func gather(ctx context.Context, files pipeline.Files, paths []pipeline.InPath, workers int) ([]gathered, error) {
	want, err := want(ctx, files, paths)
	if err != nil {
		return nil, err
	}
	data := make([][]byte, len(want))
	if err := pipeline.Each(ctx, workers, len(want), func(i int) (err error) {
		data[i], err = files.Read(ctx, want[i].file)
		return err
	}); err != nil {
		return nil, err
	}
	var out []gathered
	for i, w := range want {
		if !isZip(data[i]) {
			out = append(out, gathered{name: w.name, data: data[i]})
			continue
		}
		members, err := unzip(w.name, data[i], boardZip)
		if err != nil {
			return nil, err
		}
		for j := range members {
			members[j].name = w.zip + members[j].name
		}
		out = append(out, members...)
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

// want gives the files that the paths mean, each once, in the order in which they are meant.
func want(ctx context.Context, files pipeline.Files, paths []pipeline.InPath) ([]wanted, error) {
	var out []wanted
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
			w := wanted{file: f, name: nameWithin(p.Text, f.Text)}
			if taken[w.name] > 0 {
				w.name = strconv.Itoa(i+1) + ":" + w.name // two folders may hold a file of the same name
			}
			taken[w.name]++
			if len(found) > 1 || len(paths) > 1 {
				w.zip = w.name + "/"
			}
			out = append(out, w)
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
