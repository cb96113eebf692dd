package summary

import (
	"bytes"
	"cmp"
	"encoding/hex"
	"encoding/json"
	"errors"
	"fmt"
	"io"
	"strings"
)

// MostBytes is how long a summary may be to be read.
const MostBytes = 256 << 20

// Read reads a summary that JSON wrote, and takes nothing else: every field must be one that summaries have, and counts, order and
// exit codes must follow from the builds. Errors are sentences without the file's name.
func Read(data []byte) (Summary, error) { return ReadFrom(bytes.NewReader(data)) }

// ReadFrom is Read for what comes from r, whose own errors it returns as they are.
func ReadFrom(r io.Reader) (Summary, error) { return readAtMost(r, MostBytes) }

func readAtMost(r io.Reader, most int64) (Summary, error) {
	data, err := io.ReadAll(io.LimitReader(r, most+1))
	if err != nil {
		return Summary{}, err
	}
	if int64(len(data)) > most {
		return Summary{}, fmt.Errorf("is longer than a summary can be (%d MiB)", most>>20)
	}
	var s Summary
	d := json.NewDecoder(bytes.NewReader(data))
	d.DisallowUnknownFields()
	if err := d.Decode(&s); err != nil {
		var peek struct{ Schema int }
		if json.Unmarshal(data, &peek) == nil && peek.Schema > Schema {
			return Summary{}, laterSchema(peek.Schema)
		}
		return Summary{}, fmt.Errorf("is no summary that build --summary wrote as JSON: %s", jsonFault(data, err))
	}
	if _, err := d.Token(); err != io.EOF {
		return Summary{}, errors.New("holds something else after the summary")
	}
	if err := s.check(); err != nil {
		return Summary{}, err
	}
	return s, nil
}

func laterSchema(n int) error {
	return fmt.Errorf("was written by a later version of the program (schema %d, and this one reads %d)", n, Schema)
}

// jsonFault words what is wrong with JSON, and on which line.
func jsonFault(data []byte, err error) string {
	var syntax *json.SyntaxError
	var kind *json.UnmarshalTypeError
	line := func(at int64) int { return 1 + bytes.Count(data[:min(max(at, 0), int64(len(data)))], []byte("\n")) }
	switch {
	case len(bytes.TrimSpace(data)) == 0:
		return "it is empty"
	case errors.As(err, &syntax):
		return fmt.Sprintf("line %d is no JSON", line(syntax.Offset))
	case errors.As(err, &kind):
		return fmt.Sprintf("line %d: %s is of another kind than summaries have there", line(kind.Offset), cmp.Or(kind.Field, "all of it"))
	case errors.Is(err, io.ErrUnexpectedEOF):
		return "it ends too early"
	}
	return strings.TrimPrefix(err.Error(), "json: ")
}

// check tells whether the summary is one that New could have made.
func (s Summary) check() error {
	switch {
	case s.Schema > Schema:
		return laterSchema(s.Schema)
	case s.Schema != Schema:
		return fmt.Errorf("is no summary: its schema is %d, and %d is wanted", s.Schema, Schema)
	case s.Tool.Name == "":
		return errors.New("does not say which program wrote it")
	case s.Reject != "error" && s.Reject != "warning":
		return fmt.Errorf("does not say which findings closed the release gate: reject is %q", s.Reject)
	}
	if p := s.Part; p != nil {
		sum, err := hex.DecodeString(p.Names)
		if p.Of < 1 || p.Of > MostParts || p.Index < 0 || p.Index >= p.Of || p.Recipes < 0 || err != nil || len(sum) != 32 {
			return errors.New("does not say clearly which part of the recipes it is")
		}
	}
	for i, r := range s.Builds {
		if err := r.check(); err != nil {
			return fmt.Errorf("build %d: %w", i+1, err)
		}
		if i > 0 && compareRows(s.Builds[i-1], r) >= 0 {
			return fmt.Errorf("builds are not in order of their names, each once: %s comes after %s", r.Title(), s.Builds[i-1].Title())
		}
	}
	if n, exit := count(s.Builds); n != s.Counts || exit != s.Exit {
		return errors.New("its counts or its exit code do not follow from its builds: it was changed after it was written")
	}
	return nil
}

func (r Row) check() error {
	name := r.Title()
	switch {
	case strings.TrimSpace(r.Recipe) == "":
		return errors.New("names no recipe")
	case r.State != StateOf(r.Exit):
		return fmt.Errorf("%s: state %q does not go with exit code %d", name, r.State, r.Exit)
	case r.State == Stopped && (r.Exit != 2 && r.Exit != 3 || r.reason() == ""):
		return fmt.Errorf("%s: is stopped, and does not say why", name)
	case (r.State == Good || r.State == Held) && (r.Findings == nil || r.Panel == ""):
		return fmt.Errorf("%s: was judged, and does not say which panel or what was found", name)
	case r.State != Held && len(r.Closing) > 0:
		return fmt.Errorf("%s: is %s, and its findings say otherwise", name, r.State)
	}
	return nil
}
