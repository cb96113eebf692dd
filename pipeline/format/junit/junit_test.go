package junit

import (
	"encoding/xml"
	"strings"
	"testing"
	"unicode/utf8"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

func TestEncode(t *testing.T) {
	got, err := Encode([]Suite{{Name: "cuts", Package: "gauge-12up", Properties: []Property{{"revision", "C"}}, Out: "warning: near\n",
		Cases: []Case{{Name: "copper-to-edge", Class: "gauge-12up.cuts"}, {Name: "slots", Class: "gauge-12up.cuts", Skipped: "plated <edge>"},
			{Name: "tabs", Class: "gauge-12up.cuts", Failure: &Failure{"error", "1 finding", "too near"}},
			{Name: "reading", Class: "gauge-12up.cuts", Error: &Failure{"input", "no file", "a.gbr: there is no such file"}}}}})
	require.NoError(t, err)
	assert.Equal(t, `<?xml version="1.0" encoding="UTF-8"?>
<testsuites>
  <testsuite id="0" name="cuts" package="gauge-12up" timestamp="1970-01-01T00:00:00" hostname="localhost" tests="4" failures="1" errors="1" time="0">
    <properties>
      <property name="revision" value="C"></property>
    </properties>
    <testcase name="copper-to-edge" classname="gauge-12up.cuts" time="0"></testcase>
    <testcase name="slots" classname="gauge-12up.cuts" time="0">
      <skipped>plated &lt;edge&gt;</skipped>
    </testcase>
    <testcase name="tabs" classname="gauge-12up.cuts" time="0">
      <failure type="error" message="1 finding">too near</failure>
    </testcase>
    <testcase name="reading" classname="gauge-12up.cuts" time="0">
      <error type="input" message="no file">a.gbr: there is no such file</error>
    </testcase>
    <system-out>warning: near&#xA;</system-out>
    <system-err></system-err>
  </testsuite>
</testsuites>
`, string(got))
}

func TestWhatTheFormatCannotHold(t *testing.T) {
	p := []Property{{"a", "b"}}
	for want, s := range map[string]Suite{
		"a suite of a JUnit report needs a name": {Name: " ", Properties: p},
		"suite x of a JUnit report needs a prop": {Name: "x"},
		"a property of suite x of a JUnit repor": {Name: "x", Properties: []Property{{}}},
		"needs a name and a class":               {Name: "x", Properties: p, Cases: []Case{{Name: "y"}}},
		"case y of a JUnit report fails, and co": {Name: "x", Properties: p, Cases: []Case{{Name: "y", Class: "z", Error: &Failure{}, Failure: &Failure{}}}},
		"case y of a JUnit report is skipped an": {Name: "x", Properties: p, Cases: []Case{{Name: "y", Class: "z", Skipped: "a", Failure: &Failure{}}}},
	} {
		_, err := Encode([]Suite{s})
		assert.ErrorContains(t, err, want)
	}
}

// Whatever texts there are: the report is XML, says the same every time, and gives the texts back, as far as
// XML can hold them.
func FuzzEncode(f *testing.F) {
	for _, s := range []string{"copper-to-edge", "\x00\x07\x1b[31m", "\xff\xfe", "]]><!--&amp;\"'", "\r\n\t", "\ufffe\uffff", "\u2028\U0001F600"} {
		f.Add(s, s)
	}
	f.Fuzz(func(t *testing.T, name, text string) {
		suites := []Suite{{Name: "x" + name, Package: name, Properties: []Property{{"a", text}}, Out: text,
			Cases: []Case{{Name: "x" + name, Class: "y", Failure: &Failure{name, text, text}}, {Name: "z", Class: "z", Skipped: text}, {Name: "e", Class: "e", Error: &Failure{name, text, text}}}}}
		got, err := Encode(suites)
		require.NoError(t, err)
		again, err := Encode(suites)
		require.NoError(t, err)
		require.Equal(t, got, again)
		require.True(t, utf8.Valid(got))
		var back suitesXML
		require.NoError(t, xml.Unmarshal(got, &back))
		s := back.Suites[0]
		require.Equal(t, held("x"+name), s.Name)
		require.Equal(t, held(text), s.Out)
		require.Equal(t, held(text), s.Cases[0].Failure.Text)
		require.Equal(t, held(text), s.Cases[0].Failure.Message)
		require.Equal(t, held(text), s.Cases[2].Error.Text)
		if text != "" {
			require.Equal(t, held(text), *s.Cases[1].Skipped)
		}
	})
}

// held is a text as XML can hold it.
func held(s string) string {
	var b strings.Builder
	for _, c := range s {
		ok := c == '\t' || c == '\n' || c == '\r' || c >= 0x20 && c <= 0xd7ff || c >= 0xe000 && c <= 0xfffd || c >= 0x10000
		if !ok {
			c = '\ufffd'
		}
		b.WriteRune(c)
	}
	return b.String()
}
