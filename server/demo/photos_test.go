package demo

import (
	"bytes"
	"image"
	"image/color"
	"image/jpeg"
	"math"
	"os"
	"path/filepath"
	"testing"

	"golang.org/x/image/font"
	"golang.org/x/image/font/basicfont"
	"golang.org/x/image/math/fixed"
)

// The demo's photos are drawings made here, so that nothing in them is anybody's. They are kept as files: their hashes stand
// in the logs, and another version of the encoder may write other bytes.

var (
	paper  = color.RGBA{0xf6, 0xf3, 0xec, 0xff}
	ink    = color.RGBA{0x17, 0x1b, 0x20, 0xff}
	pencil = color.RGBA{0x8c, 0x8a, 0x82, 0xff}
)

// sheet is a picture being drawn.
type sheet struct{ *image.RGBA }

func newSheet(w, h int) sheet {
	s := sheet{image.NewRGBA(image.Rect(0, 0, w, h))}
	for y := range h {
		for x := range w {
			s.SetRGBA(x, y, paper)
		}
	}
	return s
}

// ring draws a circle line of a width, all in pixels.
func (s sheet) ring(x, y, r, width float64, c color.RGBA) {
	for py := range s.Rect.Dy() {
		for px := range s.Rect.Dx() {
			if d := math.Hypot(float64(px)-x, float64(py)-y); math.Abs(d-r) <= width/2 {
				s.SetRGBA(px, py, c)
			}
		}
	}
}

func (s sheet) box(x0, y0, x1, y1 int, c color.RGBA) {
	for y := y0; y < y1; y++ {
		for x := x0; x < x1; x++ {
			s.SetRGBA(x, y, c)
		}
	}
}

func (s sheet) text(x, y int, words string) {
	d := font.Drawer{Dst: s, Src: image.NewUniform(ink), Face: basicfont.Face7x13, Dot: fixed.P(x, y)}
	d.DrawString(words)
}

// drawGasket: two fire rings and the figure across one.
func drawGasket() sheet {
	s := newSheet(640, 480)
	s.box(30, 70, 610, 400, color.RGBA{0xc9, 0xb4, 0x92, 0xff})
	for _, x := range []float64{175, 465} {
		for r := 0.0; r < 112; r++ {
			s.ring(x, 235, r, 2, paper)
		}
		s.ring(x, 235, 116, 8, pencil)
		s.ring(x, 235, 112, 2, ink)
	}
	s.box(63, 234, 287, 236, ink)
	s.text(150, 228, "112.0")
	s.text(40, 450, "GK-7  fire ring  13 March")
	return s
}

// drawScore: a crankpin from the side, with the score across half its width.
func drawScore() sheet {
	s := newSheet(640, 480)
	s.box(40, 60, 150, 420, pencil)
	s.box(490, 60, 600, 420, pencil)
	s.box(150, 140, 490, 340, color.RGBA{0xdd, 0xdb, 0xd4, 0xff})
	for i := range 9 {
		y := 205 + 9*i + i%3
		s.box(170, y, 330+(i*37)%20, y+1+i%2, ink)
	}
	s.box(150, 139, 490, 141, ink)
	s.box(150, 339, 490, 341, ink)
	s.text(250, 380, "2123  pin 4")
	return s
}

func TestPhotos(t *testing.T) {
	for name, draw := range map[string]func() sheet{"gk-7.jpg": drawGasket, "pin-4-score.jpg": drawScore} {
		file := filepath.Join(folder, name)
		if *update {
			var out bytes.Buffer
			if err := jpeg.Encode(&out, draw(), &jpeg.Options{Quality: 60}); err != nil {
				t.Fatal(err)
			}
			if err := os.WriteFile(file, out.Bytes(), 0o644); err != nil {
				t.Fatal(err)
			}
		}
		data, err := os.ReadFile(file)
		if err != nil {
			t.Fatal(err)
		}
		if _, err := jpeg.Decode(bytes.NewReader(data)); err != nil || len(data) > 40_000 {
			t.Errorf("%s: %d bytes, %v", name, len(data), err)
		}
	}
}
