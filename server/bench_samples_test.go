package main

import (
	"fmt"
	"math"
	"strings"
	"time"

	"witnessmark/sync/entry"
	"witnessmark/sync/jcs"
	"witnessmark/sync/result"
	"witnessmark/sync/view"
	story "witnessmark/testdata/demo"
)

// samples measures four hours of what two gauges of two engines give by themselves, one row a second: the bytes of the
// entries, the taking in beside the demo without them, and the run's screen with its drawings.
func (b *benchRun) samples() {
	lines, run := b.sampled(4 * time.Hour)
	var size int
	for _, l := range lines {
		size += len(l)
	}
	alone, with := b.fold(nil), b.fold(lines)
	w := b.worked(lines[:len(lines)-1])
	w.Now()
	began := time.Now()
	_, err := w.Set.Add(lines[len(lines)-1])
	b.must(err)
	st, rs := w.Now()
	one := time.Since(began)
	var shown, led []time.Duration
	var v jcs.Value
	for range 11 {
		began = time.Now()
		v, err = view.View(st, rs, "run", jcs.Obj(jcs.M("id", jcs.Str(string(run)))))
		b.must(err)
		shown = append(shown, time.Since(began))
		led = append(led, b.looked(st, rs, "lead"))
	}
	b.line("\nSamples of four hours, one a second, two gauges of two engines: %d figures", 4*3600*4)
	b.line("  entries                    %8d       %.1f KB, %.2f bytes a figure", len(lines), float64(size)/1000, float64(size)/(4*3600*4))
	b.line("  the demo from nothing      %8.2f ms, with them %.2f ms", ms(alone), ms(with))
	b.line("  one block more taken in    %8.2f ms", ms(one))
	b.line("  the run's screen           %8.2f ms, today's list %.2f ms", ms(middle(shown)), ms(middle(led)))
	for _, g := range v.Get("graphs").Items() {
		svg := g.Get("svg").Text()
		points := 0
		for _, piece := range strings.Split(svg, `points="`)[1:] {
			list, _, _ := strings.Cut(piece, `"`)
			points += strings.Count(list, ",")
		}
		b.line("  %-30s %6d bytes of SVG, %d points drawn", g.Get("title").Text(), len(svg), points)
	}
}

func (b *benchRun) fold(more [][]byte) time.Duration {
	var all []time.Duration
	for range 5 {
		began := time.Now()
		b.worked(more).Now()
		all = append(all, time.Since(began))
	}
	return middle(all)
}

func (b *benchRun) worked(more [][]byte) *result.Work {
	w := result.NewWork()
	for _, lines := range [][][]byte{story.Lines(), more} {
		for _, line := range lines {
			_, err := w.Set.Add(line)
			b.must(err)
		}
	}
	return w
}

// sampled is a log with a run of both engines of the demo and its blocks; the temperatures rise and swing, so that no two
// rows are alike for long.
func (b *benchRun) sampled(long time.Duration) ([][]byte, entry.ID) {
	last, err := entry.Compose(b.more(0, "f", "2117", entry.Entry{}))
	b.must(err)
	lines := [][]byte{last.Raw}
	add := func(body string) entry.ID {
		v, err := jcs.Parse([]byte(body))
		b.must(err)
		d := b.more(1, "f", "2117", last)
		d.Kind, d.Body = "run", v
		last, err = entry.Compose(d)
		b.must(err)
		lines = append(lines, last.Raw)
		return last.ID
	}
	run := add(`{"of":{"asm":"2117"},"with":{"asm":"2123"},"does":"start","title":"four hours"}`)
	for _, asm := range []string{"2117", "2123"} {
		add(fmt.Sprintf(`{"of":{"asm":%q},"run":%q,"elapsed":{"t":"5","u":"s"},"does":"event","event":"fired"}`, asm, run))
		add(fmt.Sprintf(`{"of":{"asm":%q},"run":%q,"elapsed":{"t":"9","u":"s"},"does":"event","event":"station","station":"800"}`, asm, run))
		for from := 10; from < int(long.Seconds()); from += 300 {
			var oil, water []string
			for s := from; s < from+300; s++ {
				oil = append(oil, fmt.Sprintf("%.2f", 2.3+0.1*math.Sin(float64(s)/7)))
				water = append(water, fmt.Sprintf("%.1f", 80-60*math.Exp(-float64(s)/900)+math.Sin(float64(s)/11)))
			}
			add(fmt.Sprintf(`{"of":{"asm":%q},"run":%q,"elapsed":{"t":"%d","u":"s"},"does":"samples","step":{"t":"1","u":"s"},"columns":[{"what":"oil.pressure","u":"bar","values":%q},{"what":"coolant","u":"degC","values":%q}]}`,
				asm, run, from, strings.Join(oil, " "), strings.Join(water, " ")))
		}
	}
	return lines, run
}
