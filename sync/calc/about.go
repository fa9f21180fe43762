package calc

// About is where a calculation comes from: its formula in one line, whose it
// is, and what kind of limit it is judged by. Limits are always entered by the
// group, each with its source; the tool has none of its own.
type About struct{ Group, Formula, Source, Limits string }

// The groups, in the order of the work.
const (
	crankGroup   = "Crank and bearings"
	boreGroup    = "Bores and pistons"
	headGroup    = "Head and gasket"
	clayGroup    = "Clay"
	valveGroup   = "Valve gear and timing"
	tightenGroup = "Tightening"
	couplingOnes = "Couplings and alignment"
	holdGroup    = "Holding tests"
	runGroup     = "Running"
	fitGroup     = "Fits and expansion"
	compareGroup = "Comparing and units"
)

// Groups lists the groups in the order that they are shown in.
func Groups() []string {
	return []string{crankGroup, boreGroup, headGroup, clayGroup, valveGroup, tightenGroup, couplingOnes, holdGroup, runGroup, fitGroup, compareGroup}
}

// Of whose making the limits are.
const (
	byMaker  = "the maker's: "
	byTwin   = "the group's own, for the pair: "
	noLimits = "none: it judges nothing"
)

// About says where the calculation comes from.
func (s Spec) About() About { return abouts[s.Name] }

var abouts = map[string]About{
	"journal": {crankGroup, "out-of-round = largest V − H of a plane; taper = largest a − c of a direction, whichever way; size = smallest reading",
		"geometry; planes and directions: common practice, no source", byMaker + "least size, out-of-round, taper, taper for its length"},
	"clearance": {crankGroup, "clearance = bore with shells in − journal, at one plane and direction",
		"geometry", byMaker + "running clearance, least and most"},
	"target": {crankGroup, "bore from largest journal + least clearance to smallest journal + most clearance; wall = (housing − bore) ÷ 2",
		"geometry", byMaker + "running clearance wanted, least and most; without it there is no target"},
	"shellbore": {crankGroup, "bore = housing − upper wall − lower wall",
		"geometry; walls by ball anvil: TM 55-1905-219-14-4, §3-41", byMaker + "bore; the group's own: how far the two routes may differ"},
	"bearing": {crankGroup, "clearance = housing − 2 × wall − journal, least where wall and journal are at their most; regrind: journal − undersize, wall + undersize ÷ 2",
		"geometry", byMaker + "running clearance, least size of the journal"},
	"crush": {crankGroup, "crush on the diameter = gap at the loose joint ÷ π; spread = free width − housing bore",
		"geometry; the way of measuring: common practice, no source", byMaker + "gap at the joint, spread"},
	"endfloat": {crankGroup, "float = largest − smallest dial reading; washers wanted = washers now + float − middle of the limits",
		"geometry", byMaker + "end float, least and most"},
	"sideclearance": {crankGroup, "side clearance = width of the pin − width of the rod, or as the feeler finds it",
		"geometry", byMaker + "side clearance"},
	"bow": {crankGroup, "bow = (largest − smallest dial reading) ÷ 2",
		"TM 10-3930-653-14&P, crankshaft bend note", byMaker + "bow, run-out"},
	"undersize": {crankGroup, "step ≥ largest new size − (smallest reading − allowance for the grinder)",
		"geometry; all of a kind alike: TM 5-3805-262-34, §4-1d", byMaker + "least size of the journal"},

	"bore": {boreGroup, "wear = largest reading − nominal bore; taper = largest top − bottom of a direction; out-of-round = largest difference at a level",
		"geometry", byMaker + "wear, taper, out-of-round"},
	"oversize": {boreGroup, "step ≥ largest reading + allowance for boring − smallest new size",
		"geometry", byMaker + "largest bore"},
	"pistonfit": {boreGroup, "cold = smallest bore − skirt; hot = cold − (α piston × rise − α bore × rise) × bore",
		"geometry; linear expansion", byMaker + "clearance cold; clearance hot"},
	"ringgap": {boreGroup, "bore = bore tried in + (gap − gap there) ÷ π; side clearance = groove − ring",
		"geometry", byMaker + "end gap, side clearance"},

	"ratio": {headGroup, "CR = 1 + Vs ÷ Vc; Vc = bowl + recess + π/4 × opening² × compressed − π/4 × bore² × protrusion",
		"geometry; effective ratio from where the intake closes: from memory", byMaker + "ratio; the group's own: spread of the cylinders"},
	"bump": {headGroup, "bump clearance = compressed gasket − protrusion; beside it lead and clay as measured",
		"geometry; clay reads 0.05 to 0.10 mm high: common practice, no source", byMaker + "bump clearance; the group's own: how far lead may differ"},
	"gasket": {headGroup, "every limit put as a bound on the compressed thickness; the window is what all leave; best = its middle",
		"geometry", byMaker + "ratio, bump clearance, valve to piston, compressed thickness"},
	"bowl": {headGroup, "bowl = volume run in − π/4 × bore² × depth of the piston",
		"geometry", byMaker + "volume"},
	"crushratio": {headGroup, "crush = (free − compressed) ÷ free; free to order = wanted ÷ (1 − crush)",
		"definition", byMaker + "crush, as a part of the free thickness"},

	"clay": {clayGroup, "gap = least spot − spring-back + (new gasket − trial gasket) × cos; running = gap − growth of piston and rod − stretch + growth of the block",
		"geometry; linear expansion; spring-back 0.05 to 0.10 mm: common practice, no source", byMaker + "piston to head, valve to piston, running gap"},

	"lash": {valveGroup, "gap at the valve = gap at the tappet × rocker ratio",
		"geometry", byMaker + "tappet gap of inlets and of exhausts, cold or hot"},
	"valveorder": {valveGroup, "companions fire half the order apart, 360° of the crank; one rocks while the other is set",
		"geometry of the four-stroke; the two-position rule: common practice, no source", noLimits},
	"rim": {valveGroup, "distance = π × diameter × degrees ÷ 360",
		"geometry", noLimits},
	"timing": {valveGroup, "degrees = 360 × rim distance ÷ (π × diameter), or from the piston's depth by the crank triangle; early = found − wanted",
		"geometry", byMaker + "timing; the group's own: spread of the approaches"},
	"depth": {valveGroup, "depth = r(1 − cos θ) + l − √(l² − r² sin² θ), and back",
		"geometry", noLimits},
	"chain": {valveGroup, "elongation = length ÷ (pitches × pitch) − 1; lag at the crank = 720 × tight run × elongation ÷ teeth of the cam wheel",
		"geometry; pitches: ISO 606, from memory", byMaker + "elongation, lag"},
	"backlash": {valveGroup, "at the pitch line = dial × pitch radius ÷ radius of the dial; a train adds up",
		"geometry", byMaker + "backlash, least and most; backlash of the train"},
	"recession": {valveGroup, "volume added = π/4 × head² × depth",
		"geometry", byMaker + "depth below or above the head face"},

	"preload": {tightenGroup, "load = torque ÷ (K × diameter), between its scatter; proof load = stress area × proof stress",
		"NASA RP-1228; scatter: NASA NSTS 08307; areas and proof stresses: ISO 898-1, ASME B1.1, BS 84, SAE J429; K 0.20 dry, 0.15 oiled: from memory", byMaker + "load, share of the proof load"},
	"torqueangle": {tightenGroup, "load = E × area × stretch ÷ length; stretch = pitch × angle ÷ 360 × the stud's share",
		"Hooke's law; which stud to replace: TM 9-2815-220-24, WP 0139", byMaker + "load, stretch"},
	"torqueset": {tightenGroup, "setting = torque × L ÷ (L + E × cos a)",
		"TM 9-254, figure 4-6; TM 1-1500-204-23-9", byMaker + "torque at the nut"},
	"torquetool": {tightenGroup, "in range from the trusted share of full scale to full scale; in date on the day of use",
		"TM 1-1500-204-23-9, table 8-1: 20 % of full scale", "the wrench's own: scale, trusted share, day of its check"},
	"sequence": {tightenGroup, "from the middle outwards and across, or the handbook's order; each once in a pass",
		"common practice, no source", noLimits},

	"alignment": {couplingOnes, "offset = (bottom − top) ÷ 2; angle = (bottom − top) ÷ face circle; shim = offset − planned + angle × distance",
		"TM 10-4320-307-24, §3-7; growth: linear expansion", byMaker + "offset, angle; the group's own: closure of the readings"},
	"runout": {couplingOnes, "run-out = highest − lowest reading; off its axis by half of it",
		"geometry; turned alone or together: TM 55-1905-219-14-4, §3-54", byMaker + "run-out; the group's own: how far the dial may fail to come back"},
	"rubber": {couplingOnes, "set = (free − now) ÷ free; age = day of inspection − day of making",
		"definition; hardness by ISO 48-4 or ISO 868; a pair within 5: common practice, no source", byMaker + "hardness, set, age; " + byTwin + "hardness"},
	"clutchdrag": {couplingOnes, "drag = pull × arm",
		"definition", byMaker + "drag; " + byTwin + "difference of the two"},

	"hold": {holdGroup, "expected = (start + atmosphere) × T2 ÷ T1 − atmosphere; loss = expected − end; leak = volume × loss ÷ (atmosphere × time)",
		"gas law of Gay-Lussac; standard atmosphere: ISO 2533", byMaker + "loss, loss a minute, leak as free air"},
	"holdtime": {holdGroup, "time = k × step × √(2/12) ÷ loss a minute",
		"JCGM 100:2008, F.2.2.1; ten steps: common practice, no source", noLimits},

	"engine": {runGroup, "swept volume = π/4 × bore² × stroke × cylinders; mean piston speed = 2 × stroke × speed; torque = power ÷ (2π × speed); bmep = power × turns of a cycle ÷ (swept volume × speed); gas load = peak pressure × π/4 × bore²",
		"geometry, definitions; piston speed and bmep: Heywood, Internal Combustion Engine Fundamentals, 1988, §2.2 and §2.7, from memory", byMaker + "mean piston speed, torque, bmep, gas load"},
	"cranking": {runGroup, "spread = (best − least) ÷ mean; or least ÷ best, (mean − least) ÷ mean, best − least",
		"definitions; which counts, each handbook says", byMaker + "one of the four rules; compression; cranking speed"},
	"expected": {runGroup, "pressure = p1 × CR^n − atmosphere; of two builds (CR1 ÷ CR2)^1.22, absolute",
		"polytropic compression; exponent 1.22: from memory", "the group's own: how far measured and predicted may be apart"},
	"injectors": {runGroup, "shim = (wanted − found) ÷ rate × 0.10 mm, the rate measured on this injector",
		"definition; seat test: TM 9-4310-397-14", byMaker + "opening pressure, its spread, delivery, its spread"},
	"oilpressure": {runGroup, "the least reading at each speed against that speed's own minimum; fall = first − last at one speed",
		"definition; what the shape means: common practice, no source", byMaker + "least pressure at each speed, fall; " + byTwin + "difference"},
	"warmup": {runGroup, "rate = rise ÷ time; time to reach a temperature by a straight line; rise = outlet − inlet",
		"definition", byMaker + "outlet, rise across the engine, rate, sudden fall"},
	"hunting": {runGroup, "swing = (highest − lowest) ÷ 2; droop = (no load − full load) ÷ full load",
		"definition; what the number of surges means: TM 5-3805-257-14&P", byMaker + "swing, surges, droop"},
	"depression": {runGroup, "at one opening, depression goes as speed²; openings stand as speed ÷ √depression",
		"flow through an orifice; from memory", byTwin + "depression; the maker's: loss of the diaphragm chamber"},
	"match": {runGroup, "difference = right − left at each station; tachometers' own = (difference − difference exchanged) ÷ 2; load share = difference ÷ droop",
		"definition; load share: common practice, no source", byTwin + "difference in speed or in percent; share of load"},
	"linkage": {runGroup, "driven angle from the triangle of driven lever, rod and the line from driven pivot to driving pin",
		"law of cosines; 90° at mid-travel and pins within 1/16 in: TM 55-1905-217-12", byTwin + "angles, pins; the maker's: lost motion"},

	"fit": {fitGroup, "hole from EI to EI + IT; shaft from ei to ei + IT; clearance = hole − shaft",
		"ISO 286-1:2010, tables 1, 4 and 5", noLimits},
	"expansion": {fitGroup, "growth = α × size × rise; gap hot = gap cold + growth of the outer − growth of the inner",
		"linear expansion; α mostly of Callister, table B.6, some from memory", byMaker + "gap when hot"},
	"shrink": {fitGroup, "temperature = room + (interference + clearance) ÷ (α × diameter)",
		"linear expansion", byMaker + "hottest that the part may be; clearance to slip it on"},

	"direct": {compareGroup, "the reading as it is, corrected, against its limit",
		"ISO 14253-1 where the limit has margin", byMaker + "whatever was measured"},
	"pair": {compareGroup, "E_n = (larger − smaller) ÷ √(Ua² + Ub²), what both share taken out; above 1 they disagree",
		"after ISO/IEC 17043", "none: the readings are held against each other"},
	"twin": {compareGroup, "E_n = (larger − smaller) ÷ U of the difference, what both share taken out; mean difference against its scatter",
		"after ISO/IEC 17043; JCGM 100:2008", byTwin + "difference"},
	"convert": {compareGroup, "value × factor of its unit",
		"NIST SP 811, appendix B", noLimits},
}
