package draw

import (
	"slices"
	"strings"

	"witnessmark/sync/pattern"
)

// Size is a dimension of a part that is bought.
type Size struct {
	Key   string // by which the sketch knows where it goes: "wall"
	Words string
	Value string // with its unit; "" leaves a ruled blank to be agreed
	Unit  string // of the blank; "" for a number
}

const (
	boughtWide = 260.0
	boughtTall = 116.0 // of the drawing; its sizes stand below
	sizeStep   = 17.0
)

// Bought draws a part for whoever makes or sells it: its kind's outline, not to
// scale, with a letter at each dimension, and the sizes by their letters below.
// p gives a head gasket its bores and studs; it may be nil. "" for a kind that
// there is no sketch of.
func Bought(kind string, p *pattern.Pattern, sizes []Size) string {
	outline, ok := map[string]func(*bought, *pattern.Pattern){
		"gasket": (*bought).gasket, "shell": (*bought).shell, "liner": (*bought).liner, "ring": (*bought).ring,
		"chain": (*bought).chain, "shim": (*bought).washer, "washer": (*bought).washer,
	}[kind]
	if !ok {
		return ""
	}
	b := &bought{newCanvas(boughtWide, boughtTall+float64(sizeStep*float64(len(sizes)))+20, "sketch bought", "sketch of the "+kind+", not to scale"), sizes}
	outline(b, p)
	b.list()
	return b.done()
}

type bought struct {
	*canvas
	sizes []Size
}

// letter is how a size stands at its dimension; "" when the sketch has no such size.
func (b *bought) letter(key string) string {
	i := slices.IndexFunc(b.sizes, func(s Size) bool { return s.Key == key })
	if i < 0 {
		return ""
	}
	return string(rune('a' + i))
}

// list writes the sizes with their letters, and a rule to write on where there is none.
func (b *bought) list() {
	y := boughtTall + 14
	for _, s := range b.sizes {
		b.text("s-letter", 4, y, "start", b.letter(s.Key))
		b.text("s-words", 18, y, "start", s.Words)
		if s.Value != "" {
			b.text("s-value", 110, y, "start", s.Value)
		} else {
			b.line("s-blank", 110, y+2, 152, y+2)
			b.text("s-words", 156, y, "start", strings.TrimPrefix(s.Unit+" – to be agreed", " – "))
		}
		y += sizeStep
	}
	b.text("s-words", 4, y+2, "start", "Not to scale.")
}

// across dimensions from x1 to x2 at the height y, its extension lines coming from the height from.
func (b *bought) across(key string, x1, x2, from, y float64) {
	l := b.letter(key)
	if l == "" {
		return
	}
	over := 4.0
	if y < from {
		over = -over
	}
	for _, x := range []float64{x1, x2} {
		b.line("s-dim", x, from, x, y+over)
		b.line("s-tick", x-3, y+3, x+3, y-3)
	}
	b.line("s-dim", x1, y, x2, y)
	at := (x1 + x2) / 2
	if x2-x1 > 50 {
		at -= 14 // clear of an axis
	}
	b.text("s-letter", at, y-4, "middle", l)
}

// up dimensions from y1 to y2 at x, right of the drawing; of a thin thing the letter stands clear of it.
func (b *bought) up(key string, y1, y2, from, x float64) {
	l := b.letter(key)
	if l == "" {
		return
	}
	for _, y := range []float64{y1, y2} {
		b.line("s-dim", from, y, x+4, y)
		b.line("s-tick", x-3, y+3, x+3, y-3)
	}
	b.line("s-dim", x, y1, x, y2)
	b.text("s-letter", x+8, (y1+y2)/2+4, "start", l)
}

// path draws an outline.
func (b *bought) path(class, d string) { b.raw(`<path class="` + class + `" d="` + d + `"/>`) }

// half is a half circle over the middle x, y.
func half(x, y, r float64) string {
	return "M" + n(x-r) + " " + n(y) + "A" + n(r) + " " + n(r) + " 0 0 1 " + n(x+r) + " " + n(y)
}

// gasket is the plan with its bores and, where the type says where they are, its studs; below it the edge, free and under torque.
func (b *bought) gasket(p *pattern.Pattern) {
	cylinders, number1 := 1, ""
	if p != nil {
		cylinders, number1 = max(p.Cylinders, 1), p.End1
	}
	const left, top, wide, tall = 8.0, 18.0, 204.0, 44.0
	b.text("s-words", left, 12, "start", number1)
	b.rect("s-part", left, top, wide, tall)
	step := wide / float64(cylinders)
	r := min(step*0.36, 15)
	for i := range cylinders {
		x := left + float64(step*(float64(i)+0.5))
		b.circle("s-part", x, top+tall/2, r)
		b.circle("s-thin", x, top+tall/2, r-2)
	}
	b.studs(p, left, top, wide, tall)
	x := left + float64(step*(float64(cylinders)-0.5))
	b.across("ring", x-r+2, x+r-2, top+tall/2, top+tall+18)
	b.edge("free", 90, 8, 80)
	b.edge("thickness", 90, 8, 80)
	b.edge("compressed", 92, 5, 180)
}

// studs are the holes of the head's fasteners.
func (b *bought) studs(p *pattern.Pattern, left, top, wide, tall float64) {
	if p == nil {
		return
	}
	i := slices.IndexFunc(p.Joints, func(j pattern.Joint) bool { return j.Joint == "head" })
	if i < 0 {
		return
	}
	lo, hi := 1000, 0
	for _, f := range p.Joints[i].Fasteners {
		lo, hi = min(lo, f.X), max(hi, f.X)
	}
	for _, f := range p.Joints[i].Fasteners {
		x := left + 6 + float64(f.X-lo)*(wide-12)/float64(max(hi-lo, 1))
		b.circle("s-thin", x, top+5+float64(f.Y)*(tall-10)/1000, 1.6)
	}
}

// edge is a strip of that thickness with its dimension at the right.
func (b *bought) edge(key string, y, thick, right float64) {
	if b.letter(key) == "" {
		return
	}
	b.rect("s-part", right-70, y, 62, thick)
	b.hatch("s-cut", right-70, y, 62, thick, 5)
	b.up(key, y, y+thick, right-6, right+4)
}

// shell is a half shell seen from its end and from its side.
func (b *bought) shell(*pattern.Pattern) {
	const x, y, out, in = 74.0, 84.0, 62.0, 52.0
	b.path("s-part", half(x, y, out)+"H"+n(x+in)+"A"+n(in)+" "+n(in)+" 0 0 0 "+n(x-in)+" "+n(y)+"Z")
	b.across("housing", x-out, x+out, y, y+22)
	if l := b.letter("wall"); l != "" {
		b.line("s-dim", x, y-out-14, x, y-out)
		b.line("s-dim", x, y-in, x, y-in+12)
		b.line("s-tick", x-3, y-out+3, x+3, y-out-3)
		b.line("s-tick", x-3, y-in+3, x+3, y-in-3)
		b.text("s-letter", x+6, y-in+14, "start", l)
	}
	b.rect("s-part", 168, y-out, 34, out)
	b.across("width", 168, 202, y, y+22)
}

// liner is the section with its flange at the top.
func (b *bought) liner(*pattern.Pattern) {
	const x, in, out, flange, top, tall = 104.0, 40.0, 50.0, 60.0, 16.0, 62.0
	for _, side := range []float64{-1, 1} {
		wall, head := min(side*in, side*out), min(side*in, side*flange)
		b.rect("s-part", x+head, top, flange-in, 10)
		b.hatch("s-cut", x+head, top, flange-in, 10, 6)
		b.rect("s-part", x+wall, top+10, out-in, tall-10)
		b.hatch("s-cut", x+wall, top+10, out-in, tall-10, 6)
	}
	b.line("s-axis", x, 6, x, top+tall+6)
	b.across("bore", x-in, x+in, top+40, top+30)
	b.across("outside", x-out, x+out, top+tall, top+tall+20)
	b.up("flange", top, top+10, x+flange, x+flange+16)
	b.up("length", top, top+tall, x+flange, x+flange+40)
}

// ring is a piston ring with its gap at the top, as it is in its bore.
func (b *bought) ring(*pattern.Pattern) {
	const x, y, out, in, gap = 90.0, 58.0, 40.0, 33.0, 5.0
	b.path("s-part", "M"+n(x+gap)+" "+n(y-out+0.5)+"A"+n(out)+" "+n(out)+" 0 1 1 "+n(x-gap)+" "+n(y-out+0.5)+
		"L"+n(x-gap)+" "+n(y-in+0.5)+"A"+n(in)+" "+n(in)+" 0 1 0 "+n(x+gap)+" "+n(y-in+0.5)+"Z")
	b.across("gap", x-gap, x+gap, y-in, y-out-4)
	b.across("bore", x-out, x+out, y, y+54)
	if b.letter("height") != "" {
		b.rect("s-part", 176, y-out, 10, 2*out)
		b.across("height", 176, 186, y+out, y+54)
	}
}

// chain is a few links; how many it has stands below.
func (b *bought) chain(*pattern.Pattern) {
	const y, step = 46.0, 44.0
	for i := range 5 {
		x := 24 + float64(step*float64(i))
		if i < 4 {
			up := 9 + float64(4*(i%2)) // outer and inner plates in turn
			b.path("s-part", "M"+n(x)+" "+n(y-up)+"H"+n(x+step)+"M"+n(x)+" "+n(y+up)+"H"+n(x+step))
		}
		b.circle("s-part", x, y, 9)
		b.circle("s-thin", x, y, 4)
	}
	b.across("pitch", 24+step, 24+2*step, y, y+38)
}

// washer is a flat ring, seen from above and from its edge; a shim is one too.
func (b *bought) washer(*pattern.Pattern) {
	const x, y, out, in = 66.0, 50.0, 38.0, 18.0
	b.circle("s-part", x, y, out)
	b.circle("s-part", x, y, in)
	b.across("hole", x-in, x+in, y, y+4)
	b.across("outside", x-out, x+out, y, y+58)
	b.rect("s-part", 140, y-out, 9, 2*out)
	b.hatch("s-cut", 140, y-out, 9, 2*out, 6)
	b.across("thick", 140, 149, y+out, y+58)
}
