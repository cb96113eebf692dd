package cli

import (
	"os"
	"runtime"
	"runtime/debug"
	"runtime/metrics"
)

// Garbage is collected when it is half of what is in use, which keeps a large build's peak near what it reads and writes, but
// not before there is this much of it: small builds would otherwise spend a third of their time on it.
const (
	garbagePercent = 50
	garbageLeast   = 32 << 20 // bytes
)

// paceGarbage sets the pace of the collector anew after each time that it has run, unless GOGC says what it is to be.
func paceGarbage() {
	if os.Getenv("GOGC") != "" {
		return
	}
	pace()
	watchGarbage()
}

// watchGarbage is called by the collector itself: what nothing refers to is told of when it is collected.
func watchGarbage() {
	type sentinel struct{ _ [16]byte }
	runtime.SetFinalizer(&sentinel{}, func(*sentinel) {
		pace()
		watchGarbage()
	})
}

func pace() {
	live := []metrics.Sample{{Name: "/gc/heap/live:bytes"}}
	metrics.Read(live)
	percent := 1000
	if n := live[0].Value.Uint64(); n > 0 {
		percent = int(min(1000, garbageLeast*100/n))
	}
	debug.SetGCPercent(max(garbagePercent, percent))
}
