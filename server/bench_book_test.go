package main

import (
	"bytes"
	"context"
	"fmt"
	"image"
	"image/color"
	"image/jpeg"
	"io"
	"math/rand/v2"
	"os"
	"os/exec"
	"path/filepath"
	"regexp"
	"strconv"
	"strings"
	"testing"
	"time"

	simulated "witnessmark/server/demo"
	device "witnessmark/server/phone"
	"witnessmark/sync/entry"
	"witnessmark/sync/jcs"
)

const envBook = "WITNESSMARK_TEST_BOOK"

// TestBookChild is not a test: the bench runs this binary with it, to measure the memory of one book alone.
func TestBookChild(t *testing.T) {
	args := os.Getenv(envBook)
	if args == "" {
		return
	}
	if code := run(strings.Split(args, "\n"), io.Discard, os.Stderr); args != "nothing" && code != 0 {
		t.Fatal(code)
	}
	status, err := os.ReadFile("/proc/self/status")
	if err != nil {
		t.Fatal(err)
	}
	fmt.Println(regexp.MustCompile(`VmHWM:\s+\d+`).FindString(string(status)))
}

// benchPhotos is how many photos a big job has.
const benchPhotos = 300

// book measures the record book of the demo, and of the demo with 300 photos more. The floor is the same program doing nothing.
func (b *benchRun) book() {
	data := filepath.Join(b.TempDir(), "demo")
	says(b.T, 0, "demo", "-load", data)
	idle, floor, _ := b.bookRun("nothing")
	demo, demoMem, demoSize := b.bookRun("book", "-data", data, "-out", filepath.Join(data, "book.html"))
	b.takePhotos(data)
	many, manyMem, manySize := b.bookRun("book", "-data", data, "-out", filepath.Join(data, "book.html"))
	b.line("\nThe record book, from the data folder to the file, and the most memory that it took")
	b.line("  nothing (the floor)        %8.2f s   %4.0f MB", idle.Seconds(), floor)
	b.line("  the demo                   %8.2f s   %4.0f MB   a file of %.1f MB", demo.Seconds(), demoMem, demoSize)
	b.line("  with %d photos more       %8.2f s   %4.0f MB   a file of %.1f MB", benchPhotos, many.Seconds(), manyMem, manySize)
}

// bookRun runs one verb in a process of its own and returns its time, its most memory and the size of the last argument, in MB.
func (b *benchRun) bookRun(args ...string) (took time.Duration, memory, size float64) {
	cmd := exec.Command(os.Args[0], "-test.run=^TestBookChild$")
	cmd.Env = append(os.Environ(), envBook+"="+strings.Join(args, "\n"))
	began := time.Now()
	said, err := cmd.CombinedOutput()
	if err != nil {
		b.Fatalf("%v: %v: %s", args, err, said)
	}
	took = time.Since(began)
	peak := regexp.MustCompile(`VmHWM:\s+(\d+)`).FindSubmatch(said)
	if peak == nil {
		b.Fatalf("%v said nothing of its memory: %s", args, said)
	}
	kB, err := strconv.ParseFloat(string(peak[1]), 64)
	b.must(err)
	memory = kB / 1024
	if len(args) > 1 {
		info, err := os.Stat(args[len(args)-1])
		b.must(err)
		size = float64(info.Size()) / 1e6
	}
	return took, memory, size
}

// takePhotos hands in photos of a phone's size, each another, with their entries.
func (b *benchRun) takePhotos(data string) {
	ctx := context.Background()
	r, err := startApp(ctx, Config{Data: data}, "127.0.0.1:0")
	b.must(err)
	p := device.New(device.Config{URL: r.url, Job: simulated.JobID(), Name: "camera", Of: "bram", Log: entry.LogID(strings.Repeat("c", 32))})
	code, err := r.pair(ctx, "fitter")
	b.must(err)
	b.must(p.Pair(ctx, code))
	last := entry.Entry{}
	for i := range benchPhotos + 1 {
		d := entry.Entry{Job: simulated.JobID(), Log: entry.LogID(strings.Repeat("c", 32)), Seq: last.Seq + 1, Prev: last.ID, At: "2031-04-12T10:22:31+01:00", By: "bram"}
		d.Kind, d.Body = "log", jcs.Obj(jcs.M("device", jcs.Str("own")), jcs.M("name", jcs.Str("camera")), jcs.M("of", jcs.Str("bram")))
		if i > 0 {
			photo := photoOf(i)
			sha, err := p.SendPhoto(ctx, photo)
			if err != nil { // on a busy machine the token runs out meanwhile: the next exchange buys another
				b.must(p.Exchange(ctx))
				sha, err = p.SendPhoto(ctx, photo)
			}
			b.must(err)
			d.Kind, d.Body = "photo", jcs.Obj(jcs.M("sha", jcs.Str(sha)), jcs.M("size", jcs.Int(int64(len(photo)))), jcs.M("type", jcs.Str("image/jpeg")), jcs.M("caption", jcs.Str(fmt.Sprint("photo ", i))))
		}
		last, err = entry.Compose(d)
		b.must(err)
		b.must(p.Carry(last.Raw))
	}
	b.must(p.Exchange(ctx))
	b.must(r.finish())
}

// photoOf is a picture of 2 megapixels with as much in it as a photo has.
func photoOf(n int) []byte {
	rng := rand.New(rand.NewPCG(uint64(n), 1))
	img := image.NewRGBA(image.Rect(0, 0, 1632, 1224))
	var tile [64]uint8
	for i := range tile {
		tile[i] = uint8(rng.UintN(256))
	}
	for y := range 1224 {
		for x := range 1632 {
			v := tile[(x/40+y/30*7)%64]/2 + uint8((x*y>>6+x)%97)
			img.SetRGBA(x, y, color.RGBA{v, v / 2, 255 - v, 255})
		}
	}
	var out bytes.Buffer
	if err := jpeg.Encode(&out, img, &jpeg.Options{Quality: 85}); err != nil {
		panic(err)
	}
	return out.Bytes()
}
