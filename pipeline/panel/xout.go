package panel

import (
	"fmt"

	"panelwright/pipeline/geom"
)

// Share is a part of a whole in millionths.
type Share int64

// Whole is all of it.
const Whole Share = 1_000_000

// Percent writes the share in per cent, rounded to a hundredth, without trailing zeros: "12.5 %".
func (s Share) Percent() string {
	n := (int64(s) + 50) / 100 // hundredths of a per cent
	return geom.Length(n*10_000).Decimal() + " %"
}

// XOut is what is agreed about panels that are delivered with some of their copies bad.
type XOut struct {
	Copies int    // how many copies of one panel may be bad
	Panels Share  // of the panels of a shipment that may have bad copies
	Source string // where the figures come from
	// Usual tells that neither recipe nor standard states them: another stage may still do so.
	Usual bool
}

// XOut gives what is agreed about bad copies; ok is false where nothing is.
func (p Panel) XOut() (x XOut, ok bool) {
	if x := p.get().xOut; x != nil {
		return *x, true
	}
	return XOut{}, false
}

// SetXOut says what is agreed about bad copies. Fewer than none, more than there are, and a share beyond the
// whole are errors.
func (b *Builder) SetXOut(x XOut) *Builder {
	if b.err == nil && (x.Copies < 0 || x.Copies > len(b.d.copies) || x.Panels < 0 || x.Panels > Whole) {
		b.err = fmt.Errorf("%d of %d copies, in %s of the panels, cannot be bad", x.Copies, len(b.d.copies), x.Panels.Percent())
	}
	b.d.xOut = &x
	return b
}

// CopperShare is how much of the panel's area one copper layer covers, without and with its thieving.
type CopperShare struct {
	Layer         Function // its Type is empty
	Before, After Share
}

// CopperShares gives the shares of the copper layers, where a stage has worked them out.
func (p Panel) CopperShares() []CopperShare {
	return append([]CopperShare(nil), p.get().copperShares...)
}

// SetCopperShares says how much of the panel's area each copper layer covers.
func (b *Builder) SetCopperShares(list []CopperShare) *Builder {
	b.d.copperShares = append([]CopperShare(nil), list...)
	return b
}

type xOutData struct {
	Copies int    `json:"bad_copies_at_most"`
	Panels mm     `json:"share_of_panels_at_most"` // written as every decimal with six places is
	Source string `json:"source,omitempty"`
	Usual  bool   `json:"usual,omitempty"`
}

type shareData struct {
	Layer  string `json:"layer"`
	Before mm     `json:"before"`
	After  mm     `json:"after"`
}

func (r *reader) marks(b *Builder, doc *document) {
	if x := doc.XOut; x != nil {
		b.SetXOut(XOut{x.Copies, Share(x.Panels), x.Source, x.Usual})
	}
	for _, x := range doc.CopperShares {
		f, ok := functionOf(x.Layer)
		if !ok {
			r.fail("a copper share is of a layer %q, which is none", x.Layer)
		}
		b.d.copperShares = append(b.d.copperShares, CopperShare{f, Share(x.Before), Share(x.After)})
	}
}
