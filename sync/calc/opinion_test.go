package calc

import (
	"math"
	"math/rand"
	"testing"

	"gonum.org/v1/gonum/stat"
	"gonum.org/v1/gonum/stat/distuv"

	"witnessmark/sync/quantity"
)

// TestSecondOpinion: a general-purpose library of statistics agrees with our
// straight line, mean, standard deviation and coverage factors on random data.
func TestSecondOpinion(t *testing.T) {
	r := rand.New(rand.NewSource(3))
	same := func(what string, got, want, rel float64) {
		t.Helper()
		if math.Abs(got-want) > rel*math.Max(1, math.Abs(want)) {
			t.Errorf("%s: %v, the library says %v", what, got, want)
		}
	}
	for range 200 {
		n := 3 + r.Intn(30)
		x, y := make([]float64, n), make([]float64, n)
		for i := range x {
			x[i] = 500 + 1400*r.Float64()
			y[i] = 12 - 0.01*x[i] + 4*r.NormFloat64()
		}
		f, ok := line(x, y)
		if !ok {
			t.Fatal("no line")
		}
		a, b := stat.LinearRegression(x, y, nil, false)
		same("intercept", f.a, a, 1e-9)
		same("slope", f.b, b, 1e-9)
		same("mean", quantity.Mean(y), stat.Mean(y, nil), 1e-12)
		same("standard deviation", quantity.SD(y), stat.StdDev(y, nil), 1e-12)
	}
	for _, dof := range []float64{1, 2, 3, 4, 5, 8, 16, 30, 100, 199} {
		d := distuv.StudentsT{Mu: 0, Sigma: 1, Nu: dof}
		same("coverage of 95.45 %", quantity.Coverage(dof), d.Quantile(1-(1-0.9545)/2), 1e-7)
		same("95 %", quantity.Student95(dof), d.Quantile(0.975), 1e-7)
	}
}
