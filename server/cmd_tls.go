package main

import (
	"errors"
	"flag"
	"fmt"
	"io"
	"net/netip"
	"os"
	"path/filepath"
	"time"

	"witnessmark/server/authority"
)

// authorityFolder is where a workshop's own authority lies: beside the data, in no backup of them.
func authorityFolder(data string) string { return filepath.Join(data, "tls") }

// runTLS makes the workshop's own certificate authority, says how it stands, and carries it to another machine.
func runTLS(args []string, out, errOut io.Writer) int {
	fs := flag.NewFlagSet("tls", flag.ContinueOnError)
	fs.SetOutput(errOut)
	data := fs.String("data", "data", "the server's data folder")
	name := fs.String("name", "", "the name that phones open, such as heron.home.arpa: asked once, for good")
	to := fs.String("out", "", "write the authority with its key to a file, to be kept apart from every copy of the data")
	from := fs.String("from", "", "take in the authority from such a file, on another machine")
	var addresses list
	fs.Var(&addresses, "ip", "address of the server in the workshop, beside the name; may be repeated")
	if err := fs.Parse(args); err != nil {
		return 2
	}
	err := tlsVerb(authorityFolder(*data), *name, *from, *to, addresses, out)
	if err != nil {
		fmt.Fprintf(errOut, "witnessmark: %v\n", err)
		return 1
	}
	return 0
}

func tlsVerb(folder, name, from, to string, addresses []string, out io.Writer) error {
	a, err := openAuthority(folder, name, from, addresses)
	if err != nil {
		return err
	}
	if to != "" {
		return writeAuthority(a, to, out)
	}
	fmt.Fprintf(out, "phones open      https://%s\nthe certificate  Workshop %s, until %s\nits fingerprint  %s\n\n"+
		"Start the server with -tls. -help-addr 0.0.0.0:80 gives the phones a page with the certificate and the steps.\n"+
		"Keep a copy of the authority apart from the data: witnessmark tls -out FILE. A new one means every phone again.\n",
		a.Name, a.Name, a.Until().Format(time.DateOnly), a.Fingerprint())
	return nil
}

func openAuthority(folder, name, from string, addresses []string) (*authority.Authority, error) {
	if from != "" {
		text, err := os.ReadFile(from)
		if err != nil {
			return nil, err
		}
		return authority.TakeIn(folder, text, time.Now)
	}
	if name == "" && len(addresses) == 0 {
		return authority.Open(folder, time.Now)
	}
	var ips []netip.Addr
	for _, text := range addresses {
		ip, err := netip.ParseAddr(text)
		if err != nil {
			return nil, fmt.Errorf("%q is no address such as 192.168.1.20", text)
		}
		ips = append(ips, ip)
	}
	return authority.Make(folder, name, ips, time.Now)
}

// writeAuthority never writes over a file.
func writeAuthority(a *authority.Authority, to string, out io.Writer) error {
	text, err := a.Text()
	if err != nil {
		return err
	}
	f, err := os.OpenFile(to, os.O_WRONLY|os.O_CREATE|os.O_EXCL, 0o600)
	if err != nil {
		return err
	}
	if _, err = f.Write(text); err != nil {
		return errors.Join(err, f.Close())
	}
	fmt.Fprintf(out, "%s holds the authority and its key: whoever has it can pass for %s. Lock it away.\n", to, a.Name)
	return f.Close()
}
