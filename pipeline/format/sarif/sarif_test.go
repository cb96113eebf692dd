package sarif

import (
	"encoding/json"
	"net/url"
	"strings"
	"testing"
	"unicode/utf8"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

func TestEncode(t *testing.T) {
	got, err := Encode(Log{
		Tool: Tool{"panelwright", "1.2"}, ID: "gauge-12up", Bases: map[string]string{"HOME": "the recipe's folder"},
		Rules: []Rule{{ID: "rail-width", Summary: "Rails are wide.", Help: "Look.", Level: Error}},
		Results: []Result{
			{Rule: "rail-width", Level: Error, Message: "too narrow", Place: &Place{"HOME", "../shop/a b.hcl", 3, 5}, Logical: []Logical{{"rail/lower", "feature"}},
				Fingerprints: map[string]string{"a/v1": "f"}, Suppressions: []Suppression{{"agreed", &Place{"HOME", "g.hcl", 1, 1}}}, Properties: map[string]any{"measured": 8}},
			{Rule: "other", Level: Note, Message: "left out", NotJudged: true},
		},
	})
	require.NoError(t, err)
	assert.Equal(t, `{
  "$schema": "https://docs.oasis-open.org/sarif/sarif/v2.1.0/errata01/os/schemas/sarif-schema-2.1.0.json",
  "version": "2.1.0",
  "runs": [
    {
      "tool": {
        "driver": {
          "name": "panelwright",
          "version": "1.2",
          "rules": [
            {
              "id": "rail-width",
              "shortDescription": {
                "text": "Rails are wide."
              },
              "help": {
                "text": "Look."
              },
              "defaultConfiguration": {
                "level": "error"
              }
            }
          ]
        }
      },
      "automationDetails": {
        "id": "gauge-12up/"
      },
      "columnKind": "unicodeCodePoints",
      "originalUriBaseIds": {
        "HOME": {
          "description": {
            "text": "the recipe's folder"
          }
        }
      },
      "results": [
        {
          "ruleId": "rail-width",
          "ruleIndex": 0,
          "level": "error",
          "message": {
            "text": "too narrow"
          },
          "locations": [
            {
              "physicalLocation": {
                "artifactLocation": {
                  "uri": "../shop/a%20b.hcl",
                  "uriBaseId": "HOME"
                },
                "region": {
                  "startLine": 3,
                  "startColumn": 5
                }
              },
              "logicalLocations": [
                {
                  "fullyQualifiedName": "rail/lower",
                  "kind": "feature"
                }
              ]
            }
          ],
          "partialFingerprints": {
            "a/v1": "f"
          },
          "suppressions": [
            {
              "kind": "inSource",
              "status": "accepted",
              "justification": "agreed",
              "location": {
                "physicalLocation": {
                  "artifactLocation": {
                    "uri": "g.hcl",
                    "uriBaseId": "HOME"
                  },
                  "region": {
                    "startLine": 1,
                    "startColumn": 1
                  }
                }
              }
            }
          ],
          "properties": {
            "measured": 8
          }
        },
        {
          "ruleId": "other",
          "kind": "notApplicable",
          "level": "none",
          "message": {
            "text": "left out"
          }
        }
      ]
    }
  ]
}
`, string(got))
}

func TestWhatTheFormatCannotHold(t *testing.T) {
	tool := Tool{Name: "x"}
	for want, l := range map[string]Log{
		"needs its tool's name":         {},
		`no level "fatal"`:              {Tool: tool, Results: []Result{{Rule: "a", Message: "b", Level: "fatal"}}},
		`rule a: SARIF has no level ""`: {Tool: tool, Rules: []Rule{{ID: "a"}}},
		`the rule "a" twice`:            {Tool: tool, Rules: []Rule{{ID: "a", Level: None}, {ID: "a", Level: None}}},
		"needs a rule and a message":    {Tool: tool, Results: []Result{{Rule: "a", Level: Note}}},
	} {
		_, err := Encode(l)
		assert.ErrorContains(t, err, want)
	}
}

// What stands in braces or brackets is text, not a placeholder or a link.
func TestMessagesAreText(t *testing.T) {
	for in, want := range map[string]string{
		"plain": "plain", "block {0}": "block {{0}}", "[a](b)": `\[a](b)`, "list [1, 2]": "list [1, 2]",
	} {
		assert.Equal(t, want, escape(in))
	}
}

// Whatever texts there are: the log is JSON, says the same every time, and gives the texts back, as far as
// they are text.
func FuzzEncode(f *testing.F) {
	for _, s := range []string{"rail/lower", "\x00\x1b[31m", "\xff\xfe", "a b#?%é/../c:d", "</script>\u2028", "{0}[x](y)"} {
		f.Add("0", "a\x1ab#\"%\xc3", "//b#\x80\x00/../c:d")
		f.Add(s, s, s)
	}
	f.Fuzz(func(t *testing.T, rule, message, file string) {
		l := Log{Tool: Tool{Name: "x"}, Results: []Result{{Rule: rule, Level: Note, Message: message, Place: &Place{File: file, Line: 1, Column: 1}}}}
		got, err := Encode(l)
		if rule == "" || message == "" {
			require.Error(t, err)
			return
		}
		require.NoError(t, err)
		again, err := Encode(l)
		require.NoError(t, err)
		require.Equal(t, got, again)
		require.True(t, utf8.Valid(got))
		var back struct {
			Runs []struct {
				Results []struct {
					RuleID    string
					Message   struct{ Text string }
					Locations []struct {
						PhysicalLocation struct{ ArtifactLocation struct{ URI string } }
					}
				}
			}
		}
		require.NoError(t, json.Unmarshal(got, &back))
		r := back.Runs[0].Results[0]
		require.Equal(t, strings.ToValidUTF8(rule, "\ufffd"), fold(r.RuleID, rule))
		require.Equal(t, strings.ToValidUTF8(escape(message), "\ufffd"), fold(r.Message.Text, escape(message)))
		u, err := url.Parse(r.Locations[0].PhysicalLocation.ArtifactLocation.URI)
		require.NoError(t, err)
		require.Empty(t, u.Scheme, "a file is no address of another machine")
		require.Empty(t, u.Host, "nor of one without a scheme")
		if strings.HasPrefix(file, "//") {
			file = "/." + file
		}
		require.Equal(t, strings.TrimPrefix(u.Path, "./"), strings.TrimPrefix(file, "./"))
	})
}

// fold makes one replacement character of several in a row, as ToValidUTF8 does, where the text had bytes that
// are no text.
func fold(got, was string) string {
	if utf8.ValidString(was) {
		return got
	}
	return strings.ToValidUTF8(was, "\ufffd")
}
