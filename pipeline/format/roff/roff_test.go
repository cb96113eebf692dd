package roff_test

import (
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"

	"panelwright/pipeline/format/roff"
)

func TestAPage(t *testing.T) {
	p := roff.New("acme-panels", 1, "2026-09-01", "acme-panels 1", `Manual of "acme"`).
		Name("acme-panels", "panels by recipe").
		Section("Description").Text("It builds\n.hidden files.\n\nIt says:\n    a  \"b\" \\n\n    'c'\nand goes on.").
		Item("-o, --out", "a folder").In().ItemTaking("x", "(mm)", strings.Repeat("word ", 20)).Out().
		Text("Below.").Part("More").Text("µ ~ ^ `")
	assert.Equal(t, `.TH "ACME\-PANELS" 1 "2026-09-01" "acme\-panels 1" "Manual of \(dqacme\(dq"
.ad l
.SH "NAME"
acme\-panels \- panels by recipe
.SH "DESCRIPTION"
It builds .hidden files.
.PP
It says:
.PP
.EX
    a  "b" \(rsn
    \(aqc\(aq
.EE
.PP
and goes on.
.TP
\fB\-o, \-\-out\fR
a folder
.RS
.TP
\fBx\fR (mm)
word word word word word word word word word word word word word word word
word word word word word
.RE
.PP
Below.
.SS "More"
\[u00B5] \(ti \(ha \(ga
`, string(p.Bytes()))
	// What begins with a dot is text.
	assert.Contains(t, string(roff.New("x", 1, "", "", "").Text(".hidden").Bytes()), "\n\\&.hidden\n")
}
