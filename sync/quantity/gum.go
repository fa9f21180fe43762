package quantity

import "math"

// Part is one contribution to an uncertainty: a standard uncertainty times its
// sensitivity, in the result's unit, and its degrees of freedom.
type Part struct {
	What string
	U    float64
	DoF  float64 // 0 means without limit
}

// Rect is the standard uncertainty of a value that lies anywhere within ±a
// with equal chance (JCGM 100:2008, 4.3.7).
func Rect(a float64) float64 { return a / math.Sqrt(3) }

// Triangular is that of a value within ±a, likelier in the middle (4.3.9).
func Triangular(a float64) float64 { return a / math.Sqrt(6) }

// Arcsine is that of a value which swings between ±a (H.1.3.4).
func Arcsine(a float64) float64 { return a / math.Sqrt(2) }

// Resolution is that of a reading with steps of r: anywhere within half a step (F.2.2.1).
func Resolution(r float64) float64 { return Rect(r / 2) }

// Combine returns the combined standard uncertainty and its effective degrees
// of freedom (0: without limit) by Welch and Satterthwaite (G.4.1).
func Combine(parts []Part) (u, dof float64) {
	sum := 0.0
	for _, p := range parts {
		sum += float64(p.U * p.U)
	}
	u = math.Sqrt(sum)
	below := 0.0
	for _, p := range parts {
		if p.DoF > 0 {
			q := float64(p.U * p.U)
			below += float64(q*q) / p.DoF
		}
	}
	if below == 0 || u == 0 {
		return u, 0
	}
	return u, float64(sum*sum) / below
}

// Coverage returns the factor k that makes an interval of 95.45 % for so many
// degrees of freedom (0: without limit, k = 2). Fractions are cut off, as
// JCGM 100:2008, G.6.4 allows.
func Coverage(dof float64) float64 {
	if dof <= 0 {
		return 2
	}
	return student(math.Max(1, math.Floor(dof)), 0.9545, 2.000002443899)
}

// Student95 is the factor of an interval of 95 %.
func Student95(dof float64) float64 {
	return student(math.Max(1, math.Floor(dof)), 0.95, 1.959963984540)
}

// student finds t with a two-sided probability of p for n whole degrees of
// freedom, by halving an interval: 60 steps, no derivative to go wrong. From
// 200 on the expansion about the normal quantile z is exact to 1e-10.
func student(n, p, z float64) float64 {
	if n >= 200 {
		return expansion(n, z)
	}
	lo, hi := 0.0, 4000.0
	for range 60 {
		mid := (lo + hi) / 2
		if studentWithin(mid, n) < p {
			lo = mid
		} else {
			hi = mid
		}
	}
	return (lo + hi) / 2
}

// expansion is Abramowitz and Stegun, 26.7.5 (from memory).
func expansion(n, z float64) float64 {
	z2 := float64(z * z)
	g1 := float64(float64(z*(z2+1)) / 4)
	g2 := float64(z*(float64(float64(float64(5*z2)+16)*z2)+3)) / 96
	g3 := float64(z*(float64(float64(float64(float64(float64(3*z2)+19)*z2)+17)*z2)-15)) / 384
	return z + (g1+(g2+g3/n)/n)/n
}

// studentWithin is the probability of |T| ≤ t for whole n: the closed series
// of Abramowitz and Stegun, 26.7.3 and 26.7.4 (from memory).
func studentWithin(t, n float64) float64 {
	theta := Atan(t / math.Sqrt(n))
	s, c := Sin(theta), Cos(theta)
	c2 := float64(c * c)
	odd := math.Floor(n/2)*2 != n
	term, first := 1.0, 2.0
	if odd {
		term, first = c, 3.0
	}
	sum := 0.0
	if !odd || n > 1 {
		sum = term
	}
	for k := first; k <= n-2; k += 2 {
		term = float64(term*c2) * (k - 1) / k
		sum += term
	}
	if odd {
		return (float64(theta*Pi)/180 + float64(s*sum)) * 2 / Pi
	}
	return s * sum
}

// Mean returns the mean; nought of nothing.
func Mean(x []float64) float64 {
	if len(x) == 0 {
		return 0
	}
	// The first value is taken off, so that close values keep their digits.
	d := 0.0
	for _, v := range x {
		d += v - x[0]
	}
	return x[0] + float64(d/float64(len(x)))
}

// SD returns the experimental standard deviation (JCGM 100:2008, 4.2.2), with
// n−1; nought of fewer than two.
func SD(x []float64) float64 {
	if len(x) < 2 {
		return 0
	}
	m := Mean(x)
	sum, off := 0.0, 0.0
	for _, v := range x {
		d := v - m
		sum += float64(d * d)
		off += d
	}
	// The mean was rounded: take off what that left (corrected two-pass).
	n := float64(len(x))
	return math.Sqrt((sum - float64(off*off)/n) / (n - 1))
}
