package photos

import (
	"bytes"
	"encoding/binary"
	"errors"
	"image"
	_ "image/jpeg" // registers the decoder
	_ "image/png"  // registers the decoder
	"io"
	"strings"

	_ "golang.org/x/image/webp" // registers the decoder
)

const (
	typeJPEG = "image/jpeg"
	typePNG  = "image/png"
	typeWebP = "image/webp"
)

// IsPicture says whether a media type is one of the pictures.
func IsPicture(typ string) bool { return strings.HasPrefix(typ, "image/") }

// sniff reads the type from the content; what the sender says counts for nothing. Errors: Refusal.
func sniff(data []byte) (string, error) {
	starts := func(magic string) bool { return bytes.HasPrefix(data, []byte(magic)) }
	at := func(offset int, magic string) bool {
		return len(data) >= offset+len(magic) && string(data[offset:offset+len(magic)]) == magic
	}
	switch {
	case len(data) == 0:
		return "", Refusal{"the file is empty: take the picture, or the voice note, again"}
	case starts("\xff\xd8\xff"):
		return typeJPEG, nil
	case starts("\x89PNG\r\n\x1a\n"):
		return typePNG, nil
	case starts("RIFF") && at(8, "WEBP"):
		return typeWebP, nil
	case starts("\x1a\x45\xdf\xa3") && bytes.Contains(data[:min(len(data), 64)], []byte("webm")):
		return typeWebM, nil
	case at(4, "ftyp"):
		return typeMP4, nil
	case starts("OggS"):
		return typeOgg, nil
	case starts("RIFF") && at(8, "WAVE"):
		return typeWAV, nil
	}
	return "", Refusal{"this is neither a photo (JPEG, PNG, WebP) nor a voice note (WebM, MP4, Ogg, WAV)"}
}

// checkPicture looks at the header and the frame of a picture without decoding any pixel. Errors: Refusal.
func checkPicture(data []byte, typ string) error {
	cfg, format, err := image.DecodeConfig(bytes.NewReader(data))
	if errors.Is(err, io.ErrUnexpectedEOF) {
		return Refusal{cutOff}
	}
	if err != nil || "image/"+format != typ {
		return Refusal{"the picture cannot be read: take it again"}
	}
	if cfg.Width <= 0 || cfg.Height <= 0 || int64(cfg.Width)*int64(cfg.Height) > MaxPixels {
		return Refusal{"the picture has more than 50 megapixels: take it with a smaller setting"}
	}
	switch typ {
	case typeJPEG:
		return checkJPEG(data)
	case typePNG:
		return checkEnd(data, "IEND")
	}
	return checkRIFF(data)
}

const (
	cutOff = "the picture is cut off: send it again"
	markup = "the picture carries a web page inside: it is not kept"
)

// checkJPEG walks the segments up to the end marker (ITU-T T.81, annex B). A cut file has no end; a file that holds markup
// in a segment or behind the end is an attack on whoever opens it.
func checkJPEG(data []byte) error {
	rest := data[2:]
	for len(rest) >= 4 {
		if rest[0] != 0xff {
			return Refusal{"the picture cannot be read: take it again"}
		}
		marker := rest[1]
		if marker == 0xff {
			rest = rest[1:] // fill byte
			continue
		}
		size := 2 + int(binary.BigEndian.Uint16(rest[2:4]))
		if size > len(rest) || size < 4 {
			return Refusal{cutOff}
		}
		if hasMarkup(rest[4:size]) {
			return Refusal{markup}
		}
		rest = rest[size:]
		if marker == 0xda {
			rest = afterScan(rest)
		}
		if bytes.HasPrefix(rest, []byte{0xff, 0xd9}) {
			if hasMarkup(rest[2:]) {
				return Refusal{markup}
			}
			return nil
		}
	}
	return Refusal{cutOff}
}

// afterScan skips coded data: until a marker that is neither a stuffed 0xff00 nor a restart.
func afterScan(rest []byte) []byte {
	for i := 0; i+1 < len(rest); i++ {
		if next := rest[i+1]; rest[i] == 0xff && next != 0 && next != 0xff && (next < 0xd0 || next > 0xd7) {
			return rest[i:]
		}
	}
	return nil
}

func hasMarkup(b []byte) bool {
	low := bytes.ToLower(b)
	for _, tag := range []string{"<html", "<script", "<!doctype", "<svg"} {
		if bytes.Contains(low, []byte(tag)) {
			return true
		}
	}
	return false
}

func checkEnd(data []byte, end string) error {
	i := bytes.LastIndex(data, []byte(end))
	if i < 0 {
		return Refusal{cutOff}
	}
	if hasMarkup(data[i:]) {
		return Refusal{markup}
	}
	return nil
}

// checkRIFF compares the length in a WebP's header with what came.
func checkRIFF(data []byte) error {
	if len(data) < 12 || int64(binary.LittleEndian.Uint32(data[4:8]))+8 > int64(len(data)) {
		return Refusal{cutOff}
	}
	return nil
}
