package photos

import (
	"bytes"
	"encoding/binary"
	"slices"
	"strings"
)

const (
	// MaxSound is the largest voice note: five minutes as phones record them take 1 to 5 MB, uncompressed 10.
	MaxSound = 12 << 20
	typeWebM = "audio/webm"
	typeMP4  = "audio/mp4"
	typeOgg  = "audio/ogg"
	typeWAV  = "audio/wav"
)

const (
	soundCut    = "the voice note is cut off before its first sound: send it again"
	soundBroken = "the voice note cannot be read: record it again"
	soundMarkup = "the voice note carries a web page inside: it is not kept"
	soundLarge  = "the voice note is larger than 12 MiB: record a shorter one"
)

// IsSound says whether a media type is one of the voice notes'.
func IsSound(typ string) bool {
	return slices.Contains([]string{typeWebM, typeMP4, typeOgg, typeWAV}, typ)
}

// checkSound walks the container of a voice note and decodes nothing: only elements of its format, sound in it, and no
// markup outside the sound. A recording that a dying phone left ends in the middle of an element; its beginning can be
// heard, so it is kept (T3). One that ends before its first sound is not. Errors: Refusal.
func checkSound(data []byte, typ string) error {
	if len(data) > MaxSound {
		return Refusal{soundLarge}
	}
	var w walk
	switch typ {
	case typeWebM:
		w.webm(data)
	case typeMP4:
		w.mp4(data)
	case typeOgg:
		w.ogg(data)
	default:
		w.wav(data)
	}
	switch {
	case w.markup:
		return Refusal{soundMarkup}
	case w.broken:
		return Refusal{soundBroken}
	case !w.sound || !w.head:
		return Refusal{soundCut}
	}
	return nil
}

// walk is what was found in a container.
type walk struct {
	head   bool // how the sound is coded
	sound  bool
	markup bool
	broken bool
}

func (w *walk) words(b []byte) { w.markup = w.markup || hasMarkup(b) }

// stray takes up bytes that belong to no element.
func (w *walk) stray(b []byte) {
	w.words(b)
	w.broken = true
}

// Elements of WebM by name (RFC 9559, section 5.1): those that are told apart, and the rest that a recording may have.
const (
	ebmlSegment = 0x18538067
	ebmlTracks  = 0x1654ae6b
	ebmlCluster = 0x1f43b675
	ebmlSimple  = 0xa3
	ebmlGroup   = 0xa0
)

var ebmlPlain = []uint32{
	0x1a45dfa3, // EBML
	0x114d9b74, // SeekHead
	0x1549a966, // Info
	ebmlTracks,
	0x1c53bb6b, // Cues
	0x1254c367, // Tags
	0xec,       // Void
	0xbf,       // CRC-32
	0xe7,       // Timestamp
	0xa7,       // Position
	0xab,       // PrevSize
}

// webm walks the elements as one row: a live recording's segment and clusters have no length, so what is in them follows.
func (w *walk) webm(data []byte) {
	for len(data) > 0 {
		id, size, head, ok := ebmlElement(data)
		switch {
		case !ok && len(data) < 12:
			return // the phone died here
		case ok && (id == ebmlSegment || id == ebmlCluster):
			data = data[head:]
			continue
		case !ok || size < 0:
			w.stray(data)
			return
		}
		whole := int64(head)+size <= int64(len(data))
		body := data[head:min(int64(len(data)), int64(head)+size)]
		switch {
		case id == ebmlSimple || id == ebmlGroup:
			w.sound = true
		case slices.Contains(ebmlPlain, id):
			w.words(body)
			w.head = w.head || id == ebmlTracks && whole
		default:
			w.stray(data)
			return
		}
		if !whole {
			return
		}
		data = data[head+len(body):]
	}
}

// ebmlElement reads an element's name and length (RFC 8794, sections 4 and 5). size is -1 when it is not known.
func ebmlElement(b []byte) (id uint32, size int64, head int, ok bool) {
	n := leading(b)
	if n > 4 || len(b) <= n {
		return 0, 0, 0, false
	}
	for _, x := range b[:n] {
		id = id<<8 | uint32(x)
	}
	m := leading(b[n:])
	if m > 8 || len(b) < n+m {
		return 0, 0, 0, false
	}
	size = int64(b[n]) & (1<<(8-m) - 1)
	unknown := size == 1<<(8-m)-1
	for _, x := range b[n+1 : n+m] {
		size = size<<8 | int64(x)
		unknown = unknown && x == 0xff
	}
	if unknown {
		size = -1
	}
	return id, size, n + m, true
}

// leading is the length of a variable-length number by its first byte; 9 when it is none.
func leading(b []byte) int {
	if len(b) == 0 || b[0] == 0 {
		return 9
	}
	n := 1
	for mask := byte(0x80); b[0]&mask == 0; mask >>= 1 {
		n++
	}
	return n
}

var mp4Known = strings.Fields("ftyp styp moov moof mdat free skip wide sidx mfra udta meta uuid emsg prft")

// mp4 walks the boxes (ISO/IEC 14496-12, section 4.2). moov says how the sound is coded: without it nothing plays.
func (w *walk) mp4(data []byte) {
	for len(data) > 0 {
		if len(data) < 8 {
			return
		}
		size, head, name := int64(binary.BigEndian.Uint32(data)), int64(8), string(data[4:8])
		if size == 1 && len(data) >= 16 {
			size, head = int64(binary.BigEndian.Uint64(data[8:])&(1<<62-1)), 16
		}
		if size == 0 {
			size = int64(len(data)) // up to the end
		}
		if size < head || !slices.Contains(mp4Known, name) {
			w.stray(data)
			return
		}
		whole := size <= int64(len(data))
		size = min(size, int64(len(data)))
		if name == "mdat" {
			w.sound = w.sound || size > head
		} else {
			w.words(data[head:size])
			w.head = w.head || name == "moov" && whole
		}
		data = data[size:]
	}
}

// ogg walks the pages (RFC 3533, section 6). The first two hold how the sound is coded and the remarks.
func (w *walk) ogg(data []byte) {
	for pages := 0; len(data) >= 27; pages++ {
		lacing := 27 + int(data[26])
		if !bytes.HasPrefix(data, []byte("OggS")) {
			w.stray(data)
			return
		}
		if lacing > len(data) {
			return
		}
		size := lacing
		for _, n := range data[27:lacing] {
			size += int(n)
		}
		whole := size <= len(data)
		body := data[lacing:min(size, len(data))]
		if pages < 2 {
			w.words(body)
			w.head = pages == 1 && whole
		} else {
			w.sound = w.sound || len(body) > 0
		}
		if !whole {
			return
		}
		data = data[size:]
	}
	w.words(data)
}

// wav compares the length in the header with what came, and walks the chunks.
func (w *walk) wav(data []byte) {
	end := int64(binary.LittleEndian.Uint32(data[4:8])) + 8
	if end > int64(len(data)) {
		return
	}
	if end < int64(len(data)) || end < 12 {
		w.stray(data[12:])
		return
	}
	rest := data[12:]
	for len(rest) >= 8 {
		size := int64(binary.LittleEndian.Uint32(rest[4:8]))
		if size > int64(len(rest))-8 {
			w.stray(rest)
			return
		}
		if string(rest[:4]) == "data" {
			w.sound = w.sound || size > 0
		} else {
			w.words(rest[8 : 8+size])
			w.head = w.head || string(rest[:4]) == "fmt "
		}
		rest = rest[min(int64(len(rest)), 8+size+size%2):]
	}
	w.words(rest)
}
