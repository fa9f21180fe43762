package photos

import (
	"bytes"
	"encoding/binary"
	"errors"
	"hash/crc32"
	"image"
	"image/color"
	"image/jpeg"
	"image/png"
	"strings"
	"testing"
)

// corner is a 40 by 20 picture, grey but for a red left upper quarter.
func corner() *image.RGBA {
	img := image.NewRGBA(image.Rect(0, 0, 40, 20))
	for y := range 20 {
		for x := range 40 {
			c := color.RGBA{128, 128, 128, 255}
			if x < 20 && y < 10 {
				c = color.RGBA{255, 0, 0, 255}
			}
			img.SetRGBA(x, y, c)
		}
	}
	return img
}

func encodeJPEG(t *testing.T, img image.Image) []byte {
	t.Helper()
	var out bytes.Buffer
	if err := jpeg.Encode(&out, img, &jpeg.Options{Quality: 95}); err != nil {
		t.Fatal(err)
	}
	return out.Bytes()
}

// withExif puts an APP1 segment with an orientation and a GPS-looking text behind the start of a JPEG.
func withExif(data []byte, orientation int, order binary.ByteOrder) []byte {
	return append(append([]byte{0xff, 0xd8}, segment(0xe1, append([]byte("Exif\x00\x00"), tiff(orientation, order)...))...), data[2:]...)
}

func segment(marker byte, body []byte) []byte {
	head := []byte{0xff, marker, 0, 0}
	binary.BigEndian.PutUint16(head[2:], uint16(len(body)+2))
	return append(head, body...)
}

func tiff(orientation int, order binary.ByteOrder) []byte {
	b := make([]byte, 8+2+12+4)
	copy(b, "MM\x00*")
	if order == binary.LittleEndian {
		copy(b, "II*\x00")
	}
	order.PutUint32(b[4:], 8)
	order.PutUint16(b[8:], 1)
	order.PutUint16(b[10:], 0x0112)
	order.PutUint16(b[12:], 3)
	order.PutUint32(b[14:], 1)
	order.PutUint16(b[18:], uint16(orientation))
	return append(b, []byte("GPS 51.5N 0.1W")...)
}

// TestDerivative is T36: upright, without position data. The red quarter's place after turning is Exif 2.3's table for tag
// 0x0112: which stored row and column are the visual top and left.
func TestDerivative(t *testing.T) {
	places := map[int]struct{ right, bottom, tall bool }{
		1: {false, false, false}, 2: {true, false, false}, 3: {true, true, false}, 4: {false, true, false},
		5: {false, false, true}, 6: {true, false, true}, 7: {true, true, true}, 8: {false, true, true},
	}
	for o, want := range places {
		for _, order := range []binary.ByteOrder{binary.BigEndian, binary.LittleEndian} {
			view, err := derive(withExif(encodeJPEG(t, corner()), o, order))
			if err != nil {
				t.Fatal(err)
			}
			if bytes.Contains(view, []byte("GPS")) || bytes.Contains(view, []byte("Exif")) {
				t.Errorf("orientation %d: the derivative carries metadata", o)
			}
			img, err := jpeg.Decode(bytes.NewReader(view))
			if err != nil {
				t.Fatal(err)
			}
			size := img.Bounds().Size()
			if (size.Y > size.X) != want.tall {
				t.Errorf("orientation %d: %v, tall should be %v", o, size, want.tall)
			}
			x, y := size.X/4, size.Y/4
			if want.right {
				x = 3 * size.X / 4
			}
			if want.bottom {
				y = 3 * size.Y / 4
			}
			if r, g, _, _ := img.At(x, y).RGBA(); r < 0xc000 || g > 0x4000 {
				t.Errorf("orientation %d: the red quarter is not at %d, %d of %v", o, x, y, size)
			}
		}
	}
}

func TestOrientationUnreadable(t *testing.T) {
	data := encodeJPEG(t, corner())
	for name, d := range map[string][]byte{
		"none": data, "odd number": withExif(data, 77, binary.BigEndian),
		"directory beyond the end": append(append([]byte{0xff, 0xd8}, segment(0xe1, []byte("Exif\x00\x00MM\x00*\xff\xff\xff\xff"))...), data[2:]...),
		"cut directory":            append(append([]byte{0xff, 0xd8}, segment(0xe1, []byte("Exif\x00\x00MM\x00*\x00\x00\x00\x08\xff\xff"))...), data[2:]...),
	} {
		if _, err := derive(d); err != nil {
			t.Errorf("%s: %v", name, err)
		}
	}
}

func TestDerivativeIsSmall(t *testing.T) {
	view, err := derive(encodeJPEG(t, image.NewRGBA(image.Rect(0, 0, 4000, 1000))))
	if err != nil {
		t.Fatal(err)
	}
	cfg, err := jpeg.DecodeConfig(bytes.NewReader(view))
	if err != nil || cfg.Width != viewEdge || cfg.Height != viewEdge/4 {
		t.Errorf("derivative %dx%d, %v, want %dx%d", cfg.Width, cfg.Height, err, viewEdge, viewEdge/4)
	}
}

// hugePNG claims a size without having the pixels.
func hugePNG(w, h uint32) []byte {
	body := make([]byte, 13)
	binary.BigEndian.PutUint32(body, w)
	binary.BigEndian.PutUint32(body[4:], h)
	copy(body[8:], []byte{8, 6, 0, 0, 0})
	out := []byte("\x89PNG\r\n\x1a\n")
	for _, c := range []struct {
		name string
		body []byte
	}{{"IHDR", body}, {"IDAT", nil}, {"IEND", nil}} {
		var n, crc [4]byte
		binary.BigEndian.PutUint32(n[:], uint32(len(c.body)))
		binary.BigEndian.PutUint32(crc[:], crc32.ChecksumIEEE(append([]byte(c.name), c.body...)))
		out = append(append(append(append(out, n[:]...), c.name...), c.body...), crc[:]...)
	}
	return out
}

// TestHostile is T35: refused before decoding, each with its reason.
func TestHostile(t *testing.T) {
	good := encodeJPEG(t, corner())
	gif := append([]byte("GIF89a\xff\xff\xff\xff\x00\x00\x00"), make([]byte, 21)...)
	cases := map[string]struct {
		data []byte
		why  string
	}{
		"gif claiming 65535 x 65535":  {gif, "neither a photo"},
		"png claiming 65535 x 65535":  {hugePNG(65535, 65535), "megapixels"},
		"png with size over 2^31":     {hugePNG(1<<31, 1), "cannot be read"},
		"html":                        {[]byte("<!doctype html><script>alert(1)</script>"), "neither a photo"},
		"html behind a jpeg's magic":  {[]byte("\xff\xd8\xff<html><script>alert(1)</script>"), "cannot be read"},
		"html in a jpeg's comment":    {append(append([]byte{0xff, 0xd8}, segment(0xfe, []byte("<HTML><script>"))...), good[2:]...), "web page"},
		"html after a jpeg's end":     {append(bytes.Clone(good), []byte("<script>alert(1)</script>")...), "web page"},
		"svg with script":             {[]byte(`<svg xmlns="http://www.w3.org/2000/svg"><script>1</script></svg>`), "neither a photo"},
		"zip":                         {[]byte("PK\x03\x04" + strings.Repeat("x", 40)), "neither a photo"},
		"cut jpeg":                    {good[:len(good)*2/3], "cut off"},
		"jpeg without an end":         {good[:len(good)-2], "cut off"},
		"cut png":                     {cutPNG(t), "cut off"},
		"empty":                       {nil, "empty"},
		"webp shorter than it says":   {[]byte("RIFF\xff\x00\x00\x00WEBPVP8L\x0d\x00\x00\x00\x2f\x00\x00\x00\x10\x07\x10\x11\x11\x88\x88\xfe\x07\x00"), "cut off"},
		"webp of nothing but a title": {[]byte("RIFF\x04\x00\x00\x00WEBP"), "cannot be read"},
	}
	for name, c := range cases {
		t.Run(name, func(t *testing.T) {
			typ, err := sniff(c.data)
			if err == nil {
				err = checkPicture(c.data, typ)
			}
			var refusal Refusal
			if !errors.As(err, &refusal) || !strings.Contains(refusal.Why, c.why) {
				t.Errorf("= %v, want a refusal with %q", err, c.why)
			}
		})
	}
	if err := checkPicture(good, typeJPEG); err != nil {
		t.Errorf("a good picture = %v", err)
	}
}

func cutPNG(t *testing.T) []byte {
	t.Helper()
	var out bytes.Buffer
	if err := png.Encode(&out, corner()); err != nil {
		t.Fatal(err)
	}
	return out.Bytes()[:out.Len()-20]
}

func TestSniffVoice(t *testing.T) {
	for want, data := range map[string]string{
		typeWebM: "\x1a\x45\xdf\xa3\x9fB\x86\x81\x01B\xf7\x81\x01B\xf2\x81\x04B\xf3\x81\x08B\x82\x84webm",
		typeMP4:  "\x00\x00\x00\x18ftypM4A \x00\x00\x00\x00",
	} {
		if got, err := sniff([]byte(data)); err != nil || got != want {
			t.Errorf("sniff = %q, %v, want %q", got, err, want)
		}
	}
}

// FuzzExamine: no bytes make it panic.
func FuzzExamine(f *testing.F) {
	f.Add([]byte("\xff\xd8\xff\xe1\x00\x10Exif\x00\x00MM\x00*"))
	f.Add(hugePNG(3, 3))
	f.Add([]byte("RIFF\x04\x00\x00\x00WEBP"))
	f.Add(recorded(f, "beeps.webm"))
	f.Add(recorded(f, "beeps.m4a"))
	f.Add([]byte(ogg()))
	f.Add([]byte(wave(wavSound)))
	f.Fuzz(func(_ *testing.T, data []byte) {
		p := &Photos{}
		_, _, _ = p.examine(data)
		_ = orientation(data)
	})
}

// TestShrinkForPrint: a picture in a book is bounded, keeps its shape, and is never made larger.
func TestShrinkForPrint(t *testing.T) {
	for _, c := range []struct{ w, h, wantW, wantH int }{{4000, 3000, 1000, 750}, {300, 2000, 150, 1000}, {40, 20, 40, 20}, {5000, 1, 1000, 1}} {
		got := shrink(image.NewRGBA(image.Rect(0, 0, c.w, c.h)), printEdge).Bounds().Size()
		if got.X != c.wantW || got.Y != c.wantH {
			t.Errorf("%d × %d became %v, want %d × %d", c.w, c.h, got, c.wantW, c.wantH)
		}
	}
}
