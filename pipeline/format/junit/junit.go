// Package junit writes the XML reports of test runs that build servers read. There is no one standard: what is
// written fits the schema of Apache Ant's report tasks (windyroad, JUnit-Schema) and that of a build server's
// plug-in (junit-4.xsd of the xUnit plug-in), but for the element skipped, which the first does not know. It
// knows the format and nothing of what is judged.
package junit

import (
	"bytes"
	"encoding/xml"
	"fmt"
	"strings"
)

// Unknown is the time of a report that tells none: the beginning of the count of seconds. The schema wants one.
const Unknown = "1970-01-01T00:00:00"

// Suite is a group of cases.
type Suite struct {
	Name       string // not empty
	Package    string // what the suite is of
	Timestamp  string // 2006-01-02T15:04:05, without zone; Unknown when empty
	Properties []Property
	Cases      []Case
	Out        string // what else there is to say
}

// Property is a value with a name.
type Property struct{ Name, Value string }

// Case is one thing that was judged.
type Case struct {
	Name, Class string // not empty
	Failure     *Failure
	Error       *Failure // why it could not be judged at all
	Skipped     string   // why it was not judged; empty: it was
}

// Failure tells why a case failed, or could not be judged.
type Failure struct{ Type, Message, Text string }

// Encode writes the suites, indented. Characters that XML cannot hold, control characters among them, become
// replacement characters. Errors: what the format cannot hold.
func Encode(suites []Suite) ([]byte, error) {
	doc := suitesXML{}
	for i, s := range suites {
		if blank(s.Name) {
			return nil, fmt.Errorf("a suite of a JUnit report needs a name")
		}
		x := suiteXML{ID: i, Name: s.Name, Package: s.Package, Timestamp: s.Timestamp, Host: "localhost", Tests: len(s.Cases), Time: "0", Out: s.Out}
		if x.Timestamp == "" {
			x.Timestamp = Unknown
		}
		for _, p := range s.Properties {
			if blank(p.Name) {
				return nil, fmt.Errorf("a property of suite %s of a JUnit report needs a name", s.Name)
			}
			x.Properties.All = append(x.Properties.All, propertyXML(p))
		}
		if len(s.Properties) == 0 {
			return nil, fmt.Errorf("suite %s of a JUnit report needs a property", s.Name)
		}
		for _, c := range s.Cases {
			if blank(c.Name) || blank(c.Class) {
				return nil, fmt.Errorf("a case of suite %s of a JUnit report needs a name and a class", s.Name)
			}
			y := caseXML{Name: c.Name, Class: c.Class, Time: "0"}
			switch {
			case c.Skipped != "" && (c.Failure != nil || c.Error != nil):
				return nil, fmt.Errorf("case %s of a JUnit report is skipped and fails", c.Name)
			case c.Failure != nil && c.Error != nil:
				return nil, fmt.Errorf("case %s of a JUnit report fails, and could not be judged", c.Name)
			case c.Skipped != "":
				y.Skipped = &c.Skipped
			case c.Failure != nil:
				y.Failure = &failureXML{c.Failure.Type, c.Failure.Message, c.Failure.Text}
				x.Failures++
			case c.Error != nil:
				y.Error = &failureXML{c.Error.Type, c.Error.Message, c.Error.Text}
				x.Errors++
			}
			x.Cases = append(x.Cases, y)
		}
		doc.Suites = append(doc.Suites, x)
	}
	var b bytes.Buffer
	b.WriteString(xml.Header)
	e := xml.NewEncoder(&b)
	e.Indent("", "  ")
	if err := e.Encode(doc); err != nil {
		return nil, err
	}
	b.WriteByte('\n')
	return b.Bytes(), nil
}

func blank(s string) bool { return strings.TrimSpace(s) == "" }

type suitesXML struct {
	XMLName xml.Name   `xml:"testsuites"`
	Suites  []suiteXML `xml:"testsuite"`
}

type suiteXML struct {
	ID         int    `xml:"id,attr"`
	Name       string `xml:"name,attr"`
	Package    string `xml:"package,attr"`
	Timestamp  string `xml:"timestamp,attr"`
	Host       string `xml:"hostname,attr"` // never the machine's own: reports are the same everywhere
	Tests      int    `xml:"tests,attr"`
	Failures   int    `xml:"failures,attr"`
	Errors     int    `xml:"errors,attr"`
	Time       string `xml:"time,attr"`
	Properties struct {
		All []propertyXML `xml:"property"`
	} `xml:"properties"`
	Cases []caseXML `xml:"testcase"`
	Out   string    `xml:"system-out"`
	Err   string    `xml:"system-err"`
}

type propertyXML struct {
	Name  string `xml:"name,attr"`
	Value string `xml:"value,attr"`
}

type caseXML struct {
	Name    string      `xml:"name,attr"`
	Class   string      `xml:"classname,attr"`
	Time    string      `xml:"time,attr"`
	Skipped *string     `xml:"skipped"`
	Error   *failureXML `xml:"error"`
	Failure *failureXML `xml:"failure"`
}

type failureXML struct {
	Type    string `xml:"type,attr"`
	Message string `xml:"message,attr"`
	Text    string `xml:",chardata"`
}
