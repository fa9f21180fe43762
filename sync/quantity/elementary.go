package quantity

import "math"

// Pi is correctly rounded. ln 2 stands in two parts, the first with so few
// digits that its products with whole numbers are exact.
const (
	Pi   = 3.141592653589793
	ln2  = 6.93147180369123816490e-01
	ln2l = 1.90821492927058770002e-10
)

// Exp returns e to the x, within 2 units of the last place.
func Exp(x float64) float64 {
	switch {
	case math.IsNaN(x):
		return x
	case x > 709.7:
		return math.Inf(1)
	case x < -745.1:
		return 0
	}
	k := math.Floor(x/ln2 + 0.5)
	r := (x - float64(k*ln2)) - float64(k*ln2l)
	// |r| is at most 0.35: the terms of the series fall below 1e-17 by the 14th.
	sum := 1.0
	for n := 16; n > 0; n-- {
		sum = 1 + float64(r*sum)/float64(n)
	}
	return scale2(sum, int(k))
}

// scale2 returns x times two to the k.
func scale2(x float64, k int) float64 {
	for ; k > 1000; k -= 1000 {
		x *= 0x1p1000
	}
	for ; k < -1000; k += 1000 {
		x *= 0x1p-1000
	}
	return x * math.Float64frombits(uint64(1023+k)<<52)
}

// Ln returns the natural logarithm, within 4 units of the last place for x
// away from 1. It is not a number for x below nought.
func Ln(x float64) float64 {
	switch {
	case math.IsNaN(x) || x < 0:
		return math.NaN()
	case x == 0:
		return math.Inf(-1)
	case math.IsInf(x, 1):
		return x
	}
	k := 0
	for ; x > 1.4142135623730951; k++ {
		x /= 2
	}
	for ; x < 0.7071067811865476; k-- {
		x *= 2
	}
	// ln x = 2 artanh((x−1)/(x+1)); |s| is at most 0.172.
	s := (x - 1) / (x + 1)
	s2 := float64(s * s)
	sum := 0.0
	for n := 31; n > 0; n -= 2 {
		sum = float64(sum*s2) + 1/float64(n)
	}
	return float64(float64(k)*ln2) + (float64(2*s*sum) + float64(float64(k)*ln2l))
}

// Pow returns x to the y for x above nought.
func Pow(x, y float64) float64 { return Exp(float64(y * Ln(x))) }

// Sin returns the sine of an angle in degrees.
func Sin(deg float64) float64 { return sinCos(deg, 0) }

// Cos returns the cosine of an angle in degrees.
func Cos(deg float64) float64 { return sinCos(deg, 1) }

// sinCos takes off whole quarters in degrees, where they are exact.
func sinCos(deg float64, quarter int) float64 {
	if !Finite(deg) {
		return math.NaN()
	}
	q := math.Floor(deg/90 + 0.5)
	r := float64((deg-float64(q*90))*Pi) / 180
	turn := int(q-float64(math.Floor(q/4)*4)) + quarter
	switch turn % 4 {
	case 0:
		return sinSeries(r)
	case 1:
		return cosSeries(r)
	case 2:
		return -sinSeries(r)
	}
	return -cosSeries(r)
}

func sinSeries(r float64) float64 {
	r2 := float64(r * r)
	sum := 1.0
	for n := 20; n > 0; n -= 2 {
		sum = 1 - float64(r2*sum)/float64(n*(n+1))
	}
	return r * sum
}

func cosSeries(r float64) float64 {
	r2 := float64(r * r)
	sum := 1.0
	for n := 20; n > 0; n -= 2 {
		sum = 1 - float64(r2*sum)/float64(n*(n-1))
	}
	return sum
}

// Atan returns the angle, in degrees, whose tangent is x.
func Atan(x float64) float64 {
	switch {
	case math.IsNaN(x):
		return x
	case x < 0:
		return -Atan(-x)
	case x > 1:
		return 90 - Atan(1/x)
	}
	// Halve the angle twice: tan(a/2) = t/(1+√(1+t²)).
	for range 2 {
		x /= 1 + math.Sqrt(1+float64(x*x))
	}
	x2 := float64(x * x)
	sum := 0.0
	for n := 31; n > 0; n -= 2 {
		sum = 1/float64(n) - float64(sum*x2)
	}
	return float64(4*x*sum) * 180 / Pi
}
