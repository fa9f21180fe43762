// Command witnessmark is the office's server and its command line.
package main

import (
	"fmt"
	"io"
	"os"
)

const usage = `witnessmark keeps a workshop's measurements.

  witnessmark serve -data DIR [-addr HOST:PORT] [-db postgres://…] [-origin https://NAME] [-proxy]
  witnessmark pair  -data DIR -role lead|fitter|viewer [-json]     a code that pairs one phone
  witnessmark link  -data DIR -job JOB -name NAME [-people]        a link for people without an account
  witnessmark calc  -list | -schema NAME | NAME                    a calculation, its inputs on standard input
  witnessmark demo  [-load DIR | -check]                           the invented workshop
  witnessmark sim   -seed S -seeds N -steps M [-store postgres -db URL]   lives seeded histories and checks every promise
  witnessmark health -addr HOST:PORT                               asks a running server whether it is well
`

// verb is one subcommand; it returns the exit code.
type verb func(args []string, out, errOut io.Writer) int

func verbs() map[string]verb {
	return map[string]verb{
		"serve": runServe, "pair": runPair, "link": runLink, "calc": calcOnStdin, "demo": runDemo, "health": runHealth,
		"sim": runSim,
	}
}

func calcOnStdin(args []string, out, errOut io.Writer) int {
	return runCalc(args, os.Stdin, out, errOut)
}

func main() {
	os.Exit(run(os.Args[1:], os.Stdout, os.Stderr))
}

func run(args []string, out, errOut io.Writer) int {
	if len(args) == 0 {
		fmt.Fprint(errOut, usage)
		return 2
	}
	v, ok := verbs()[args[0]]
	if !ok {
		fmt.Fprintf(errOut, "there is no command %q\n\n%s", args[0], usage)
		return 2
	}
	return v(args[1:], out, errOut)
}
