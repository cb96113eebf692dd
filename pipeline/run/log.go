package run

import (
	"bytes"
	"encoding/json"
	"fmt"
	"io"
	"strings"
	"sync"
	"time"

	"github.com/rs/zerolog"
)

// journal is the log of one build. Every event goes to build.log as it is, without a time, and to
// the console with the time since the build began, which never reaches a file.
type journal struct {
	mu      sync.Mutex
	lines   bytes.Buffer
	console io.Writer
	start   time.Time
}

func newJournal(console io.Writer) *journal {
	return &journal{console: console, start: time.Now()}
}

// logger gives a logger that states no time.
func (j *journal) logger() zerolog.Logger { return zerolog.New(j) }

// Write takes one event, a JSON line.
func (j *journal) Write(line []byte) (int, error) {
	j.mu.Lock()
	defer j.mu.Unlock()
	j.lines.Write(line)
	if j.console != nil {
		if text := humanLine(line); text != "" {
			fmt.Fprintf(j.console, "%8.3f s  %s\n", time.Since(j.start).Seconds(), text)
		}
	}
	return len(line), nil
}

// say tells the console alone.
func (j *journal) say(format string, a ...any) {
	j.mu.Lock()
	defer j.mu.Unlock()
	if j.console != nil {
		fmt.Fprintf(j.console, "%8.3f s  %s\n", time.Since(j.start).Seconds(), fmt.Sprintf(format, a...))
	}
}

// length gives how long the log is, for cut.
func (j *journal) length() int {
	j.mu.Lock()
	defer j.mu.Unlock()
	return j.lines.Len()
}

// cut drops what was logged after the log was n bytes long.
func (j *journal) cut(n int) {
	j.mu.Lock()
	defer j.mu.Unlock()
	j.lines.Truncate(n)
}

// bytes gives the log so far.
func (j *journal) bytes() []byte {
	j.mu.Lock()
	defer j.mu.Unlock()
	return bytes.Clone(j.lines.Bytes())
}

// stageEnds is logged when a stage is done.
const stageEnds = "ends"

// humanLine words an event for people: stage, message, then the fields in the order in which they
// were logged. Debug events give nothing.
func humanLine(line []byte) string {
	d := json.NewDecoder(bytes.NewReader(line))
	d.UseNumber()
	if t, err := d.Token(); err != nil || t != json.Delim('{') {
		return strings.TrimSpace(string(line))
	}
	var level, stage, message string
	var rest []string
	for d.More() {
		key, err := d.Token()
		var value json.RawMessage
		if err != nil || d.Decode(&value) != nil {
			break
		}
		text := string(value)
		var s string
		if json.Unmarshal(value, &s) == nil {
			text = s
		}
		switch key {
		case zerolog.LevelFieldName:
			level = text
		case "stage":
			stage = text
		case zerolog.MessageFieldName:
			message = text
		default:
			if strings.ContainsAny(text, " \t\n") && text[0] != '[' && text[0] != '{' {
				text = fmt.Sprintf("%q", text)
			}
			rest = append(rest, fmt.Sprintf("%v=%s", key, text))
		}
	}
	switch level {
	case "info":
		if message == stageEnds && len(rest) == 0 {
			return "" // the next line says it
		}
	case "debug", "trace":
		return ""
	case "warn", "error":
		message = map[string]string{"warn": "warning: ", "error": "error: "}[level] + message
	}
	out := fmt.Sprintf("%-16s %s", stage, message)
	if len(rest) > 0 {
		out += "  " + strings.Join(rest, " ")
	}
	return strings.TrimRight(out, " ")
}
