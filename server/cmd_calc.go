package main

import (
	"flag"
	"fmt"
	"io"
	"slices"
	"strings"

	"witnessmark/sync/calc"
	"witnessmark/sync/jcs"
	"witnessmark/sync/quantity"
)

// maxCalcInput bounds what calc reads from standard input, in bytes.
const maxCalcInput = 4 << 20

// runCalc lists the calculations, prints the schema of one, or runs one on the
// JSON that comes in. It returns the exit code: 0 for a result, whatever its
// verdict; 1 for inputs that cannot be read; 2 for a wrong call.
func runCalc(args []string, in io.Reader, out, errOut io.Writer) int {
	fs := flag.NewFlagSet("calc", flag.ContinueOnError)
	fs.SetOutput(errOut)
	list := fs.Bool("list", false, "name every calculation by group, with its formula, inputs and units")
	schema := fs.String("schema", "", "print the JSON Schema of a calculation's input")
	words := fs.Bool("words", false, "print the result in words instead of JSON")
	names, err := parseAround(fs, args)
	if err != nil {
		return 2
	}
	switch {
	case len(names) > 0 && (*list || *schema != "") || len(names) > 1:
		fmt.Fprintf(errOut, "calc: one thing at a time: %q is too much\n", names[len(names)-1])
		return 2
	case *list:
		listCalcs(out)
		return 0
	case *schema != "":
		return printSchema(*schema, out, errOut)
	case len(names) == 0:
		fmt.Fprintln(errOut, "calc: say which calculation; witnessmark calc -list names them")
		return 2
	}
	return calculate(names[0], *words, in, out, errOut)
}

// parseAround parses flags before, between and after the words that are none,
// and returns those: people write 'calc clearance -words' too.
func parseAround(fs *flag.FlagSet, args []string) (words []string, err error) {
	for {
		if err := fs.Parse(args); err != nil || fs.NArg() == 0 {
			return words, err
		}
		words, args = append(words, fs.Arg(0)), fs.Args()[1:]
	}
}

func listCalcs(out io.Writer) {
	fmt.Fprintln(out, "Items are readings. A nominal size may be given as readings too; those marked 'or typed' as a nominal size.")
	fmt.Fprintln(out, "What reads lengths also takes the option alpha. schema/calculations.md has sources, limits and cautions.")
	listUnits(out)
	for _, group := range calc.Groups() {
		fmt.Fprintf(out, "\n%s\n", strings.ToUpper(group))
		for _, s := range calc.Registry() {
			if s.About().Group == group {
				listCalc(s, out)
			}
		}
	}
}

// listUnits names the codes that a value's unit may have, by kind of quantity
// as the inputs are marked with it.
func listUnits(out io.Writer) {
	fmt.Fprint(out, "\nUNITS: what u may be, by kind of quantity; schema/units.md says what each stands for; µm is read as um\n\n")
	var listed []quantity.Dim
	for _, u := range quantity.Units() {
		if slices.Contains(listed, u.Dim) {
			continue
		}
		listed = append(listed, u.Dim)
		kind := string(u.Dim)
		if u.Dim == quantity.One {
			kind = "1"
		}
		fmt.Fprintf(out, "    %-12s %s\n", kind, strings.Join(calc.Codes(u.Dim), ", "))
	}
}

func listCalc(s calc.Spec, out io.Writer) {
	fmt.Fprintf(out, "\n%s (version %s): %s\n    formula: %s\n", s.Name, s.Version, s.Title, s.About().Formula)
	for _, n := range s.Needs {
		note := n.Kind
		if n.Kind == "item" && slices.Contains(strings.Fields(s.Typed), n.Name) {
			note += " or typed"
		}
		if n.Unit != "" {
			note += ", " + n.Unit
		}
		if n.Optional {
			note += ", optional"
		}
		fmt.Fprintf(out, "    %-12s %s (%s)\n", n.Name, n.Label, note)
	}
}

func printSchema(name string, out, errOut io.Writer) int {
	s, ok := calc.Find(name)
	if !ok {
		return noSuchCalc(name, errOut)
	}
	fmt.Fprintln(out, s.Schema())
	return 0
}

func noSuchCalc(name string, errOut io.Writer) int {
	fmt.Fprintf(errOut, "calc: there is no calculation %q; witnessmark calc -list names them\n", name)
	return 2
}

func calculate(name string, words bool, in io.Reader, out, errOut io.Writer) int {
	spec, ok := calc.Find(name)
	if !ok {
		return noSuchCalc(name, errOut)
	}
	raw, err := io.ReadAll(io.LimitReader(in, maxCalcInput+1))
	if err == nil && len(raw) > maxCalcInput {
		err = fmt.Errorf("the input is larger than %d bytes", maxCalcInput)
	}
	var v jcs.Value
	if err == nil {
		v, err = jcs.Parse(raw)
	}
	var inputs calc.Inputs
	if err == nil {
		inputs, err = calc.FromJSON(v)
	}
	var r calc.Result
	if err == nil {
		r, err = spec.Answer(inputs)
	}
	if err != nil {
		fmt.Fprintf(errOut, "calc: %v; witnessmark calc -schema %s says what goes in\n", err, name)
		return 1
	}
	if words {
		inWords(r, out)
		return 0
	}
	fmt.Fprintln(out, r.JSON())
	return 0
}

func inWords(r calc.Result, out io.Writer) {
	fmt.Fprintln(out, r.Says)
	section(out, "Working", r.Working)
	section(out, "Missing", r.Missing)
	section(out, "Caution", r.Cautions)
}

func section(out io.Writer, title string, lines []string) {
	if len(lines) > 0 {
		fmt.Fprintf(out, "\n%s\n  %s\n", title, strings.Join(lines, "\n  "))
	}
}
