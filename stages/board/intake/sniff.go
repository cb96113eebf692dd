package intake

import (
	"bytes"
	"path"
	"strings"

	"panelwright/pipeline/format"
	"panelwright/pipeline/format/centroid"
	"panelwright/pipeline/format/netlist"
)

// Kind is what a file turned out to be.
type Kind string

// The kinds of files.
const (
	LayerFile     Kind = "layer"
	DrillFile     Kind = "drill"
	PlacementFile Kind = "placement"
	NetlistFile   Kind = "netlist"
	JobFile       Kind = "job file"
	DrawingFile   Kind = "drawing"
	OtherFile     Kind = "other"
)

// Why a table and a text are not read; a placement block of the recipe that names one may know better.
const (
	noPlaces = "a table without places that are known by their columns' names: taken for a parts list, which is not read; " +
		"where it places parts, a block placement in the recipe can say what its columns are, with columns"
	noData = "a text without layer, drill, placement or netlist data"
)

// How much of a file is looked at to tell what it is: headers may begin with long comments.
const head = 64 << 10

var (
	gerberStart = format.Pattern(`(?m)^[ \t]*%[ \t\r\n]*(FS[LTDA]?[AI]|MO(IN|MM)|AD[ \t]*D?\d|AM[A-Za-z_.$]|T[FAO]\.?[A-Za-z_]|LP[DC]|IP(POS|NEG)|SFA|OFA|ASAX|LN|IN[^,\r\n]*\*)`)
	gerberCode  = format.Pattern(`^(G0?4[ ,][^*]*|G\d\d?|[GXYIJ\d+-]*D0?[123]|(G54)?D\d{2,})\*`)
	drillStart  = format.Pattern(`(?m)^[ \t]*M48[ \t\r]*$`)
	drillCode   = format.Pattern(`^(%|;.*|\(.*\)|M4[57].*|(N\d+ *)?(G90|G91|G0?[0-357]( *[XYAIJ][-+]?[\d.]+)*|G8[0157]|G93( *[XY]0*)*|G40|M\d\d(X[-+]?[\d.]+)?(Y[-+]?[\d.]+)?|R\d+(M0?2)?(X[-+]?[\d.]+)?(Y[-+]?[\d.]+)?|T\d+( *[FSBHCZ][-+]?[\d.]*)*|(X[-+]?[\d.]+)? *(Y[-+]?[\d.]+)?(G8[57].*)?(M30)?)|(FMAT|VER|ICI|ATC|DETECT|AFS|OSTOP|TCST),.*|(INCH|METRIC)(,.*)?)$`)
	drillBody   = format.Pattern(`(?m)^(N\d+ *)?(T\d+( *[FSBH][\d.]*)* *C[\d.]+|X[-+]?[\d.]+( *Y[-+]?[\d.]+)?|Y[-+]?[\d.]+)[ \t\r]*$`)
	dxfStart    = format.Pattern(`^(\s*999\r?\n[^\n]*\n)*\s*0\s*\r?\nSECTION\s*\r?\n`)
	licence     = format.Pattern(`(?i)^(un)?licen[cs]e|^copying|^notice`)
	readme      = format.Pattern(`(?i)readme`)
)

// sniff tells what a file is, by its content first and only where that says nothing by its name;
// for a file that is not read it gives the reason.
func sniff(name string, data []byte) (kind Kind, ignored string) {
	ext := strings.ToLower(path.Ext(name))
	if isSystemFile(name) {
		return OtherFile, "a file of the operating system"
	}
	if len(bytes.TrimSpace(data)) == 0 {
		if k := kindByExtension(ext); k != "" {
			return k, "" // its reader says that it is empty
		}
		return OtherFile, "the file is empty"
	}
	start := bytes.TrimPrefix(data[:min(len(data), head)], []byte("\xef\xbb\xbf"))
	switch {
	case bytes.HasPrefix(start, []byte("%PDF-")):
		return OtherFile, "a PDF, for people to read"
	case isZip(data):
		return OtherFile, "a zip within a zip is not looked into: unpack it beside the others"
	case bytes.HasPrefix(start, []byte("%!PS")):
		return OtherFile, "a PostScript drawing, for people to read"
	case dxfStart().Match(start), bytes.Contains(start[:min(len(start), 22)], []byte(" Binary DXF\r\n\x1a\x00")):
		return DrawingFile, ""
	case bytes.HasPrefix(start, []byte("\x89PNG")), bytes.HasPrefix(start, []byte("\xff\xd8\xff")), bytes.HasPrefix(start, []byte("GIF8")):
		return OtherFile, "a picture"
	case isJob(start):
		return JobFile, ""
	case gerberStart().Match(start) || gerberCode().Match(bytes.TrimLeft(start, " \t\r\n")):
		return LayerFile, ""
	case drillStart().Match(start) || isBareDrill(start):
		return DrillFile, ""
	}
	if k := kindByExtension(ext); k != "" {
		return k, "" // damaged, perhaps: its reader says what is wrong, rather than nobody
	}
	switch {
	case isBinary(start) && centroid.Looks(data): // two bytes a letter, as spreadsheets write
		return PlacementFile, ""
	case isBinary(start):
		return OtherFile, "a binary file of a kind that is not read"
	case licence().MatchString(path.Base(name)):
		return OtherFile, "a licence text"
	case readme().MatchString(path.Base(name)):
		return OtherFile, "a text for people to read"
	case ext == ".md" || ext == ".markdown" || ext == ".rst" || ext == ".htm" || ext == ".html":
		return OtherFile, "a text for people to read"
	case netlist.Looks(data):
		return NetlistFile, ""
	case centroid.Looks(data):
		return PlacementFile, ""
	case ext == ".csv" || ext == ".tsv":
		return OtherFile, noPlaces
	}
	return OtherFile, noData
}

func isSystemFile(name string) bool {
	for _, part := range strings.Split(name, "/") {
		switch {
		case part == "__MACOSX", part == ".DS_Store", strings.EqualFold(part, "Thumbs.db"), strings.EqualFold(part, "desktop.ini"),
			strings.HasPrefix(part, "._"), part == ".git":
			return true
		}
	}
	return false
}

// kindByExtension knows the extensions that carry nothing but layers or drill data.
func kindByExtension(ext string) Kind {
	switch ext {
	case ".gbrjob":
		return JobFile
	case ".drl", ".drd", ".xln", ".xnc", ".exc", ".ncd", ".ncdril", ".drill":
		return DrillFile
	case ".gbr", ".ger", ".gerber", ".pho", ".gbx":
		return LayerFile
	}
	// The others of those extensions serve other kinds of files too.
	if _, ok := extensionClaim(ext); ok && (strings.HasPrefix(ext, ".g") || ext == ".oln") {
		return LayerFile
	}
	return ""
}

func isJob(start []byte) bool {
	t := bytes.TrimLeft(start, " \t\r\n")
	return bytes.HasPrefix(t, []byte("{")) && bytes.Contains(t, []byte(`"Header"`)) &&
		(bytes.Contains(t, []byte(`"GeneralSpecs"`)) || bytes.Contains(t, []byte(`"FilesAttributes"`)))
}

// isBareDrill tells whether a text without the usual first line is drill data all the same: every
// line of its beginning must be a drill code, and at least one of them a tool or a place.
func isBareDrill(start []byte) bool {
	body := false
	for i, line := range strings.Split(string(start), "\n") {
		line = strings.TrimSpace(line)
		if i == 60 {
			break
		}
		if len(line) > 200 || !drillCode().MatchString(line) {
			return false
		}
		body = body || drillBody().MatchString(line)
	}
	return body
}

// isBinary tells whether the bytes are no text: a NUL, or more than one control character in twenty.
func isBinary(start []byte) bool {
	odd := 0
	for _, c := range start {
		if c == 0 {
			return true
		}
		if c < ' ' && c != '\t' && c != '\n' && c != '\r' && c != '\f' {
			odd++
		}
	}
	return odd*20 > len(start)
}
