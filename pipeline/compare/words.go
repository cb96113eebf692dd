package compare

import (
	"fmt"
	"math"
	"strconv"
	"strings"

	"panelwright/pipeline/geom"
	"panelwright/pipeline/markdown"
)

// count says how many, with the right form of the word.
func count(n int, one, many string) string {
	if n == 1 {
		return "1 " + one
	}
	return strconv.Itoa(n) + " " + many
}

// listed names some and counts the others.
func listed(names []string, most int) string {
	if len(names) > most {
		return strings.Join(names[:most-1], ", ") + fmt.Sprintf(" and %d more", len(names)-most+1)
	}
	return strings.Join(names, ", ")
}

// moved says how far and in which direction, as seen from the top.
func moved(d geom.Point) string {
	var parts []string
	if d.X > 0 {
		parts = append(parts, d.X.String()+" to the right")
	} else if d.X < 0 {
		parts = append(parts, (-d.X).String()+" to the left")
	}
	if d.Y > 0 {
		parts = append(parts, d.Y.String()+" up")
	} else if d.Y < 0 {
		parts = append(parts, (-d.Y).String()+" down")
	}
	return "moved " + strings.Join(parts, " and ")
}

// square writes an area in square millimetres with three digits that count.
func square(mm2 float64) string {
	switch {
	case mm2 == 0:
		return "0 mm²"
	case mm2 < 0.00001:
		return "less than 0.00001 mm²"
	}
	digits := max(0, 2-int(math.Floor(math.Log10(mm2))))
	s := strconv.FormatFloat(mm2, 'f', digits, 64)
	if strings.Contains(s, ".") {
		s = strings.TrimRight(strings.TrimRight(s, "0"), ".")
	}
	return s + " mm²"
}

// mm2 gives an area in square millimetres, rounded to a square micrometre.
func mm2(nm2 float64) float64 { return math.Round(nm2/1e6) / 1e6 }

// fieldWord makes words of a key of panel.json, and tells its unit.
func fieldWord(key string) (word, unit string) {
	for _, u := range []struct{ end, unit string }{{"_mm", " mm"}, {"_deg", "°"}, {"_newton", " N"}, {"_hertz", " Hz"}, {"_percent", " %"}} {
		if w, ok := strings.CutSuffix(key, u.end); ok {
			key, unit = w, u.unit
		}
	}
	return strings.ReplaceAll(key, "_", " "), unit
}

// short makes a value of panel.json fit to stand in a line; it is empty for what is too long to be read there.
func short(v, unit string) string {
	if strings.ContainsAny(v, "{[") {
		if v = strings.Trim(v, "[]"); strings.ContainsAny(v, "{[") || len(v) > 60 {
			return ""
		}
		v = strings.ReplaceAll(v, ",", ", ")
	}
	v = plainText(strings.ReplaceAll(v, `"`, ""))
	if v == "" || len(v) > 120 {
		return v
	}
	if c := v[len(v)-1]; c >= '0' && c <= '9' {
		v += unit
	}
	return v
}

// plainText keeps what would spoil a line out of a text that the user wrote, and bounds it.
func plainText(s string) string { return markdown.Plain(s) }
