// Package quantity reads values as people write them, keeps their unit and
// resolution, and holds the arithmetic on which every result rests: SI
// float64, own elementary functions, uncertainty as in the GUM. It gives the
// same bits on every machine: products that are added are written
// float64(a*b), and package math lends no function that is not exact.
package quantity

// Dim is what kind of quantity a unit measures.
type Dim string

// The dimensions in use.
const (
	Length      Dim = "length"      // m
	Area        Dim = "area"        // m²
	Volume      Dim = "volume"      // m³
	Torque      Dim = "torque"      // N·m
	Force       Dim = "force"       // N
	Pressure    Dim = "pressure"    // Pa
	Mass        Dim = "mass"        // kg
	Time        Dim = "time"        // s
	Speed       Dim = "speed"       // revolutions per second
	Velocity    Dim = "velocity"    // m/s
	Temperature Dim = "temperature" // K
	Angle       Dim = "angle"       // degrees: the trade counts no other
	Power       Dim = "power"       // W
	Flow        Dim = "flow"        // m³/s
	Fall        Dim = "fall"        // Pa/s: how fast a held pressure goes
	Expansion   Dim = "expansion"   // per kelvin
	One         Dim = "one"
)

// Unit is a unit's code as kept in an entry.
type Unit struct {
	Code   string
	Symbol string // as shown
	Dim    Dim
	num    float64 // SI = value·num/den, both whole numbers below 2^53, so exact
	den    float64
	offset float64 // added to the value before scaling: degrees of temperature
}

// Factors are those of NIST SP 811, appendix B, as exact
// fractions; water stands at 1000 kg/m³. A milliradian is no fraction of a degree.
var units = []Unit{
	{"mm", "mm", Length, 1, 1000, 0},
	{"um", "µm", Length, 1, 1000000, 0},
	{"cm", "cm", Length, 1, 100, 0},
	{"m", "m", Length, 1, 1, 0},
	{"in", "in", Length, 127, 5000, 0},
	{"thou", "thou", Length, 127, 5000000, 0},
	{"tenth", "tenth", Length, 127, 50000000, 0},
	{"ft", "ft", Length, 381, 1250, 0},
	{"cm2", "cm²", Area, 1, 10000, 0},
	{"in2", "in²", Area, 16129, 25000000, 0},
	{"cm3", "cm³", Volume, 1, 1000000, 0},
	{"L", "l", Volume, 1, 1000, 0},
	{"in3", "in³", Volume, 2048383, 125000000000, 0},
	{"gal_imp", "gal (imp.)", Volume, 454609, 100000000, 0},
	{"pt_imp", "pt (imp.)", Volume, 454609, 800000000, 0},
	{"gal_us", "gal (US)", Volume, 473176473, 125000000000, 0},
	{"N.m", "N·m", Torque, 1, 1, 0},
	{"kgf.m", "kgf·m", Torque, 196133, 20000, 0},
	{"lbf.ft", "lbf·ft", Torque, 3389544870828501, 2500000000000000, 0},
	{"kgf.cm", "kgf·cm", Torque, 196133, 2000000, 0},
	{"lbf.in", "lbf·in", Torque, 1129848290276167, 10000000000000000, 0},
	{"N", "N", Force, 1, 1, 0},
	{"kN", "kN", Force, 1000, 1, 0},
	{"lbf", "lbf", Force, 8896443230521, 2000000000000, 0},
	{"kgf", "kgf", Force, 196133, 20000, 0},
	{"Pa", "Pa", Pressure, 1, 1, 0},
	{"kPa", "kPa", Pressure, 1000, 1, 0},
	{"bar", "bar", Pressure, 100000, 1, 0},
	{"psi", "psi", Pressure, 8896443230521, 1290320000, 0},
	{"MPa", "MPa", Pressure, 1000000, 1, 0},
	{"GPa", "GPa", Pressure, 1000000000, 1, 0},
	{"mbar", "mbar", Pressure, 100, 1, 0},
	{"kgf_cm2", "kgf/cm²", Pressure, 196133, 2, 0},
	{"mmHg", "mmHg", Pressure, 26664477483, 200000000, 0},
	{"inHg", "inHg", Pressure, 3386388640341, 1000000000, 0},
	{"mmH2O", "mm water", Pressure, 196133, 20000, 0},
	{"inH2O", "in water", Pressure, 24908891, 100000, 0},
	{"bar/min", "bar/min", Fall, 5000, 3, 0},
	{"kPa/min", "kPa/min", Fall, 50, 3, 0},
	{"psi/min", "psi/min", Fall, 8896443230521, 77419200000, 0},
	{"cm3/min", "cm³/min", Flow, 1, 60000000, 0},
	{"L/h", "l/h", Flow, 1, 3600000, 0},
	{"g", "g", Mass, 1, 1000, 0},
	{"kg", "kg", Mass, 1, 1, 0},
	{"lb", "lb", Mass, 45359237, 100000000, 0},
	{"oz", "oz", Mass, 45359237, 1600000000, 0},
	{"s", "s", Time, 1, 1, 0},
	{"min", "min", Time, 60, 1, 0},
	{"h", "h", Time, 3600, 1, 0},
	{"d", "d", Time, 86400, 1, 0},
	{"rpm", "rpm", Speed, 1, 60, 0},
	{"m/s", "m/s", Velocity, 1, 1, 0},
	{"ft/min", "ft/min", Velocity, 127, 25000, 0},
	{"degC", "°C", Temperature, 1, 1, 273.15},
	{"degF", "°F", Temperature, 5, 9, 459.67},
	{"deg", "°", Angle, 1, 1, 0},
	{"mrad", "mrad", Angle, 180, 1000 * Pi, 0},
	{"kW", "kW", Power, 1000, 1, 0},
	{"hp", "hp", Power, 37284993579113511, 50000000000000, 0},
	{"ppm/K", "×10⁻⁶/K", Expansion, 1, 1000000, 0},
	{"1", "", One, 1, 1, 0},
	{"%", "%", One, 1, 100, 0},
	{"mm/m", "mm/m", One, 1, 1000, 0},
	{"thou/in", "thou/in", One, 1, 1000, 0},
}

// Lookup returns the unit of that code.
func Lookup(code string) (Unit, bool) {
	for _, u := range units {
		if u.Code == code {
			return u, true
		}
	}
	return Unit{}, false
}

// Units returns every unit, by dimension as listed.
func Units() []Unit { return append([]Unit(nil), units...) }

// SI converts a value in the unit to SI.
func (u Unit) SI(x float64) float64 { return float64((x+u.offset)*u.num) / u.den }

// ratio converts top/bottom in the unit to SI, rounding once.
func (u Unit) ratio(top, bottom float64) float64 {
	if u.offset != 0 {
		return u.SI(top / bottom)
	}
	return float64(top*u.num) / float64(bottom*u.den)
}

// Step converts a difference in the unit to SI: no offset.
func (u Unit) Step(x float64) float64 { return float64(x*u.num) / u.den }

// From converts SI to the unit.
func (u Unit) From(si float64) float64 { return float64(si*u.den)/u.num - u.offset }

// FromStep converts an SI difference to the unit.
func (u Unit) FromStep(si float64) float64 { return float64(si*u.den) / u.num }
