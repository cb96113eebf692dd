package stagetest

import (
	"crypto/sha256"
	"encoding/binary"
	"encoding/hex"
	"fmt"
	"hash"
	"maps"
	"math"
	"reflect"
	"slices"
)

// Fingerprint gives a hash of all that x holds, unexported fields and what pointers lead to
// included. It does not depend on addresses or map order. Functions and channels count as nil or not.
func Fingerprint(x any) string {
	p := printer{h: sha256.New(), seen: map[visit]int{}}
	p.value(reflect.ValueOf(x))
	return hex.EncodeToString(p.h.Sum(nil))
}

// visit is a pointer that has been followed; a second way to the same thing is written as a number.
type visit struct {
	at uintptr
	t  reflect.Type
}

type printer struct {
	h    hash.Hash
	seen map[visit]int
}

func (p *printer) text(s string) {
	p.number(uint64(len(s)))
	p.h.Write([]byte(s))
}

func (p *printer) number(n uint64) {
	var b [8]byte
	binary.LittleEndian.PutUint64(b[:], n)
	p.h.Write(b[:])
}

func (p *printer) value(v reflect.Value) {
	if !v.IsValid() {
		p.text("nothing")
		return
	}
	p.text(v.Type().String())
	switch v.Kind() {
	case reflect.Bool:
		p.text(fmt.Sprint(v.Bool()))
	case reflect.Int, reflect.Int8, reflect.Int16, reflect.Int32, reflect.Int64:
		p.number(uint64(v.Int()))
	case reflect.Uint, reflect.Uint8, reflect.Uint16, reflect.Uint32, reflect.Uint64, reflect.Uintptr:
		p.number(v.Uint())
	case reflect.Float32, reflect.Float64:
		p.number(math.Float64bits(v.Float()))
	case reflect.Complex64, reflect.Complex128:
		p.number(math.Float64bits(real(v.Complex())))
		p.number(math.Float64bits(imag(v.Complex())))
	case reflect.String:
		p.text(v.String())
	case reflect.Slice, reflect.Array:
		p.number(uint64(v.Len()))
		for i := range v.Len() {
			p.value(v.Index(i))
		}
	case reflect.Struct:
		for i := range v.NumField() {
			p.text(v.Type().Field(i).Name)
			p.value(v.Field(i))
		}
	case reflect.Interface:
		p.value(v.Elem())
	case reflect.Pointer:
		p.pointer(v)
	case reflect.Map:
		p.dictionary(v)
	default:
		p.text(fmt.Sprint(v.IsNil()))
	}
}

func (p *printer) pointer(v reflect.Value) {
	if v.IsNil() {
		p.text("nil")
		return
	}
	key := visit{v.Pointer(), v.Type()}
	if n, ok := p.seen[key]; ok {
		p.text("again")
		p.number(uint64(n))
		return
	}
	p.seen[key] = len(p.seen)
	p.value(v.Elem())
}

// dictionary hashes each entry by itself and sorts the hashes.
func (p *printer) dictionary(v reflect.Value) {
	var entries []string
	for it := v.MapRange(); it.Next(); {
		q := printer{h: sha256.New(), seen: maps.Clone(p.seen)}
		q.value(it.Key())
		q.value(it.Value())
		entries = append(entries, string(q.h.Sum(nil)))
	}
	slices.Sort(entries)
	p.number(uint64(len(entries)))
	for _, e := range entries {
		p.text(e)
	}
}
