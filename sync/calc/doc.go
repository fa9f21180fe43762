// Package calc holds the calculations: pure functions from readings, limits
// and nominal sizes to values with an uncertainty, a verdict, the working line
// by line, what is missing, and the cautions that belong beside it. The phone,
// the server and the command line run the same registry.
//
// Items are readings, by name. Point is the spot ("b.V": plane b, in the
// throw), Label the thing ("2117/4": cylinder 4 of engine 2117; "2117": the
// whole engine; "2117/E3": a valve; "4": pin 4).
//
//	journal    items  diameter (points a|b|c.V|H)
//	           limits ovality, taper, size
//	           opts   points: the points wanted, separated by spaces
//	bore       items  diameter (points top|bottom.direction)
//	           nominal bore
//	           limits wear, taper
//	direct     items  value (any points)
//	           limits value
//	clearance  items  journal, shell (bore with shells in, caps at full torque), by point
//	           limits clearance
//	           opts   points
//	pair       items  reading (of one point, one for each taker)
//	ratio      items  bowl, recess (cm³; by cylinder or engine), protrusion (by cylinder),
//	                  compressed, gasket_bore (by engine; several spots)
//	           nominal bore, stroke, bowl, recess, gasket_bore, compressed (where not measured)
//	           limits ratio
//	           opts   cylinders: the labels wanted ("2117/1 2117/2 …")
//	bump       items  compressed (by engine), protrusion (by cylinder), lead, clay (by cylinder, several spots)
//	           limits bump; agree (what calculated and lead may differ by; max)
//	           opts   cylinders
//	gasket     items  as ratio, and free (by engine), valve_clay (by valve; several spots)
//	           limits ratio, bump, valve (min), compressed (what the maker allows)
//	           opts   cylinders, valve_angle (degrees between valve and cylinder axis; default 0)
//	undersize  items  diameter (Label the pin, any points)
//	           nominal size (the largest new size), cleanup (on diameter)
//	           limits least (min: the smallest size allowed)
//	           opts   steps: undersizes in the unit of size, separated by spaces; tolerance: of the new size
//
// For every calculation opts may hold alpha, the part's expansion in 10⁻⁶ per
// kelvin: readings with a temperature are then brought to 20 °C, the tool
// being of steel (11.5).
package calc
