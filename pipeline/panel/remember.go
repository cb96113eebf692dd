package panel

import "sync"

// memory holds what has been worked out of one panel value. It is kept behind a function, so that it is no part of what
// the panel is.
type memory func(key any, work func() (any, error)) (any, error)

func newMemory() memory {
	type entry struct {
		sync.Mutex
		done  bool
		value any
	}
	var all sync.Map
	return func(key any, work func() (any, error)) (any, error) {
		x, _ := all.LoadOrStore(key, &entry{})
		e := x.(*entry)
		e.Lock()
		defer e.Unlock()
		if e.done {
			return e.value, nil
		}
		v, err := work()
		if err == nil { // an error may be that somebody would wait no longer
			e.done, e.value = true, v
		}
		return v, err
	}
}

// Remember gives what work gives, which must follow from the panel alone and is worked out once for each panel value,
// whoever asks. The key is of a type of the caller's own. Results are shared: nobody may change them.
func (p Panel) Remember(key any, work func() (any, error)) (any, error) {
	if m := p.get().memory; m != nil {
		return m(key, work)
	}
	return work()
}

// Agree gives the panel with what is agreed about bad copies. What was remembered of it still holds.
func (p Panel) Agree(x XOut) (Panel, error) {
	out, err := p.Edit().SetXOut(x).Build()
	if err == nil {
		out.d.memory = p.get().memory
	}
	return out, err
}
