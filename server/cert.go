package main

import (
	"context"
	"crypto/tls"
	"errors"
	"fmt"
	"net"
	"net/http"
	"os"
	"sync"
	"time"

	"witnessmark/server/authority"
)

// warnBefore is how long before its end a certificate is warned about: the group meets on Saturdays.
const warnBefore = 21 * 24 * time.Hour

// listening is a server's listener and what it knows about its certificate.
type listening struct {
	net.Listener
	certificate func(*tls.ClientHelloInfo) (*tls.Certificate, error) // nil: plain HTTP
	authority   *authority.Authority                                 // nil: none of the workshop's own
	help        net.Listener                                         // nil: no page for phones
}

// listen opens the listeners. Errors: authority.ErrNone, and what the system says.
func listen(cfg Config, on listenOn) (*listening, error) {
	l := &listening{}
	if on.help != "" && !on.own {
		return nil, errors.New("-help-addr belongs to -tls: it gives phones the workshop's own certificate")
	}
	if err := l.choose(cfg, on); err != nil {
		return nil, err
	}
	tcp, err := net.Listen("tcp", on.addr)
	if err != nil {
		return nil, fmt.Errorf("listen: %w", err)
	}
	l.Listener = tcp
	if l.certificate != nil {
		l.Listener = tls.NewListener(tcp, &tls.Config{MinVersion: tls.VersionTLS12, GetCertificate: l.certificate, NextProtos: []string{"http/1.1"}})
	}
	if on.help != "" {
		if l.help, err = net.Listen("tcp", on.help); err != nil {
			return nil, errors.Join(fmt.Errorf("listen for phones that need help: %w", err), tcp.Close())
		}
	}
	return l, nil
}

// choose finds the certificate and looks at it once, so that a wrong one is told at the start.
func (l *listening) choose(cfg Config, on listenOn) error {
	switch {
	case on.own:
		a, err := authority.Open(authorityFolder(cfg.Data), cfg.Now)
		if err != nil {
			return err
		}
		l.authority, l.certificate = a, a.Certificate
	case on.cert != "":
		files := &certFiles{cert: on.cert, key: on.key}
		l.certificate = files.get
	default:
		return nil
	}
	_, err := l.certificate(nil)
	return err
}

// ends is when the certificate in use ends; the zero time without one.
func (l *listening) ends() time.Time {
	if l.certificate == nil {
		return time.Time{}
	}
	c, err := l.certificate(nil)
	if err != nil || c.Leaf == nil {
		return time.Time{}
	}
	return c.Leaf.NotAfter
}

// warn logs how long the certificate is good, and louder when that is not long.
func (l *listening) warn(cfg Config) {
	ends := l.ends()
	if ends.IsZero() {
		return
	}
	days := int(ends.Sub(cfg.Now()).Hours() / 24)
	if ends.Sub(cfg.Now()) < warnBefore {
		cfg.Log.Error("the certificate ends soon: phones will not reach the office after that", "days", days, "ends", ends.Format(time.DateOnly))
		return
	}
	cfg.Log.Info("certificate", "days", days, "ends", ends.Format(time.DateOnly))
}

// warnDaily warns at once and every day until ctx ends: a server runs for months.
func (l *listening) warnDaily(ctx context.Context, cfg Config) {
	l.warn(cfg)
	if l.certificate == nil {
		return
	}
	go func() {
		day := time.NewTicker(24 * time.Hour)
		defer day.Stop()
		for {
			select {
			case <-ctx.Done():
				return
			case <-day.C:
				l.warn(cfg)
			}
		}
	}()
}

// Close closes both listeners.
func (l *listening) Close() error {
	if l.help == nil {
		return l.Listener.Close()
	}
	return errors.Join(l.Listener.Close(), l.help.Close())
}

// helpPhones answers on plain HTTP until stop is called.
func helpPhones(l *listening) (stop func()) {
	handler, err := authority.Help(l.authority, portOf(l.Listener))
	if err != nil {
		panic("bug: the page for phones: " + err.Error())
	}
	server := &http.Server{Handler: handler, ReadHeaderTimeout: headerWithin, ReadTimeout: headerWithin, WriteTimeout: readWithin, MaxHeaderBytes: maxHeaderBytes}
	ended := make(chan struct{})
	go func() {
		defer close(ended)
		_ = server.Serve(l.help) // it ends when it is shut down
	}()
	return func() {
		_ = server.Shutdown(context.Background()) // short replies only: there is nothing to wait for
		<-ended
	}
}

func portOf(l net.Listener) string {
	_, port, err := net.SplitHostPort(l.Addr().String())
	if err != nil {
		return ""
	}
	return port
}

func originOf(name, port string) string {
	if port == "443" {
		return "https://" + name
	}
	return "https://" + net.JoinHostPort(name, port)
}

// certFiles is a certificate in files that something else renews: it is read again when the file has changed, so that
// open sockets live on.
type certFiles struct {
	cert, key string

	mu     sync.Mutex
	loaded *tls.Certificate
	of     time.Time // modification time of what is loaded
}

func (c *certFiles) get(*tls.ClientHelloInfo) (*tls.Certificate, error) {
	c.mu.Lock()
	defer c.mu.Unlock()
	info, err := os.Stat(c.cert)
	if err == nil && c.loaded != nil && info.ModTime().Equal(c.of) {
		return c.loaded, nil
	}
	if err == nil {
		var pair tls.Certificate
		if pair, err = tls.LoadX509KeyPair(c.cert, c.key); err == nil {
			c.loaded, c.of = &pair, info.ModTime()
		}
	}
	if c.loaded == nil {
		return nil, fmt.Errorf("read certificate: %w", err)
	}
	// Half-written files: the old certificate is better than none, and the next connection looks again.
	return c.loaded, nil
}
