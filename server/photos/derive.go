package photos

import (
	"bytes"
	"encoding/binary"
	"fmt"
	"image"
	"image/color"
	"image/jpeg"

	"golang.org/x/image/draw"
)

const (
	// viewType is what every derivative is.
	viewType = typeJPEG
	// viewEdge is the longest edge of a derivative in pixels: enough to read a gauge's face on a desk screen.
	viewEdge = 2048
	// viewQuality is JPEG's; 85 shows no blocks on scribed lines at that size (looked at, no source).
	viewQuality = 85
)

// derive decodes a picture, makes it at most viewEdge long, turns it upright and encodes it as JPEG. The encoder writes
// pixels only: no position, no maker's notes. Errors: Refusal if the picture cannot be decoded.
func derive(data []byte) ([]byte, error) {
	src, _, err := image.Decode(bytes.NewReader(data))
	if err != nil {
		return nil, Refusal{"the picture cannot be read to its end: send it again"}
	}
	var out bytes.Buffer
	if err := jpeg.Encode(&out, turn(shrink(src, viewEdge), orientation(data)), &jpeg.Options{Quality: viewQuality}); err != nil {
		return nil, fmt.Errorf("encode derivative: %w", err)
	}
	return out.Bytes(), nil
}

// shrink scales to an edge, on white where a picture is transparent. It never enlarges.
func shrink(src image.Image, edge int) *image.RGBA {
	size := src.Bounds().Size()
	w, h := size.X, size.Y
	if long := max(w, h); long > edge {
		w, h = max(1, w*edge/long), max(1, h*edge/long)
	}
	dst := image.NewRGBA(image.Rect(0, 0, w, h))
	draw.Draw(dst, dst.Bounds(), image.NewUniform(color.White), image.Point{}, draw.Src)
	draw.BiLinear.Scale(dst, dst.Bounds(), src, src.Bounds(), draw.Over, nil)
	return dst
}

// turn brings a picture upright. o is the Exif orientation 1 to 8; anything else leaves it as it is.
func turn(src *image.RGBA, o int) image.Image {
	if o < 2 || o > 8 {
		return src
	}
	w, h := src.Bounds().Dx(), src.Bounds().Dy()
	dst := image.NewRGBA(image.Rect(0, 0, w, h))
	if o >= 5 {
		dst = image.NewRGBA(image.Rect(0, 0, h, w))
	}
	for y := range h {
		for x := range w {
			tx, ty := turned(x, y, w, h, o)
			dst.SetRGBA(tx, ty, src.RGBAAt(x, y))
		}
	}
	return dst
}

// turned is where the pixel at x, y of a w by h picture goes (Exif 2.3, tag 0x0112).
func turned(x, y, w, h, o int) (int, int) {
	switch o {
	case 2:
		return w - 1 - x, y
	case 3:
		return w - 1 - x, h - 1 - y
	case 4:
		return x, h - 1 - y
	case 5:
		return y, x
	case 6:
		return h - 1 - y, x
	case 7:
		return h - 1 - y, w - 1 - x
	}
	return y, w - 1 - x // 8
}

// orientation finds the Exif orientation of a JPEG, PNG or WebP; 1 if it has none or it cannot be read.
func orientation(data []byte) int {
	tiff := exifBlock(data)
	if len(tiff) < 8 {
		return 1
	}
	var order binary.ByteOrder = binary.BigEndian
	if tiff[0] == 'I' {
		order = binary.LittleEndian
	}
	dir := int64(order.Uint32(tiff[4:8]))
	if dir+2 > int64(len(tiff)) {
		return 1
	}
	n := int64(order.Uint16(tiff[dir:]))
	for i := range n {
		at := dir + 2 + 12*i
		if at+12 > int64(len(tiff)) {
			return 1
		}
		if order.Uint16(tiff[at:]) == 0x0112 {
			return int(order.Uint16(tiff[at+8:]))
		}
	}
	return 1
}

// exifBlock returns the TIFF structure inside a picture; nil if there is none.
func exifBlock(data []byte) []byte {
	switch typ, _ := sniff(data); typ { // a refused type has no Exif
	case typeJPEG:
		return exifOfJPEG(data)
	case typePNG:
		return chunk(data[8:], "eXIf", binary.BigEndian, true)
	case typeWebP:
		return bytes.TrimPrefix(chunk(data[12:], "EXIF", binary.LittleEndian, false), []byte("Exif\x00\x00"))
	}
	return nil
}

func exifOfJPEG(data []byte) []byte {
	rest := data[2:]
	for len(rest) >= 4 && rest[0] == 0xff && rest[1] != 0xda {
		size := 2 + int(binary.BigEndian.Uint16(rest[2:4]))
		if size > len(rest) || size < 4 {
			return nil
		}
		if body, ok := bytes.CutPrefix(rest[4:size], []byte("Exif\x00\x00")); ok && rest[1] == 0xe1 {
			return body
		}
		rest = rest[size:]
	}
	return nil
}

// chunk finds a chunk by name in a PNG (length, name, body, check sum) or a RIFF (name, length, body, even).
func chunk(rest []byte, name string, order binary.ByteOrder, png bool) []byte {
	for len(rest) >= 8 {
		at, size := string(rest[:4]), int64(order.Uint32(rest[4:8]))
		next := 8 + size + size%2
		if png {
			at, size = string(rest[4:8]), int64(order.Uint32(rest[:4]))
			next = 8 + size + 4
		}
		if 8+size > int64(len(rest)) {
			return nil
		}
		if at == name {
			return rest[8 : 8+size]
		}
		if next > int64(len(rest)) {
			return nil
		}
		rest = rest[next:]
	}
	return nil
}
