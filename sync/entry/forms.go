package entry

import (
	"strings"

	"witnessmark/sync/jcs"
)

// form is what a member of a body may be.
type form struct {
	is   func(jcs.Value) bool
	want string
}

var (
	text      = form{func(v jcs.Value) bool { return strings.TrimSpace(v.Text()) != "" }, "words"}
	key       = form{isKey, "a short name without '/'"}
	value     = form{isValue, "a value as written, with its unit"}
	of        = form{isOf, "an engine by its serial, its side if it is fitted, and a place"}
	place     = form{isPlace, "a place"}
	condition = form{isCondition, "as found, a trial, after a machining, or as built"}
	ref       = form{func(v jcs.Value) bool { return isHex(v.Text(), 64) }, "the id of an entry or a file"}
	day       = form{func(v jcs.Value) bool { return IsDay(v.Text()) }, "a day, as in 2031-04-12"}
	flag      = form{jcs.Value.IsTrue, "true, or left out"}
	count     = form{func(v jcs.Value) bool { return v.Int64() > 0 }, "a whole number above nought"}
	anyObject = form{func(v jcs.Value) bool { return v.Kind() == jcs.KindObject }, "a set of named values"}
	zeroRef   = form{func(v jcs.Value) bool { return v.Text() == "none" || isHex(v.Text(), 64) }, "the id of a zero check, or 'none'"}
	imageType = form{func(v jcs.Value) bool { return strings.HasPrefix(v.Text(), "image/") }, "an image type, as in image/jpeg"}
	audioType = form{func(v jcs.Value) bool { return strings.HasPrefix(v.Text(), "audio/") }, "a sound type, as in audio/webm"}
	perMille  = form{isPerMille, "a whole number from 0 to 1000"}
	move      = form{isMove, "an engine and the side or the place where it now is"}
)

func oneOf(words ...string) form {
	return form{func(v jcs.Value) bool {
		for _, w := range words {
			if v.Text() == w {
				return true
			}
		}
		return false
	}, "one of: " + strings.Join(words, ", ")}
}

func listOf(f form) form {
	return form{func(v jcs.Value) bool {
		if v.Kind() != jcs.KindArray {
			return false
		}
		for _, it := range v.Items() {
			if !f.is(it) {
				return false
			}
		}
		return true
	}, "a list, each " + f.want}
}

// object is an object that holds a text under each of the names.
func object(names ...string) form {
	return form{func(v jcs.Value) bool {
		for _, n := range names {
			if v.Get(n).Text() == "" {
				return false
			}
		}
		return true
	}, "named texts: " + strings.Join(names, ", ")}
}

func isKey(v jcs.Value) bool {
	s := v.Text()
	return s != "" && len(s) <= MaxKey && strings.TrimSpace(s) == s && !strings.ContainsAny(s, "/\n\t")
}

// isValue: text and unit, with a second text for 'between', or 'is' for at
// least, at most, nil. What the text says is read by package quantity.
func isValue(v jcs.Value) bool {
	if v.Get("u").Text() == "" {
		return false
	}
	switch v.Get("is").Text() {
	case "nil":
		return v.Get("t").IsNull() && v.Get("to").IsNull()
	case "":
		return v.Get("t").Text() != "" && (v.Get("to").IsNull() || v.Get("to").Text() != "")
	case "at least", "at most":
		return v.Get("t").Text() != "" && v.Get("to").IsNull()
	}
	return false
}

// isOf: the thing measured, with the side as it was shown to the person and
// the move on which that rests.
func isOf(v jcs.Value) bool {
	if v.Kind() != jcs.KindObject || !isKey(v.Get("asm")) {
		return false
	}
	side, fitting := v.Get("side"), v.Get("fitting")
	if !side.IsNull() && (!isSide(side) || !isHex(fitting.Text(), 64)) {
		return false
	}
	return (fitting.IsNull() || isHex(fitting.Text(), 64)) && optional(v.Get("at"), isPlace) &&
		optional(v.Get("point"), isPlace) && optional(v.Get("part"), isKey)
}

func optional(v jcs.Value, is func(jcs.Value) bool) bool { return v.IsNull() || is(v) }

func isSide(v jcs.Value) bool { return v.Text() == "left" || v.Text() == "right" }

func isPlace(v jcs.Value) bool {
	return v.Text() != "" && len(v.Text()) <= MaxKey && !strings.ContainsAny(v.Text(), " /\n\t")
}

// isPerMille: a place across or down a picture.
func isPerMille(v jcs.Value) bool {
	return v.Kind() == jcs.KindInt && v.Int64() >= 0 && v.Int64() <= 1000
}

func isMove(v jcs.Value) bool {
	return isKey(v.Get("asm")) && (isSide(v.Get("side")) != (v.Get("place").Text() != ""))
}

func isCondition(v jcs.Value) bool {
	s := v.Text()
	if s == "found" || s == "built" {
		return true
	}
	label, trial := strings.CutPrefix(s, "trial:")
	n, machined := strings.CutPrefix(s, "machined:")
	return trial && label != "" || machined && n != ""
}
