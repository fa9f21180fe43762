package quantity

import (
	"os"
	"strconv"
	"strings"
	"testing"
)

const unitsPage = "../../schema/units.md"

const unitsHead = "# Units\n" + `
The codes that a value's ` + "`u`" + ` may have, in an entry and in the input of a calculation, by kind of quantity. The page is
written from the code: ` + "`go test ./sync/quantity -run UnitsPage -update`" + `. A value x in a unit is x times its factor in SI; a
temperature has its addend added first, a difference of temperatures has not.

In the input of ` + "`witnessmark calc`" + `, and only there, ` + "`µm`" + ` (U+00B5 or U+03BC) is read as ` + "`um`" + `. Nothing else is guessed: ` + "`inch`, `MM`" + `
and ` + "`°C`" + ` are refused, and the refusal names the codes of that kind.

| kind | code | shown as | factor to SI | SI |
| --- | --- | --- | --- | --- |
`

// inSI is what each kind of quantity is reckoned in.
var inSI = map[Dim]string{Length: "m", Area: "m²", Volume: "m³", Torque: "N·m", Force: "N", Pressure: "Pa", Mass: "kg", Time: "s", Speed: "1/s (revolutions)", Velocity: "m/s",
	Temperature: "K", Angle: "° (no SI: the trade counts degrees)", Power: "W", Flow: "m³/s", Fall: "Pa/s", Expansion: "1/K", One: "1"}

// TestUnitsPage: the page has every unit with its factor, and no other.
func TestUnitsPage(t *testing.T) {
	want := unitsHead
	for _, u := range Units() {
		want += "| " + strings.Join([]string{string(u.Dim), "`" + u.Code + "`", u.Symbol, factor(u), inSI[u.Dim]}, " | ") + " |\n"
	}
	if *update {
		if err := os.WriteFile(unitsPage, []byte(want), 0o644); err != nil {
			t.Fatal(err)
		}
	}
	got, err := os.ReadFile(unitsPage)
	if err != nil {
		t.Fatal(err)
	}
	if string(got) != want {
		t.Error("schema/units.md and the table of units differ; go test ./sync/quantity -run UnitsPage -update writes it again")
	}
}

// factor is exact where both its parts are whole numbers.
func factor(u Unit) string {
	text := decimalText(u.num / u.den)
	if u.den == float64(int64(u.den)) && u.den != 1 {
		text = decimalText(u.num) + "/" + decimalText(u.den)
	}
	if u.offset != 0 {
		text += ", after adding " + decimalText(u.offset)
	}
	return text
}

func decimalText(x float64) string { return strconv.FormatFloat(x, 'f', -1, 64) }
