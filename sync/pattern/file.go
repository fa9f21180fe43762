package pattern

import (
	"errors"
	"strings"

	"witnessmark/sync/jcs"
)

// Format names the file that holds a type sheet; schema/type-sheet.md describes it.
const Format = "type-sheet/1"

// MaxFile is the most that a file of a type sheet may hold: what one entry may.
const MaxFile = 64 << 10

// File writes a sheet as a file: JSON with a line for each thing, always the
// same bytes for the same sheet. key is the type's short name in the job.
func (p *Pattern) File(key string) string {
	var b strings.Builder
	indent(&b, p.JSON().With("format", jcs.Str(Format)).With("key", jcs.Opt(key)), "")
	b.WriteString("\n")
	return b.String()
}

// ReadFile reads what File wrote, or a bare type sheet. key is "" where the file names none.
func ReadFile(text string) (p *Pattern, key string, err error) {
	if len(text) > MaxFile {
		return nil, "", errors.New("this file is larger than a type sheet may be")
	}
	v, err := jcs.Parse([]byte(strings.TrimPrefix(text, "\ufeff")))
	if err != nil {
		return nil, "", errors.New("this file is no type sheet: " + err.Error())
	}
	switch f := v.Get("format").Text(); {
	case f != "" && !strings.HasPrefix(f, "type-sheet/"):
		return nil, "", errors.New("this file is something else: " + f)
	case f != "" && f != Format:
		return nil, "", errors.New("this file was written by a newer version of the tool: take the new version first")
	}
	p, err = Parse(v)
	return p, v.Get("key").Text(), err
}

// indent writes a value: what has nothing nested in it on one line.
func indent(b *strings.Builder, v jcs.Value, margin string) {
	open, shut := "[", "]"
	var keys []string
	items := v.Items()
	if v.Kind() == jcs.KindObject {
		open, shut = "{", "}"
		for _, m := range v.Members() {
			keys, items = append(keys, jcs.Str(m.Key).String()+": "), append(items, m.Val)
		}
	}
	if len(items) == 0 {
		b.WriteString(v.String())
		return
	}
	sep, in := ", ", ""
	for _, it := range items {
		if len(it.Items()) > 0 || len(it.Members()) > 0 {
			in = margin + " "
			sep = ",\n" + in
		}
	}
	b.WriteString(open)
	if in != "" {
		b.WriteString("\n" + in)
	}
	for i, it := range items {
		if i > 0 {
			b.WriteString(sep)
		}
		if keys != nil {
			b.WriteString(keys[i])
		}
		indent(b, it, in)
	}
	if in != "" {
		b.WriteString("\n" + margin)
	}
	b.WriteString(shut)
}
