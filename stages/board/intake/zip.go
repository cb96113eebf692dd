package intake

import (
	"archive/zip"
	"bytes"
	"fmt"
	"io"
	"path"
	"strings"
	"unicode/utf8"
)

// zipLimits bound what a zip may hold.
type zipLimits struct {
	members  int
	unpacked int64 // bytes
}

// boardZip is far above any board's data, and low enough that a crafted zip does no harm.
var boardZip = zipLimits{members: 2000, unpacked: 512 << 20}

func isZip(data []byte) bool {
	return bytes.HasPrefix(data, []byte("PK\x03\x04")) || bytes.HasPrefix(data, []byte("PK\x05\x06"))
}

// unzip gives the files of a zip. One member that would climb out refuses the whole zip: who packs
// such a name is not to be trusted with the others.
func unzip(name string, data []byte, limit zipLimits) ([]gathered, error) {
	z, err := zip.NewReader(bytes.NewReader(data), int64(len(data)))
	if err != nil {
		return nil, &Problem{name + ": the zip cannot be read: " + strings.TrimPrefix(err.Error(), "zip: "), "pack the files again"}
	}
	if len(z.File) > limit.members {
		return nil, &Problem{fmt.Sprintf("%s: the zip has %d members; at most %d are read", name, len(z.File), limit.members),
			"pack only the board's fabrication data"}
	}
	var out []gathered
	var total int64
	taken := map[string]bool{}
	for _, m := range z.File {
		inside, err := memberName(m.Name)
		if err != nil {
			return nil, &Problem{fmt.Sprintf("%s: member %q %s: nothing of the zip was read", name, m.Name, err),
				"pack the files again, by names inside the zip"}
		}
		if strings.HasSuffix(inside, "/") || m.FileInfo().IsDir() {
			continue
		}
		if taken[inside] {
			return nil, &Problem{fmt.Sprintf("%s: two members are called %q", name, inside), "pack the files again"}
		}
		taken[inside] = true
		if m.Flags&1 != 0 {
			return nil, &Problem{fmt.Sprintf("%s: member %q is encrypted", name, inside), "pack the files without a password"}
		}
		if !m.Mode().IsRegular() {
			out = append(out, gathered{name: inside, ignored: "a link, not a file"})
			continue
		}
		content, err := member(m, limit.unpacked-total)
		if err != nil {
			return nil, &Problem{fmt.Sprintf("%s: member %q: %s", name, inside, strings.TrimPrefix(err.Error(), "zip: ")), "pack the files again"}
		}
		if content == nil {
			return nil, &Problem{fmt.Sprintf("%s: the zip unpacks to more than %d MiB", name, limit.unpacked>>20),
				"pack only the board's fabrication data"}
		}
		total += int64(len(content))
		g := gathered{name: inside, data: content}
		if isZip(content) {
			g.ignored = "a zip inside a zip is not opened"
		}
		out = append(out, g)
	}
	return out, nil
}

// member unpacks one member; nil when it is larger than room. What the directory says of its size
// is not believed.
func member(m *zip.File, room int64) ([]byte, error) {
	r, err := m.Open()
	if err != nil {
		return nil, err
	}
	defer r.Close()
	data, err := io.ReadAll(io.LimitReader(r, room+1))
	if err != nil {
		return nil, err
	}
	if int64(len(data)) > room {
		return nil, nil
	}
	if data == nil {
		data = []byte{}
	}
	return data, nil
}

// memberName gives the clean name of a member, with slashes, or says what is wrong with it. Some
// packers write backslashes.
func memberName(name string) (string, error) {
	s := strings.ReplaceAll(name, `\`, "/")
	switch {
	case s == "" || !utf8.ValidString(s) || strings.ContainsFunc(s, func(r rune) bool { return r < ' ' }):
		return "", fmt.Errorf("has a name that is no file name")
	case strings.HasPrefix(s, "/"):
		return "", fmt.Errorf("has an absolute path")
	case len(s) > 1 && s[1] == ':':
		return "", fmt.Errorf("names a drive")
	}
	for _, part := range strings.Split(s, "/") {
		if part == ".." {
			return "", fmt.Errorf("climbs out of the zip")
		}
	}
	clean := path.Clean(s)
	if clean == "." {
		return "./", nil
	}
	if strings.HasSuffix(s, "/") {
		clean += "/"
	}
	return clean, nil
}
