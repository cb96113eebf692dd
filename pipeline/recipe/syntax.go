package recipe

import (
	"strings"

	"github.com/hashicorp/hcl/v2"
)

// sentences are our own words for what the syntax reader finds, by its summary.
var sentences = map[string][2]string{
	"Attribute redefined":                             {"%s is set twice in this block", "keep one of them"},
	"Duplicate attribute definition":                  {"%s is set twice in this block", "keep one of them"},
	"Invalid argument name":                           {"the name of an option is written without quotes", "write name = value"},
	"Unclosed configuration block":                    {"this block is not closed before the end of the file", "write } where it ends; a brace further up may be missing too"},
	"Unclosed configuration body":                     {"this block is not closed before the end of the file", "write } where it ends"},
	"Argument or block definition required":           {"an option or a block must stand here", "write name = value, or name { … }"},
	"Argument definition required":                    {"a block on one line holds one option and nothing else", "put each option and each block on a line of its own"},
	"Invalid single-argument block definition":        {"a block on one line holds one option and nothing else", "put each option on a line of its own"},
	"Missing newline after argument":                  {"an option ends with its line, and more follows", "put the next option on a line of its own"},
	"Unexpected comma after argument":                 {"no comma stands after an option", "put each option on a line of its own"},
	"Missing newline after block definition":          {"a block ends with its line, and more follows", "put what follows on a line of its own"},
	"Invalid block definition":                        {"the head of a block is not complete", `write it as stage "array" {, with the brace on the same line`},
	"Missing false expression in conditional":         {"the choice lacks its second value", "write condition ? value : value"},
	"Invalid attribute name":                          {"a name must follow the dot", "write it as given.columns"},
	"Missing close bracket on index":                  {"the bracket is not closed", "write ]"},
	"Missing close bracket on splat index":            {"the bracket is not closed", "write ]"},
	"Unbalanced parentheses":                          {"the parenthesis is not closed", "write )"},
	"Missing expression":                              {"a value is missing", `write a number, a "text", true, false, a list in [ ] or an expression`},
	"Invalid expression":                              {"a value must stand here", `write a number, a "text", true, false, a list in [ ] or an expression`},
	"Invalid number literal":                          {"this is not a number", "write it as 0.25"},
	"Unterminated function call":                      {"the parenthesis of this function is not closed", "write )"},
	"Missing argument separator":                      {"a comma is missing between a function's values", "write it as min(1, 2)"},
	"Unterminated tuple constructor expression":       {"this list is not closed", "write ] where it ends"},
	"Missing item separator":                          {"a comma is missing in this list", `write it as ["upper", "lower"]`},
	"Unterminated object constructor expression":      {"this brace is not closed", "write } where it ends"},
	"Missing attribute separator":                     {"a comma or a new line is missing here", "put each name = value on a line of its own"},
	"Missing attribute value":                         {"a value is missing", "write name = value"},
	"Missing key/value separator":                     {"an equals sign is missing", "write name = value"},
	"Invalid string literal":                          {"this text cannot be read", `write it in double quotes, on one line, without ${ or %{`},
	"Unterminated string literal":                     {"this text is not closed", `write " where it ends`},
	"Unterminated template string":                    {"this text is not closed on its line", `write " where it ends`},
	"Invalid multi-line string":                       {"this text is not closed on its line", `write " where it ends`},
	"Invalid escape sequence":                         {"a backslash in a text must be followed by n, r, t, \", \\ or u and four digits", `write \\ for a backslash itself; folders are joined by /`},
	"Unsupported operator":                            {"this sign is no operator here", "use + - * / % == != < > <= >= && || ! and ? :"},
	"Invalid character":                               {"this character has no meaning here", `texts stand in straight double quotes: "text"`},
	"Invalid character encoding":                      {"the file is not text in UTF-8", "save it as UTF-8"},
	"Unclosed template interpolation sequence":        {"the ${ in this text is not closed", "write }, or $${ for the two characters themselves"},
	"Extra characters after interpolation expression": {"the expression in ${ } is followed by more", "close it with }, or write $${ for the two characters themselves"},

	"Extraneous data after value":       {"more follows after the closing brace", "a file is one object in { }"},
	"Missing JSON value":                {"a value is missing", "write an object, a list, a number, a text, true or false"},
	"Missing array element value":       {"a member of the list is missing", "drop the comma, or write the member"},
	"Missing value":                     {"the file ends too early", "close the braces"},
	"Invalid start of value":            {"a value must stand here", "write an object, a list, a number, a text, true or false"},
	"Invalid object property name":      {"a name must be a text in double quotes", `write "name": value`},
	"Missing object value":              {"a value is missing", `write "name": value`},
	"Missing property value colon":      {"a colon is missing between name and value", `write "name": value`},
	"Trailing comma in object":          {"no comma stands after the last member", "drop it"},
	"Trailing comma in array":           {"no comma stands after the last member", "drop it"},
	"Unclosed object":                   {"this bracket is not closed", "close it"},
	"Mismatched braces":                 {"a bracket closes what a brace has opened", "write }"},
	"Mismatched brackets":               {"a brace closes what a bracket has opened", "write ]"},
	"Missing attribute seperator comma": {"a comma is missing", "write it before this member"},
	"Invalid array value":               {"a list has no names", "write [value, value], or an object in { }"},
	"Invalid JSON number":               {"this is not a number", "write it as 0.25"},
	"Invalid JSON string":               {"this text cannot be read", "close it on its line, and write \\\\ for a backslash"},
	"Invalid JSON keyword":              {"this word has no meaning here", "texts stand in double quotes; the bare words are true and false"},
	"Incorrect JSON value type":         {"an object must stand here", `write { "name": value }`},
	"Missing block label":               {"the name of this block is missing", `write it as "stage": { "array": { … } }`},
	"Root value must be object":         {"the file must be one object", `write { "panel": { … } }`},
}

// reword says in our own words what the syntax reader found. A soft mistake leaves the rest of the
// file as it was meant, so that it can be checked all the same.
func (s *source) reword(d *hcl.Diagnostic) (m Mistake, soft bool) {
	var at hcl.Range
	if d.Subject != nil {
		at = *d.Subject
	}
	text, ok := sentences[d.Summary]
	switch {
	case ok:
	case strings.Contains(d.Summary, "'for'"):
		text = [2]string{"this loop is not complete", "write it as [for x in list : x * 2]"}
	case strings.Contains(d.Summary, "directive"), strings.Contains(d.Summary, "template"), strings.Contains(d.Summary, "marker"):
		text = [2]string{"the %{ in this text is not complete", "write %%{ for the two characters themselves"}
	default:
		text = [2]string{"this cannot be read as part of a recipe", "write name = value, or name { … }"}
	}
	what := text[0]
	if strings.HasSuffix(what, "is set twice in this block") {
		soft = true
		what = strings.Replace(what, "%s", strings.Trim(s.slice(hcl.Range{Start: at.Start, End: nameEnd(s, at)}), `"`), 1)
	}
	return s.mistake(at, what, text[1]), soft
}

// nameEnd cuts a range down to the word it begins with.
func nameEnd(s *source, r hcl.Range) hcl.Pos {
	word := s.slice(r)
	if n := strings.IndexAny(word, " =\t"); n >= 0 {
		r.End.Byte = r.Start.Byte + n
	}
	return r.End
}
