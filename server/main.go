// Command witnessmark is the office's server and its command line.
package main

import (
	"fmt"
	"io"
	"os"
	"slices"
)

const usage = `witnessmark keeps a workshop's measurements.

  witnessmark serve -data DIR [-addr HOST:PORT] [-db postgres://…] [-origin https://NAME] [-proxy]
                    [-tls [-help-addr HOST:PORT] | -cert FILE -key FILE]
  witnessmark tls   -data DIR [-name NAME [-ip ADDRESS] | -out FILE | -from FILE]
                                                                   HTTPS in a workshop: a certificate authority of its own
  witnessmark pair  -data DIR -role lead|fitter|viewer [-json]     a code that pairs one phone
  witnessmark link  -data DIR -job JOB -name NAME [-people]        a link for people without an account
  witnessmark book  -data DIR -out FILE [-job JOB] [-asm SERIAL] [-until DAY] [-no-names] [-pdf FILE]
                                                                   the record book, one file to print or keep
  witnessmark numbers -data DIR -out FOLDER [-job JOB] [-no-names] tables (CSV), record and results (JSON), drawings (SVG)
  witnessmark calendar -data DIR -out FILE [-job JOB] [-no-names]  what is due again, for any calendar program (RFC 5545)
  witnessmark calc  -list | -schema NAME | NAME                    a calculation, its inputs on standard input
  witnessmark export  -data DIR [-job JOB] -out FILE [-no-names]   a whole job as one open archive, for any computer
  witnessmark import  -data DIR FILE                               an archive back in; twice adds nothing
  witnessmark backup  -data DIR -out FILE                          everything, while the server runs
  witnessmark restore -data DIR FILE                               a backup into an empty folder
  witnessmark hand-in -data DIR FILE…                              what a phone saved as a file because it could not hand it in
  witnessmark demo  [-load DIR | -check]                           the invented workshop
  witnessmark sim   -seed S -seeds N -steps M [-store postgres -db URL]   lives seeded histories and checks every promise
  witnessmark health -addr HOST:PORT                               asks a running server whether it is well
`

// verb is one subcommand; it returns the exit code.
type verb func(args []string, out, errOut io.Writer) int

func verbs() map[string]verb {
	return map[string]verb{
		"serve": runServe, "pair": runPair, "link": runLink, "calc": calcOnStdin, "demo": runDemo, "health": runHealth,
		"export": runExport, "import": runImport, "backup": runBackup, "restore": runRestore, "hand-in": runHandIn,
		"book": runBook, "numbers": runNumbers, "calendar": runCalendar,
		"sim": runSim, "tls": runTLS,
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
	if slices.Contains([]string{"help", "-h", "-help", "--help"}, args[0]) {
		fmt.Fprint(out, usage)
		return 0
	}
	v, ok := verbs()[args[0]]
	if !ok {
		fmt.Fprintf(errOut, "there is no command %q\n\n%s", args[0], usage)
		return 2
	}
	return v(args[1:], out, errOut)
}
