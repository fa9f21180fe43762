package main

import (
	"bytes"
	"encoding/json"
	"strings"
	"testing"
)

func TestCalcVerb(t *testing.T) {
	ratio := `{"items":{"bowl":[{"v":{"t":"72.6","u":"cm3"}}],"recess":[{"v":{"t":"4.0","u":"cm3"}}],"protrusion":[{"v":{"t":"0.345","u":"mm"}}],
"compressed":[{"v":{"t":"1.86","u":"mm"}}],"gasket_bore":[{"v":{"t":"112.0","u":"mm"}}]},"nominal":{"bore":{"t":"107.00","u":"mm"},"stroke":{"t":"143.00","u":"mm"}}}`
	for _, c := range []struct {
		name, in string
		args     []string
		code     int
		says     string
	}{
		{"list", "", []string{"-list"}, 0, "gasket_bore  opening of the gasket's fire ring, an engine (item or typed, length, optional)"},
		{"list of units", "", []string{"-list"}, 0, "    length       mm, um, cm, m, in, thou, tenth, ft\n"},
		{"list of plain numbers", "", []string{"-list"}, 0, "    1            1, %, mm/m, thou/in\n"},
		{"the micrometre as people write it", `{"items":{"value":[{"v":{"t":"61","u":"µm"}}]}}`, []string{"direct"}, 0, `"unit":"µm"`},
		{"schema of units", "", []string{"-schema", "oilpressure"}, 0, `"u":{"enum":["Pa","kPa","bar",`},
		{"list by group", "", []string{"-list"}, 0, "RUNNING\n\ncranking (version 1): Cranking compression: spread and pattern\n    formula: spread"},
		{"a name it does not have", `{"items":{"diamter":[{"v":{"t":"61.9","u":"mm"}}]}}`, []string{"journal"}, 1, "journal takes no reading named 'diamter'; nearest is diameter; it takes items: diameter, length; limits: size, ovality"},
		{"an empty list of that name", `{"items":{"diamter":[]}}`, []string{"journal"}, 1, "nearest is diameter"},
		{"a member it does not have", `{"readings":{}}`, []string{"journal"}, 1, "'readings' is none of them"},
		{"a member of a reading that it does not have", `{"items":{"diameter":[{"v":{"t":"61.9","u":"mm"},"pont":"a.V"}]}}`, []string{"journal"}, 1, "items.diameter[0]: it has ref, point, label, by"},
		{"a unit that it does not know", `{"items":{"diameter":[{"v":{"t":"2.43","u":"inch"}}]}}`, []string{"journal"}, 1, "'inch' is not a unit that this tool knows; for a length write one of mm, um, cm, m, in, thou, tenth, ft"},
		{"a limit of a family", `{"items":{"pressure":[{"point":"500","v":{"t":"1.4","u":"bar"}}]},"limits":{"min.500":{"min":{"t":"1.0","u":"bar"}}}}`, []string{"oilpressure"}, 0, `"verdict":"within"`},
		{"schema", "", []string{"-schema", "ratio"}, 0, `"$schema":"https://json-schema.org/draft/2020-12/schema"`},
		{"in words", ratio, []string{"-words", "ratio"}, 0, "15.00"},
		{"in words, said after the name", ratio, []string{"ratio", "-words"}, 0, "Working\n"},
		{"a flag that it does not have, after the name", ratio, []string{"ratio", "-wrods"}, 2, "-wrods"},
		{"two names", ratio, []string{"ratio", "-words", "journal"}, 2, `"journal" is too much`},
		{"a list and a name", "", []string{"-list", "ratio"}, 2, `"ratio" is too much`},
		{"a schema and a name", "", []string{"journal", "-schema", "ratio"}, 2, `"journal" is too much`},
		{"as JSON", ratio, []string{"ratio"}, 0, `"calc":"ratio"`},
		{"not JSON", "{", []string{"ratio"}, 1, "calc -schema ratio says what goes in"},
		{"no object", "[]", []string{"ratio"}, 1, "an object with items"},
		{"no such calculation", "{}", []string{"horoscope"}, 2, "calc -list names them"},
		{"no name", "", nil, 2, "say which calculation"},
	} {
		t.Run(c.name, func(t *testing.T) {
			var out, errOut bytes.Buffer
			code := runCalc(c.args, strings.NewReader(c.in), &out, &errOut)
			if got := out.String() + errOut.String(); code != c.code || !strings.Contains(got, c.says) {
				t.Errorf("code %d, want %d; %q in:\n%s", code, c.code, c.says, got)
			}
			if c.name == "schema" && !json.Valid(out.Bytes()) {
				t.Error("the schema is not JSON")
			}
		})
	}
}
