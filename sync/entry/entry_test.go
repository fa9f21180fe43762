package entry

import (
	"bytes"
	"crypto/sha256"
	"encoding/hex"
	"errors"
	"strings"
	"testing"

	"pgregory.net/rapid"

	"witnessmark/sync/jcs"
)

var (
	aJob = JobID(strings.Repeat("a", 32))
	aLog = LogID(strings.Repeat("b", 32))
	anID = ID(strings.Repeat("c", 64))
)

func body(t testing.TB, text string) jcs.Value {
	t.Helper()
	v, err := jcs.Parse([]byte(text))
	if err != nil {
		t.Fatal(err)
	}
	return v
}

const aReading = `{"of":{"asm":"2123","at":"main.3.journal","point":"b.V"},"cond":"found","value":{"t":"74.981","u":"mm"},"read_by":"idris"}`

func draft(t testing.TB, kind, text string) Entry {
	return Entry{Job: aJob, Log: aLog, Seq: 2, Prev: anID, At: "2027-03-06T13:20:00+00:00", By: "idris", Kind: kind, Body: body(t, text)}
}

func TestCompose(t *testing.T) {
	e, err := Compose(draft(t, "reading", aReading))
	if err != nil {
		t.Fatal(err)
	}
	want := `{"at":"2027-03-06T13:20:00+00:00","body":{"cond":"found","of":{"asm":"2123","at":"main.3.journal","point":"b.V"},"read_by":"idris","value":{"t":"74.981","u":"mm"}},"by":"idris","job":"` +
		string(aJob) + `","kind":"reading","log":"` + string(aLog) + `","prev":"` + string(anID) + `","seq":2,"v":1}`
	if string(e.Raw) != want {
		t.Errorf("got  %s\nwant %s", e.Raw, want)
	}
	sum := sha256.Sum256(e.Raw)
	if string(e.ID) != hex.EncodeToString(sum[:]) {
		t.Error("the id is not the hash of the bytes")
	}
}

// anEnd is the end of a hold test, with a time under that name and more.
func anEnd(time, more string) string {
	if time != "" {
		more += `,"` + time + `":{"t":"903","u":"s"}`
	}
	return `{"of":{"asm":"2123"},"start":"` + string(anID) + `","pressure":{"t":"0.618","u":"bar"}` + more + `}`
}

// aConvention is one with a shop whose pins are counted as they were first written, and one count more.
func aConvention(count string) string {
	return `{"name":"NC-1","end1":"timing end","end2":"flywheel end","facing":"standing in the car","left":"A","right":"B","machinists":[{"name":"Mr Lunt","pins":"from 7"}],"counts":[` + count + `]}`
}

// TestRefused: what capture refuses, with the words that the user sees.
func TestRefused(t *testing.T) {
	for _, c := range []struct{ name, kind, body, says string }{
		{"no value", "reading", `{"of":{"asm":"2123","at":"x"},"cond":"found","read_by":"idris"}`, "'value' is missing"},
		{"value without unit", "reading", strings.Replace(aReading, `,"u":"mm"`, "", 1), "with its unit"},
		{"number instead of text", "reading", strings.Replace(aReading, `"74.981"`, "74981", 1), "a value as written"},
		{"a number that is not whole", "reading", strings.Replace(aReading, `"74.981"`, "74.981", 1), "kept as text"},
		{"no engine", "reading", strings.Replace(aReading, `"asm":"2123",`, "", 1), "an engine by its serial"},
		{"a side without the move that it rests on", "reading", strings.Replace(aReading, `"at"`, `"side":"left","at"`, 1), "an engine by its serial"},
		{"no place", "reading", strings.Replace(aReading, `"at":"main.3.journal",`, "", 1), "needs the place"},
		{"an unknown condition", "reading", strings.Replace(aReading, `"found"`, `"later"`, 1), "as found"},
		{"both fasteners and whole", "tighten", `{"of":{"asm":"2117","at":"head"},"pass":1,"fasteners":["1"],"whole":true,"torque":{"t":"50","u":"N.m"},"thread":"oiled","tool":"W2"}`, "not both"},
		{"a hold test of nothing", "hold-test", `{"of":{"asm":"2123"},"pressure":{"t":"0.7","u":"bar"}}`, "'test' is missing"},
		{"a hold test of no engine", "hold-test", `{"test":"oil","pressure":{"t":"0.7","u":"bar"}}`, "'of' is missing"},
		{"an end without its time", "hold-test", anEnd("", ""), "'elapsed' is missing"},
		{"an end that says what is held", "hold-test", anEnd("elapsed", `,"test":"oil"`), "'test' belongs to the other end"},
		{"a start that has lasted", "hold-test", `{"of":{"asm":"2123"},"test":"oil","pressure":{"t":"0.7","u":"bar"},"elapsed":{"t":"9","u":"s"}}`, "'elapsed' belongs to the other end"},
		{"an end of something that is no entry", "hold-test", strings.Replace(anEnd("elapsed", ""), string(anID), "x", 1), "'start' must be"},
		{"a limit without a number", "limit", `{"limit":"main.clearance","judged":"read","words":"as the book"}`, "needs a number"},
		{"a withdrawal of nothing", "withdraw", `{"why":"slipped"}`, "nothing to withdraw"},
		{"a withdrawal without a reason", "withdraw", `{}`, "'why' is missing"},
		{"a log opened late", "log", `{"device":"own","name":"P2"}`, "first entry only"},
		{"a part fitted nowhere", "part", `{"part":"GK-7","state":"fitted"}`, "say both"},
		{"a voice note of no length", "voice", `{"sha":"` + string(anID) + `","size":9,"type":"audio/webm","seconds":0}`, "'seconds' must be"},
		{"a voice note that is a picture", "voice", `{"sha":"` + string(anID) + `","size":9,"type":"image/png","seconds":3}`, "a sound type"},
		{"a mark beside the photo", "mark", `{"photo":"` + string(anID) + `","shape":"ring","x":0,"y":0,"to_x":1001,"to_y":0}`, "from 0 to 1000"},
		{"a mark of another shape", "mark", `{"photo":"` + string(anID) + `","shape":"cross","x":0,"y":0,"to_x":9,"to_y":0}`, "arrow, ring"},
		{"a mark of one point", "mark", `{"photo":"` + string(anID) + `","shape":"arrow","x":7,"y":7,"to_x":7,"to_y":7}`, "further away"},
		{"a shop's number twice", "numbering", aConvention(`{"name":"Mr Lunt","of":"main","numbers":{"1":"A","2":"A"}}`), "Mr Lunt's number A stands twice: for our main 1 and 2"},
		{"a group counted twice", "numbering", aConvention(`{"name":"Mr Lunt","of":"pin","numbers":"from 7"}`), "counts pin in two ways"},
		{"a count of no numbers", "numbering", aConvention(`{"name":"Mr Lunt","of":"main","numbers":{}}`), "'counts' must be"},
		{"a count from nowhere", "numbering", aConvention(`{"name":"Mr Lunt","of":"main","numbers":"from the flange"}`), "'counts' must be"},
		{"a kind not known", "thermogram", `{}`, "does not know the kind"},
		{"too long a text", "note", `{"text":"` + strings.Repeat("x", MaxText+1) + `"}`, "too long"},
	} {
		t.Run(c.name, func(t *testing.T) {
			_, err := Compose(draft(t, c.kind, c.body))
			if err == nil || !strings.Contains(err.Error(), c.says) {
				t.Errorf("got %v, want '… %s …'", err, c.says)
			}
		})
	}
}

// TestRead: what is stored as not usable, and what is no entry at all.
func TestRead(t *testing.T) {
	good, err := Compose(draft(t, "reading", aReading))
	if err != nil {
		t.Fatal(err)
	}
	change := func(from, to string) []byte { return []byte(strings.Replace(string(good.Raw), from, to, 1)) }
	for _, c := range []struct {
		name string
		raw  []byte
		err  error
		bad  string
	}{
		{"as composed", good.Raw, nil, ""},
		{"an unknown kind is kept", change(`"reading"`, `"thermogram"`), nil, ""},
		{"an unknown field is kept", change(`"cond"`, `"colour":"blue","cond"`), nil, ""},
		{"a later version is kept", change(`"v":1`, `"v":2`), nil, ""},
		{"not canonical", change(`"body":{`, `"body": {`), nil, "agreed form"},
		{"makes no sense", change(`"found"`, `"lost"`), nil, "'cond' must be"},
		{"a line feed", change(`"body":{`, "\"body\":\n{"), ErrMalformed, ""},
		{"not JSON", []byte("hello"), ErrMalformed, ""},
		{"no log", change(`"log"`, `"bog"`), ErrMalformed, ""},
		{"a first entry with one before it", change(`"seq":2`, `"seq":1`), ErrMalformed, ""},
		{"no number", change(`"seq":2`, `"seq":0`), ErrMalformed, ""},
		{"a number below none", change(`"seq":2`, `"seq":-2`), ErrMalformed, ""},
		{"one before it that is no id", change(`"prev":"`, `"prev":"0`), ErrMalformed, ""},
		{"a log whose name is not one", change(`"log":"`, `"log":"0`), ErrMalformed, ""},
		{"a later number without one before it", change(`"prev"`, `"prew"`), ErrMalformed, ""},
		{"at the ceiling", change(`"74.981"`, `"`+strings.Repeat("7", MaxEntry-len(good.Raw)+6)+`"`), nil, ""},
		{"over the ceiling", change(`"74.981"`, `"`+strings.Repeat("7", MaxEntry-len(good.Raw)+7)+`"`), ErrTooLarge, ""},
	} {
		t.Run(c.name, func(t *testing.T) {
			e, err := Read(c.raw)
			if !errors.Is(err, c.err) {
				t.Fatalf("error %v, want %v", err, c.err)
			}
			if (c.bad == "") != (e.Bad == "") || !strings.Contains(e.Bad, c.bad) {
				t.Errorf("bad is %q, want '… %s …'", e.Bad, c.bad)
			}
			if err == nil && !bytes.Equal(e.Raw, c.raw) {
				t.Error("the bytes were changed")
			}
		})
	}
}

// TestSum holds our SHA-256 against the standard library's, at every length
// around the block borders, and against the one-block and two-block examples
// published with FIPS 180-2 (appendix B.1, B.2).
func TestSum(t *testing.T) {
	for _, c := range []struct{ msg, sum string }{
		{"abc", "ba7816bf8f01cfea414140de5dae2223b00361a396177a9cb410ff61f20015ad"},
		{"abcdbcdecdefdefgefghfghighijhijkijkljklmklmnlmnomnopnopq", "248d6a61d20638b8e5c026930c3e6039a33ce45964ff2167f6ecedd419db06c1"},
	} {
		if got := Hex(sum256([]byte(c.msg))); got != c.sum {
			t.Errorf("%s: %s", c.msg, got)
		}
	}
	for n := range 300 {
		b := bytes.Repeat([]byte{byte(n)}, n)
		if sum256(b) != sha256.Sum256(b) {
			t.Fatalf("length %d differs", n)
		}
	}
	rapid.Check(t, func(t *rapid.T) {
		b := rapid.SliceOf(rapid.Byte()).Draw(t, "bytes")
		if sum256(b) != sha256.Sum256(b) || ID(Hex(sum256(b))).Bytes() != sum256(b) {
			t.Fatal("differs")
		}
	})
}

func TestRegister(t *testing.T) {
	for _, c := range []struct{ name, kind, body, want string }{
		{"many", "reading", aReading, ""},
		{"a limit of one engine", "limit", `{"limit":"main.clearance","asm":"2117","max":{"t":"1","u":"mm"}}`, "limit/2117/main.clearance"},
		{"a limit of the type", "limit", `{"limit":"main.clearance","pattern":"ellandry-u6"}`, "limit/*ellandry-u6/main.clearance"},
		{"a decision names its engines in order", "decision", `{"decide":"gasket","asm":["2123","2117"]}`, "decision/gasket/2117+2123"},
		{"what a part is", "part", `{"part":"GK-7","state":"known"}`, "part/GK-7"},
		{"what happens to it", "part", `{"part":"GK-7","state":"received"}`, ""},
		{"hold tests start side by side", "hold-test", `{"test":"oil"}`, ""},
		{"a hold test ends once", "hold-test", anEnd("elapsed", ""), "hold-test/" + string(anID)},
	} {
		if got := RegisterOf(c.kind, body(t, c.body)); got != c.want {
			t.Errorf("%s: got %q, want %q", c.name, got, c.want)
		}
	}
}

func FuzzRead(f *testing.F) {
	e, err := Compose(draft(f, "reading", aReading))
	if err != nil {
		f.Fatal(err)
	}
	f.Add(e.Raw)
	held, err := Compose(draft(f, "hold-test", anEnd("elapsed", "")))
	if err != nil {
		f.Fatal(err)
	}
	f.Add(held.Raw)
	f.Add([]byte(`{"v":1}`))
	f.Fuzz(func(t *testing.T, raw []byte) {
		e, err := Read(raw)
		if err != nil {
			return
		}
		if e.ID != Sum(raw) || e.Seq < 1 || len(e.Job) != 32 || len(e.Log) != 32 {
			t.Fatalf("read nonsense: %+v", e)
		}
		Register(e)
	})
}
