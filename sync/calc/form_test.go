package calc

import (
	"regexp"
	"slices"
	"strings"
	"testing"

	"witnessmark/sync/jcs"
	"witnessmark/sync/quantity"
)

func parsed(t testing.TB, raw string) jcs.Value {
	t.Helper()
	v, err := jcs.Parse([]byte(raw))
	if err != nil {
		t.Fatalf("%v: %s", err, raw)
	}
	return v
}

// refusal is the error of an input that a calculation does not take, nil for one
// that it does.
func refusal(s Spec, v jcs.Value) error {
	in, err := FromJSON(v)
	if err == nil {
		err = s.CheckNames(in)
	}
	if err == nil {
		err = s.CheckUnits(in)
	}
	return err
}

const oneReading = `{"v":{"t":"74.98","u":"mm"}`

// TestNothingIsDropped: a member that nothing would read, and one of another
// type, is an error that says where it stands and what may stand there.
func TestNothingIsDropped(t *testing.T) {
	for _, c := range []struct{ in, want string }{
		{`{"limits":{"size":{"judged":"Margin"}}}`, "limits.size.judged: 'Margin' is none of those that it may be: write one of read, margin"},
		{`{"limits":{"size":{"accepted":"true"}}}`, "limits.size.accepted: it is true or false, without quotation marks"},
		{`{"limits":{"size":{"most":{"t":"75","u":"mm"}}}}`, "limits.size: it has min, max, judged, accepted, words, page, ref, name and says; 'most' is none of them"},
		{`{"limits":{"size":{"max":"75 mm"}}}`, "limits.size.max: it is an object with t, to, u and is"},
		{`{"limits":{"size":[]}}`, "limits.size: it is an object with min, max"},
		{`{"items":{"diameter":[` + oneReading + `,"zeros":{}}]}}`, "items.diameter[0]: it has ref, point, label, by, v, tool, zero, temp and blind; 'zeros' is none of them"},
		{`{"items":{"diameter":[` + oneReading + `,"pont":"a.V"}]}}`, "items.diameter[0]: it has ref, point, label, by, v, tool, zero, temp and blind; 'pont' is none"},
		{`{"items":{"diameter":[` + oneReading + `},` + oneReading + `,"zero":{"bar":{"t":"75","u":"mm"},"reads":{"t":"75.01","u":"mm"}}}]}}`, "items.diameter[1].zero: it has ref, bar, read and in; 'reads' is none of them"},
		{`{"items":{"diameter":[` + oneReading + `,"zero":{"bar":{"t":"75","u":"mm"}}}]}}`, "items.diameter[0].zero: it needs read"},
		{`{"items":{"diameter":[` + oneReading + `,"zero":{"bar":{"t":"75","u":"mm"},"read":{"t":"75.","u":"mm"}}}]}}`, "items.diameter[0].zero.read: '75.' is not a number"},
		{`{"items":{"diameter":[` + oneReading + `,"temp":14}]}}`, "items.diameter[0].temp: it is an object with t, to, u and is"},
		{`{"items":{"diameter":[` + oneReading + `,"temp":{"t":"cold","u":"degC"}}]}}`, "items.diameter[0].temp: 'cold' is not a number"},
		{`{"items":{"diameter":[` + oneReading + `,"tool":"M1"}]}}`, "items.diameter[0].tool: it is an object with key, what, u and res"},
		{`{"items":{"diameter":[` + oneReading + `,"tool":{"key":"M1","U":{"t":"3","u":"um"}}}]}}`, "items.diameter[0].tool: it has key, what, u and res; 'U' is none of them"},
		{`{"items":{"diameter":[` + oneReading + `,"blind":1}]}}`, "items.diameter[0].blind: it is true or false"},
		{`{"items":{"diameter":[` + oneReading + `,"label":4}]}}`, "items.diameter[0].label: write it as text, in quotation marks"},
		{`{"items":{"diameter":[{"v":{"t":74.98,"u":"mm"}}]}}`, "items.diameter[0].v.t: write it as text, in quotation marks"},
		{`{"items":{"diameter":[{"v":"74.98 mm"}]}}`, "items.diameter[0].v: it is an object with t, to, u and is"},
		{`{"items":{"diameter":[{"v":{"t":"74.98"}}]}}`, "items.diameter[0].v: it needs u"},
		{`{"items":{"diameter":[{"v":{"t":"74.98","u":"mm","is":"about"}}]}}`, "items.diameter[0].v.is: 'about' is none of those that it may be: write one of at least, at most, nil"},
		{`{"items":{"diameter":[{"point":"a.V"}]}}`, "items.diameter[0]: it needs v"},
		{`{"items":{"diameter":[null]}}`, "items.diameter[0]: it is an object with ref"},
		{`{"nominal":{"size":{"t":"74.98","unit":"mm"}}}`, "nominal.size: it has t, to, u and is; 'unit' is none of them"},
		{`{"nominal":{"size":"74.98"}}`, "nominal.size: it is an object with t, to, u and is"},
		{`{"opts":{"points":["a.V"]}}`, "opts.points: write it as text, in quotation marks"},
	} {
		if _, err := FromJSON(parsed(t, c.in)); err == nil || !strings.HasPrefix(err.Error(), c.want) {
			t.Errorf("%s\n got %v\nwant %s", c.in, err, c.want)
		}
	}
}

// TestNullIsLeftOut: a program may write null for what it does not have.
func TestNullIsLeftOut(t *testing.T) {
	in, err := FromJSON(parsed(t, `{"items":{"diameter":[`+oneReading+`,"zero":null,"temp":null,"tool":{"key":"M1","u":null},"by":null}],"bore":null},
		"limits":{"size":{"min":{"t":"75","u":"mm","to":null},"max":null,"judged":null,"accepted":null},"taper":null},"nominal":null,"opts":{"points":null}}`))
	it, l := in.Items["diameter"][0], in.Limits["size"]
	if err != nil || it.Zero != nil || it.Temp != nil || it.Tool.U != 0 || l.Max != nil || !l.Accepted || l.Margin || len(in.Limits)+len(in.Items) != 2 || len(in.Opts) != 0 {
		t.Errorf("%+v, %v", in, err)
	}
}

// TestLimitOfAResultGoesInAgain: as it stands, with its name and its words.
func TestLimitOfAResultGoesInAgain(t *testing.T) {
	limit := `{"accepted":true,"judged":"margin","min":{"t":"61.9","u":"mm"},"name":"pin.size","page":"3","ref":"e1","says":"at least 61.9 mm","words":"61.9"}`
	in, err := FromJSON(parsed(t, `{"limits":{"size":`+limit+`}}`))
	if err != nil || in.Limits["size"].Page != "3" || !in.Limits["size"].Margin {
		t.Errorf("%+v, %v", in, err)
	}
}

// TestUnitsOfItsKind: a unit that is none of the input's kind is refused with
// those that are.
func TestUnitsOfItsKind(t *testing.T) {
	length := "for a length write one of mm, um, cm, m, in, thou, tenth, ft"
	for _, c := range []struct{ calc, in, want string }{
		{"journal", `{"items":{"diameter":[{"v":{"t":"2.95","u":"inch"}}]}}`, "items.diameter[0].v.u: 'inch' is not a unit that this tool knows; " + length},
		{"journal", `{"items":{"diameter":[{"v":{"t":"25","u":"bar"}}]}}`, "items.diameter[0].v.u: 'bar' is the unit of a pressure; " + length},
		{"journal", `{"items":{"diameter":[` + oneReading + `,"tool":{"key":"M1","u":{"t":"3","u":"Pa"}}}]}}`, "items.diameter[0].tool.u.u: 'Pa' is the unit of a pressure; " + length},
		{"journal", `{"items":{"diameter":[` + oneReading + `,"temp":{"t":"14","u":"C"}}]}}`, "items.diameter[0].temp.u: 'C' is not a unit that this tool knows; for a temperature write one of degC, degF"},
		{"journal", `{"limits":{"size":{"min":{"t":"2.4","u":"\""}}}}`, "limits.size.min.u: '\"' is not a unit that this tool knows; " + length},
		{"clearance", `{"limits":{"clearance":{"max":{"t":"2","u":"bar"}}}}`, "limits.clearance.max.u: 'bar' is the unit of a pressure; " + length},
		{"oilpressure", `{"limits":{"min.500":{"min":{"t":"2","u":"mm"}}}}`, "limits.min.500.min.u: 'mm' is the unit of a length; for a pressure write one of Pa, kPa, bar"},
		{"ratio", `{"nominal":{"bore":{"t":"107","u":"MM"}}}`, "nominal.bore.u: 'MM' is not a unit that this tool knows; " + length},
		{"rim", `{"nominal":{"degrees":{"t":"24","u":"°"}}}`, "nominal.degrees.u: '°' is not a unit that this tool knows; for an angle write one of deg, mrad"},
		{"direct", `{"items":{"value":[{"v":{"t":"1","u":"furlong"}}]}}`, "items.value[0].v.u: 'furlong' is not a unit that this tool knows; write one of mm, um, cm"},
	} {
		spec, _ := Find(c.calc)
		if err := refusal(spec, parsed(t, c.in)); err == nil || !strings.HasPrefix(err.Error(), c.want) {
			t.Errorf("%s %s\n got %v\nwant %s", c.calc, c.in, err, c.want)
		}
	}
}

// TestMicrometre: both of its characters are read as the code, where programs
// write by hand; what an entry may say stays as it is.
func TestMicrometre(t *testing.T) {
	for _, u := range []string{"um", "\u00b5m", "\u03bcm"} {
		value := `{"t":"61","u":"` + u + `"}`
		v := parsed(t, `{"items":{"value":[{"v":`+value+`,"tool":{"key":"M1","res":`+value+`},"zero":{"bar":`+value+`,"read":`+value+`}}]},"limits":{"value":{"max":`+value+`}},"nominal":{"size":`+value+`}}`)
		in, err := FromJSON(v)
		if err != nil {
			t.Fatal(err)
		}
		it := in.Items["value"][0]
		for _, w := range []quantity.Written{it.V, it.Zero.Bar, it.Zero.Read, *in.Limits["value"].Max, in.Nominal["size"]} {
			if w != (quantity.Written{Text: "61", Unit: "um"}) {
				t.Errorf("%q is read as %+v", u, w)
			}
		}
		if _, known := quantity.Lookup(u); known != (u == "um") || WrittenFrom(parsed(t, value)).Unit != u {
			t.Errorf("an entry may now say %q", u)
		}
	}
}

// TestSchemaNamesTheUnits: of a known kind those, of any kind all.
func TestSchemaNamesTheUnits(t *testing.T) {
	units := func(calc, def string) string {
		spec, _ := Find(calc)
		return spec.Schema().Get("$defs").Get(def).Get("properties").Get("u").Get("enum").String()
	}
	if got := units("journal", "length"); got != `["mm","um","cm","m","in","thou","tenth","ft","µm","μm"]` {
		t.Error(got)
	}
	if got := units("direct", "any"); !strings.HasPrefix(got, `["mm","um"`) || !strings.Contains(got, `"bar"`) || !strings.HasSuffix(got, `"thou/in","µm","μm"]`) {
		t.Error(got)
	}
}

// TestLimitsAreOfTheirKind puts every limit of every calculation, in the first
// unit of the kind that its schema has, to the vectors: none is of another kind
// than the value that it judges.
func TestLimitsAreOfTheirKind(t *testing.T) {
	for _, v := range allVectors(t) {
		in := v.in
		in.Limits = map[string]Limit{}
		for _, n := range specOf(v.calc).takes("limit") {
			if name := strings.TrimSuffix(n.Name, ".*"); n.dim() != "" { // of any kind: as its value
				in.Limits[name] = Limit{Name: name, Min: &quantity.Written{Text: "0.001", Unit: Codes(n.dim())[0]}, Accepted: true}
			}
		}
		for _, m := range specOf(v.calc).Run(in).Missing {
			if strings.Contains(m, "the value is not") {
				t.Errorf("%s: %s", v.name, m)
			}
		}
	}
}

// TestSchemaHoldsTheVectors: every vector is as its schema says, and no longer
// when any of its members has another name or another type; FromJSON agrees.
func TestSchemaHoldsTheVectors(t *testing.T) {
	spoilt := 0
	for _, v := range allVectors(t) {
		if strings.HasPrefix(v.name, "random") {
			continue
		}
		spec := specOf(v.calc)
		in, schema := inputsJSON(v.in), spec.Schema()
		if why := unfit(schema, schema, in); why != "" {
			t.Fatalf("%s: %s", v.name, why)
		}
		for _, bad := range spoil(in) {
			spoilt++
			why, err := unfit(schema, schema, bad), refusal(spec, bad)
			if why == "" || err == nil {
				t.Fatalf("%s: schema %q, calc %v: %s", v.name, why, err, bad)
			}
		}
	}
	if spoilt < 1000 {
		t.Errorf("only %d inputs were spoilt", spoilt)
	}
}

// FuzzFromJSON: what a calculation takes is what its schema takes; nothing is
// read that the schema does not have.
func FuzzFromJSON(f *testing.F) {
	for _, v := range allVectors(f) {
		f.Add(v.calc, []byte(inputsJSON(v.in).String()))
	}
	f.Add("journal", []byte(`{"items":{"diameter":[{"v":{"t":"74.98","u":"mm"},"pont":"a.V"}]},"limits":{"size":{"accepted":null}}}`))
	f.Fuzz(func(t *testing.T, name string, raw []byte) {
		v, err := jcs.Parse(raw)
		spec, ok := Find(name)
		if err != nil || !ok || refusal(spec, v) != nil {
			return
		}
		if why := unfit(spec.Schema(), spec.Schema(), v); why != "" {
			t.Errorf("%s takes what its schema does not, %s: %s", name, why, raw)
		}
	})
}

// spoil returns the value with one member renamed, or of another type, for
// each of its members.
func spoil(v jcs.Value) []jcs.Value {
	var out []jcs.Value
	for _, m := range v.Members() {
		out = append(out, v.Without(m.Key).With("x"+m.Key, m.Val), v.With(m.Key, jcs.Int(5)))
		for _, bad := range spoil(m.Val) {
			out = append(out, v.With(m.Key, bad))
		}
	}
	for i, it := range v.Items() {
		for _, bad := range append(spoil(it), jcs.Str("5")) {
			items := slices.Clone(v.Items())
			items[i] = bad
			out = append(out, jcs.Arr(items...))
		}
	}
	return out
}

// unfit holds a value against a JSON Schema as far as ours go, and says
// what does not fit. A member that is null is as left out.
func unfit(root, schema, v jcs.Value) string {
	if ref := schema.Get("$ref").Text(); ref != "" {
		return unfit(root, root.Get("$defs").Get(strings.TrimPrefix(ref, "#/$defs/")), v)
	}
	if enum := schema.Get("enum"); !enum.IsNull() {
		if v.Kind() != jcs.KindText || !slices.Contains(enum.Texts(), v.Text()) {
			return v.String() + " is none of " + enum.String()
		}
		return ""
	}
	want := map[string]jcs.Kind{"object": jcs.KindObject, "array": jcs.KindArray, "string": jcs.KindText, "boolean": jcs.KindBool}[schema.Get("type").Text()]
	if want == jcs.KindNull || v.Kind() != want {
		return v.String() + " is no " + schema.Get("type").Text()
	}
	for _, it := range v.Items() {
		if why := unfit(root, schema.Get("items"), it); why != "" {
			return why
		}
	}
	for _, name := range schema.Get("required").Texts() {
		if v.Get(name).IsNull() {
			return name + " is not there"
		}
	}
	for _, m := range v.Members() {
		if m.Val.IsNull() {
			continue
		}
		of := memberSchema(schema, m.Key)
		if of.IsNull() {
			return m.Key + " is not in the schema"
		}
		if why := unfit(root, of, m.Val); why != "" {
			return why
		}
	}
	return ""
}

func memberSchema(schema jcs.Value, key string) jcs.Value {
	for _, p := range schema.Get("patternProperties").Members() {
		if regexp.MustCompile(p.Key).MatchString(key) {
			return p.Val
		}
	}
	return schema.Get("properties").Get(key)
}
