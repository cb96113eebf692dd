package shophelper

import (
	"errors"
	"fmt"
	"math"
	"slices"
	"strings"
	"time"

	"panelwright/pipeline"
	"panelwright/stages/shophelper/child"
)

// unit is a unit of a limit.
type unit struct {
	name string
	in   float64
}

const kib, mib, gib = 1 << 10, 1 << 20, 1 << 30

// bound is what a limit may be. The first unit is that of a plain number.
type bound struct {
	option     string
	units      []unit
	low, high  float64
	says, must string
}

var (
	timeBound = bound{"time_limit", []unit{{"s", float64(time.Second)}, {"ms", float64(time.Millisecond)}, {"min", float64(time.Minute)}, {"h", float64(time.Hour)}},
		float64(100 * time.Millisecond), float64(time.Hour), "30 s", "between 0.1 s and 1 h"}
	outputBound = bound{"output_limit", []unit{{"MiB", mib}, {"KiB", kib}}, kib, 256 * mib, "16 MiB", "between 1 KiB and 256 MiB"}
	memoryBound = bound{"memory_limit", []unit{{"MiB", mib}, {"GiB", gib}}, 16 * mib, 64 * gib, "512 MiB", "between 16 MiB and 64 GiB"}
)

// of gives the limit in the units' base: nanoseconds or bytes.
func (b bound) of(q pipeline.Quantity) (int64, error) {
	i := slices.IndexFunc(b.units, func(u unit) bool { return u.name == q.Unit || q.Unit == "" })
	if i < 0 {
		var names []string
		for _, u := range b.units {
			names = append(names, u.name)
		}
		return 0, &pipeline.BadOption{Option: b.option, Reason: fmt.Sprintf("has the unit %q; it takes %s, as in %q", q.Unit, strings.Join(names, ", "), b.says)}
	}
	v := math.Round(q.Value * b.units[i].in)
	if !(v >= b.low && v <= b.high) {
		return 0, &pipeline.BadOption{Option: b.option, Reason: fmt.Sprintf("is %s; it must lie %s", q, b.must)}
	}
	return int64(v), nil
}

// text writes a limit with its unit.
func (b bound) text(q pipeline.Quantity) string {
	if q.Unit == "" {
		q.Unit = b.units[0].name
	}
	return q.String()
}

func (h *ShopHelper) limits() (child.Limits, error) {
	t, err1 := timeBound.of(h.TimeLimit)
	o, err2 := outputBound.of(h.OutputLimit)
	m, err3 := memoryBound.of(h.MemoryLimit)
	return child.Limits{Time: time.Duration(t), Output: o, Memory: m}, errors.Join(err1, err2, err3)
}
