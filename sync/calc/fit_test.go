package calc

import (
	"math/rand"
	"strconv"
	"strings"
	"testing"
)

// TestFitExamples: every row of iso286_example_fits.csv (ISO 286-1:2010).
func TestFitExamples(t *testing.T) {
	for _, row := range rows(t, "iso286_example_fits.csv") {
		r := run(t, "fit", Inputs{Nominal: sizesOf("size", row["nominal_mm"], "mm"), Opts: map[string]string{"fit": row["fit"]}})
		d := num(t, row["nominal_mm"]) * 1000
		for name, column := range map[string]string{"hole.min": "hole_EI_um", "hole.max": "hole_ES_um", "shaft.min": "shaft_ei_um", "shaft.max": "shaft_es_um"} {
			close12(t, row["fit"]+" "+name, val(t, r, name).SI, (d+num(t, row[column]))/1e6)
		}
		least, most := num(t, row["min_clearance_um (negative = interference)"]), num(t, row["max_clearance_um"])
		close12(t, row["fit"]+" least", val(t, r, "fit.min").SI, least/1e6)
		close12(t, row["fit"]+" most", val(t, r, "fit.max").SI, most/1e6)
		kind := "a transition fit"
		if least >= 0 {
			kind = "a clearance fit"
		} else if most <= 0 {
			kind = "an interference fit"
		}
		if !strings.Contains(r.Says, kind) {
			t.Errorf("%s, want %s", r.Says, kind)
		}
	}
}

// TestFitTables: every entry of the two tables of ISO 286-1:2010, at the end
// of its step and just over the one before.
func TestFitTables(t *testing.T) {
	deviations := rows(t, "iso286_fundamental_deviations.csv")
	for i, row := range rows(t, "iso286_it_grades.csv") {
		for _, size := range []string{row["up_to_and_incl_mm"], row["over_mm"] + ".001"} {
			for grade := 5; grade <= 9; grade++ {
				g := strconv.Itoa(grade)
				it := num(t, row["IT"+g+"_um"])
				for column, letter := range map[string]string{"f_es_um": "f", "g_es_um": "g", "h_es_um": "h", "k_ei_um_IT4_to_IT7": "k", "m_ei_um": "m", "n_ei_um": "n", "p_ei_um": "p"} {
					if letter == "k" && grade > 7 {
						continue
					}
					r := run(t, "fit", Inputs{Nominal: sizesOf("size", size, "mm"), Opts: map[string]string{"fit": "H" + g + "/" + letter + g}})
					dev := num(t, deviations[i][column])
					lo, hi := dev, dev+it
					if strings.HasSuffix(column, "es_um") {
						lo, hi = dev-it, dev
					}
					d := num(t, size) * 1000
					close12(t, size+letter+g, val(t, r, "shaft.min").SI, (d+lo)/1e6)
					close12(t, size+letter+g, val(t, r, "shaft.max").SI, (d+hi)/1e6)
					close12(t, size+"H"+g, val(t, r, "hole.max").SI, (d+it)/1e6)
				}
			}
		}
	}
}

func TestFitRefused(t *testing.T) {
	for _, c := range []struct{ size, fit, want string }{
		{"", "H7/p6", "nominal size"}, {"25", "", "the fit, as H7/p6"}, {"0", "H7/p6", "above nought"}, {"251", "H7/p6", "goes to 250 mm"},
		{"25", "K7/h6", "the table has holes H5 to H9"}, {"25", "H7", "the table has holes"}, {"25", "H11/h11", "the table has holes"},
		{"25", "H7/s6", "the table has shafts"}, {"25", "H7/h10", "the table has shafts"}, {"25", "H8/k8", "k only for grades 5 to 7"}, {"25", "/", "the table has holes"},
	} {
		in := Inputs{Opts: map[string]string{"fit": c.fit}}
		if c.size != "" {
			in.Nominal = sizesOf("size", c.size, "mm")
		}
		incomplete(t, fitSpec.Run(in), c.want)
	}
}

// TestFitBothWays: a shaft turned for a hole gives the fit with it, whatever
// the hole was worn to; inches and millimetres give one answer.
func TestFitBothWays(t *testing.T) {
	r := rand.New(rand.NewSource(13))
	for range 100 {
		si, sm := inchAndMillimetre(2000 + r.Intn(90000))
		hi, hm := inchAndMillimetre(2000 + r.Intn(90000))
		solve := func(size, hole, unit string, shaft ...Item) Result {
			return run(t, "fit", Inputs{Nominal: sizesOf("size", size, unit), Items: map[string][]Item{"hole": {{V: wr(hole, unit)}}, "shaft": shaft}, Opts: map[string]string{"fit": "H7 / p6"}})
		}
		a, b := solve(si.Text, hi.Text, "in"), solve(sm.Text, hm.Text, "mm")
		for _, name := range []string{"hole.max", "shaft.min", "turn.min", "turn.max"} {
			close12(t, name, val(t, a, name).SI, val(t, b, name).SI)
		}
		turned := Item{V: wr(strconv.FormatFloat(val(t, b, "turn.max").SI*1000, 'f', 9, 64), "mm")}
		c := solve(sm.Text, hm.Text, "mm", turned)
		close12(t, "clearance", val(t, c, "clearance").SI, val(t, c, "fit.min").SI)
	}
}
