package breakage

import (
	"math"

	"panelwright/pipeline/geom"
)

// number is a complex number. Go's own are multiplied with products fused to sums on some processors.
type number struct{ re, im float64 }

func (a number) plus(b number) number { return number{a.re + b.re, a.im + b.im} }

func (a number) times(b number) number {
	return number{float64(a.re*b.re) - float64(a.im*b.im), float64(a.re*b.im) + float64(a.im*b.re)}
}

func (a number) by(f float64) number { return number{float64(a.re * f), float64(a.im * f)} }

// ln is the natural logarithm, its imaginary part from −π to π.
func (a number) ln() number {
	return number{float64(ln(float64(a.re*a.re)+float64(a.im*a.im)) / 2), geom.Atan2(a.im, a.re)}
}

// root is a square root, its real part not below 0.
func (a number) root() number {
	r := math.Sqrt(float64(a.re*a.re) + float64(a.im*a.im))
	out := number{math.Sqrt(max(r+a.re, 0) / 2), math.Sqrt(max(r-a.re, 0) / 2)}
	if a.im < 0 {
		out.im = -out.im
	}
	return out
}
