// Package calc holds the calculations: pure functions from readings, limits
// and nominal sizes to values with an uncertainty, a verdict, the working line
// by line, what is missing, and the cautions that belong beside it. The phone,
// the server and the command line run the same registry.
//
// Inputs go by name. Items are readings. Point is the spot ("b.V": plane b, in
// the throw), Label the thing ("2117/4": cylinder 4 of engine 2117; "2117": the
// whole engine; "2117/E3": a valve; "4": pin 4). Readings that share label and
// point are one value, their mean; a calculation never mixes conditions (as
// found, after machining), which is for the caller to keep apart. Nominal sizes
// are typed, and may be given as items instead. Limits judge only what they are
// named after, and only when accepted. Opts are text.
//
// For every calculation that reads lengths opts may hold alpha, the part's
// expansion in 10⁻⁶ per kelvin: readings with a temperature are then brought to
// 20 °C, the tool being of steel (11.5).
//
// The names of each are in its Needs: `witnessmark calc -list` prints them, and
// schema/calculations.md says of each its formula, source and limits.
package calc
