package run

import (
	"io/fs"
	"time"
)

// Stamp is what the system says of a file without reading it: as long as it says the same, the content is the same. The time
// of the last change of content or state (ctime) is set by the system alone, so it also tells of changes that put
// size and date back.
type Stamp struct {
	Bytes    int64  `json:"bytes"`
	Modified int64  `json:"modified"`          // ns since 1970
	Changed  int64  `json:"changed,omitempty"` // ns since 1970; 0 where the system does not say
	Number   uint64 `json:"number,omitempty"`  // of the file on its file system; 0 where the system does not say
	// Unsure: the file changed so shortly before it was looked at that it could change again with the same stamp.
	Unsure bool `json:"unsure,omitempty"`
}

// Same tells whether two stamps are of the same content for sure.
func (s Stamp) Same(t Stamp) bool {
	return !s.Unsure && s.Bytes == t.Bytes && s.Modified == t.Modified && s.Changed == t.Changed && s.Number == t.Number
}

// How finely file systems count time: those that count in fractions of a second do so by the ticks of the system's clock,
// 10 ms at most; others count whole seconds, or two (from memory).
const (
	fineTick   = 50 * time.Millisecond
	coarseTick = 2 * time.Second
)

// StampOf makes the stamp of what info tells.
func StampOf(info fs.FileInfo) Stamp {
	s := Stamp{Bytes: info.Size(), Modified: info.ModTime().UnixNano()}
	s.Changed, s.Number = changed(info)
	last, tick := max(s.Modified, s.Changed), fineTick
	if s.Modified%int64(time.Second) == 0 && s.Changed%int64(time.Second) == 0 {
		tick = coarseTick
	}
	// A date in the future says nothing of when the file changed.
	s.Unsure = time.Now().UnixNano()-last < int64(tick)
	return s
}
