package photos

import (
	"encoding/binary"
	"errors"
	"os"
	"strings"
	"testing"
)

// recorded is what Chromium's recorder made of its test beeps, live and without a length in the header.
func recorded(t testing.TB, name string) []byte {
	t.Helper()
	data, err := os.ReadFile("testdata/" + name)
	if err != nil {
		t.Fatal(err)
	}
	return data
}

func examined(data []byte) (string, error) {
	_, typ, err := (&Photos{}).examine(data)
	return typ, err
}

func box(name string, body string) string {
	var size [4]byte
	binary.BigEndian.PutUint32(size[:], uint32(8+len(body)))
	return string(size[:]) + name + body
}

func oggPage(body string) string {
	lacing := strings.Repeat("\xff", len(body)/255) + string([]byte{byte(len(body) % 255)})
	return "OggS" + strings.Repeat("\x00", 22) + string([]byte{byte(len(lacing))}) + lacing + body
}

func wave(chunks string) string {
	var size [4]byte
	binary.LittleEndian.PutUint32(size[:], uint32(4+len(chunks)))
	return "RIFF" + string(size[:]) + "WAVE" + chunks
}

const wavSound = "fmt \x10\x00\x00\x00\x01\x00\x01\x00\x80\x3e\x00\x00\x00\x7d\x00\x00\x02\x00\x10\x00data\x04\x00\x00\x00\x00\x00\x01\x00"

func ogg() string {
	return oggPage("OpusHead\x01\x01") + oggPage("OpusTags\x00\x00\x00\x00") + oggPage(strings.Repeat("\xfc", 300))
}

// TestVoiceFormats is T36: what phones record, whichever of the formats they know.
func TestVoiceFormats(t *testing.T) {
	for name, c := range map[string]struct {
		data []byte
		want string
	}{
		"webm as recorded": {recorded(t, "beeps.webm"), typeWebM},
		"mp4 as recorded":  {recorded(t, "beeps.m4a"), typeMP4},
		"mp4 written at the end, sound up to the end": {[]byte(box("ftyp", "M4A ") + box("moov", "x") + "\x00\x00\x00\x00mdat\x01\x02"), typeMP4},
		"ogg":  {[]byte(ogg()), typeOgg},
		"wave": {[]byte(wave(wavSound)), typeWAV},
	} {
		if got, err := examined(c.data); err != nil || got != c.want {
			t.Errorf("%s: %q, %v, want %q", name, got, err, c.want)
		}
	}
}

// TestVoiceOfDyingPhone is T3: a recording that ends anywhere after its first sound can be heard so far, and is kept.
func TestVoiceOfDyingPhone(t *testing.T) {
	for name, data := range map[string][]byte{"webm": recorded(t, "beeps.webm"), "mp4": recorded(t, "beeps.m4a"), "ogg": []byte(ogg())} {
		heard := 0
		for n := 1; n < len(data); n++ {
			_, err := examined(data[:n])
			if err == nil {
				heard++
			} else if heard > 0 {
				t.Fatalf("%s: %d bytes can be heard, %d: %v", name, n-1, n, err)
			}
		}
		if heard < len(data)/3 {
			t.Errorf("%s: only %d of %d lengths can be heard", name, heard, len(data))
		}
	}
}

// TestHostileSound is T35: refused, each with its reason, and nothing decoded.
func TestHostileSound(t *testing.T) {
	webm, mp4 := string(recorded(t, "beeps.webm")), string(recorded(t, "beeps.m4a"))
	const page = "<!DOCTYPE html><script>alert(1)</script>"
	void := "\xec" + string([]byte{0x80 | byte(len(page))}) + page
	for name, c := range map[string]struct{ data, why string }{
		"empty":                            {"", "empty"},
		"text":                             {"hello", "neither a photo"},
		"html":                             {page, "neither a photo"},
		"mp3":                              {"ID3\x04\x00\x00\x00\x00\x00\x00", "neither a photo"},
		"matroska that is no webm":         {strings.Replace(webm, "webm", "matr", 1), "neither a photo"},
		"avi":                              {"RIFF\x04\x00\x00\x00AVI ", "neither a photo"},
		"webm cut in its header":           {webm[:60], "cut off"},
		"mp4 cut in its header":            {mp4[:300], "cut off"},
		"mp4 whose end is missing":         {box("ftyp", "M4A ") + box("mdat", "sound"), "cut off"},
		"ogg of its headers only":          {oggPage("OpusHead") + oggPage("OpusTags"), "cut off"},
		"wave shorter than it says":        {wave(wavSound)[:44], "cut off"},
		"html behind webm":                 {webm + page, "web page"},
		"html behind mp4":                  {mp4 + page, "web page"},
		"html behind ogg":                  {ogg() + page, "web page"},
		"html behind wave":                 {wave(wavSound) + page, "web page"},
		"html in a webm's padding":         {webm[:36] + void + webm[36:], "web page"},
		"html in an mp4's free box":        {mp4 + box("free", page), "web page"},
		"html in an ogg's remarks":         {oggPage("OpusHead") + oggPage("OpusTags"+page) + oggPage("x"), "web page"},
		"html in a wave's remarks":         {wave(wavSound + "LIST\x28\x00\x00\x00" + page), "web page"},
		"html behind a webm's magic":       {"\x1a\x45\xdf\xa3webm" + page, "web page"},
		"html behind an mp4's magic":       {box("ftyp", "M4A ") + page, "web page"},
		"junk behind webm":                 {webm + "\x3c" + strings.Repeat("x", 20), "cannot be read"},
		"an mp4 box of another kind":       {mp4 + box("evil", "x"), "cannot be read"},
		"a box that ends before it begins": {box("ftyp", "M4A ") + "\x00\x00\x00\x02moov", "cannot be read"},
		"too large":                        {wave(wavSound + "LIST\x00\x00\x00\x01" + strings.Repeat("\x00", 1<<24)), "larger than 12 MiB"},
	} {
		t.Run(name, func(t *testing.T) {
			typ, err := examined([]byte(c.data))
			var refusal Refusal
			if !errors.As(err, &refusal) || !strings.Contains(refusal.Why, c.why) {
				t.Errorf("= %q, %v, want a refusal with %q", typ, err, c.why)
			}
		})
	}
	if _, err := examined([]byte(webm[:36] + "\xec\x84abcd" + webm[36:])); err != nil {
		t.Errorf("padding that is no web page: %v", err)
	}
}
