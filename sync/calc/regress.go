package calc

import (
	"math"

	"witnessmark/sync/quantity"
)

// fit is a straight line y = a + b·x through points, with the standard
// uncertainty of both and the standard deviation of the points about it.
type fit struct {
	a, b, ua, ub, s float64
	dof             float64 // points less two
	mean, sxx, n    float64
}

// line fits a straight line by least squares, about the means, so that close
// values keep their digits. It reports false for fewer than two points, or all
// at one x. Two points leave no scatter: s, ua and ub are then nought.
func line(x, y []float64) (fit, bool) {
	if len(x) < 2 || len(x) != len(y) {
		return fit{}, false
	}
	f := fit{mean: quantity.Mean(x), n: float64(len(x)), dof: float64(len(x) - 2)}
	my, sxy := quantity.Mean(y), 0.0
	for i := range x {
		dx := x[i] - f.mean
		f.sxx += float64(dx * dx)
		sxy += float64(dx * (y[i] - my))
	}
	if f.sxx == 0 || !quantity.Finite(f.sxx) || !quantity.Finite(sxy) {
		return fit{}, false
	}
	f.b = sxy / f.sxx
	f.a = my - float64(f.b*f.mean)
	f.scatter(x, y, my)
	return f, true
}

func (f *fit) scatter(x, y []float64, my float64) {
	if f.dof < 1 {
		return
	}
	sum := 0.0
	for i := range x {
		e := (y[i] - my) - float64(f.b*(x[i]-f.mean))
		sum += float64(e * e)
	}
	f.s = math.Sqrt(sum / f.dof)
	f.ub = f.s / math.Sqrt(f.sxx)
	_, f.ua = f.at(0)
}

// at is the line's value at x and its standard uncertainty.
func (f fit) at(x float64) (y, u float64) {
	d := x - f.mean
	return f.a + float64(f.b*x), float64(f.s * math.Sqrt(1/f.n+float64(d*d)/f.sxx))
}

// clear reports whether a value of the line stands clear of nought, by its
// expanded uncertainty at the degrees of freedom that the points leave.
func (f fit) clear(y, u float64) bool {
	return f.dof >= 1 && math.Abs(y) > float64(quantity.Coverage(f.dof)*u)
}
