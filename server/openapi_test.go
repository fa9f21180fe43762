package main

import (
	"bytes"
	"maps"
	"regexp"
	"slices"
	"strings"
	"testing"
	"time"

	"witnessmark/schema"
	"witnessmark/server/api"
	"witnessmark/server/store"
)

// operation is one of openapi.yaml, read line by line as examples are: its parameters, those of its path among them, and
// what it says of each status.
type operation struct {
	method, path, parameters string
	body                     bool
	media                    string
	responses                map[string]string
}

func operations(t *testing.T) []operation {
	t.Helper()
	var all []operation
	path, shared, part, status := "", "", "", ""
	for _, line := range strings.Split(schema.OpenAPI[strings.Index(schema.OpenAPI, "\npaths:"):], "\n") {
		text := strings.TrimLeft(line, " ")
		depth := len(line) - len(text)
		name, _, _ := strings.Cut(text, ":")
		switch {
		case depth == 2:
			path, shared = strings.TrimSuffix(text, ":"), ""
			continue
		case depth == 4 && name == "parameters":
			shared = text
			continue
		case depth == 4:
			all = append(all, operation{method: strings.ToUpper(name), path: path, parameters: shared, responses: map[string]string{}})
			continue
		case depth < 6 || len(all) == 0:
			continue
		case depth == 6:
			part = name
		case depth == 8 && part == "responses":
			status = strings.Trim(name, `"`)
		}
		all[len(all)-1].put(part, status, text)
	}
	return all
}

func (op *operation) put(part, status, text string) {
	switch {
	case part == "parameters":
		op.parameters += text + "\n"
	case part == "requestBody":
		op.body = true
		if strings.HasPrefix(text, "application/") {
			op.media = strings.TrimSuffix(text, ":")
		}
	case part == "responses" && text != "responses:":
		op.responses[status] += text + "\n"
	}
}

var refers = regexp.MustCompile(`\$ref: '#/components/(\w+)/(\w+)'`)

// followed is a text of the document with what it refers to behind it, one step far.
func followed(t *testing.T, text string) string {
	t.Helper()
	out := text
	for _, m := range refers.FindAllStringSubmatch(text, -1) {
		out += component(t, m[1], m[2])
	}
	return out
}

// component is what stands under a name below components.
func component(t *testing.T, kind, name string) string {
	t.Helper()
	_, of, _ := strings.Cut(schema.OpenAPI, "\n  "+kind+":\n")
	_, rest, ok := strings.Cut("\n"+of, "\n    "+name+":")
	if !ok {
		t.Errorf("openapi.yaml refers to %s/%s, which is not there", kind, name)
		return ""
	}
	lines := strings.Split(rest, "\n")
	for i, line := range lines[1:] {
		if !strings.HasPrefix(line, "     ") {
			return strings.Join(lines[:i+1], "\n")
		}
	}
	return rest
}

// TestOpenAPIWhole: what a path has in braces is declared, every reply says what it is, every error is an Error.
func TestOpenAPIWhole(t *testing.T) {
	described := regexp.MustCompile(`(^|[{ \n])description: *\S`)
	for _, op := range operations(t) {
		declared := followed(t, op.parameters)
		for _, m := range regexp.MustCompile(`\{(\w+)\}`).FindAllStringSubmatch(op.path, -1) {
			if !strings.Contains(declared, "{name: "+m[1]+", in: path, required: true,") {
				t.Errorf("%s %s: the parameter %s is not declared", op.method, op.path, m[1])
			}
		}
		if left := strings.Count(declared, "in: path") - strings.Count(op.path, "{"); left > 0 {
			t.Errorf("%s %s declares %d parameters too many", op.method, op.path, left)
		}
		if len(op.responses) == 0 || op.responses["default"] == "" {
			t.Errorf("%s %s does not say what else may come", op.method, op.path)
		}
		for status, says := range op.responses {
			says = followed(t, says)
			if !described.MatchString(says) {
				t.Errorf("%s %s: %s has no description", op.method, op.path, status)
			}
			if strings.ContainsAny(status[:1], "45d") && !strings.Contains(says, "#/components/schemas/Error'") {
				t.Errorf("%s %s: %s is no Error", op.method, op.path, status)
			}
		}
	}
	followed(t, schema.OpenAPI)
}

// TestOpenAPIRefusals: who is refused is told so in the description, and nothing is described that the server never answers.
func TestOpenAPIRefusals(t *testing.T) {
	limited := map[string]bool{}
	for _, r := range api.Routes() {
		limited[r.Method+" "+r.Path] = r.Limited
	}
	o := newOffice(t)
	lead, viewer := o.pairPhone(store.RoleLead), o.pairPhone(store.RoleViewer)
	lead.exchange(lead.write("one"))
	for _, op := range operations(t) {
		t.Run(op.method+" "+op.path, func(t *testing.T) {
			got := refusals(op, lead, viewer)
			got["429"] = limited[op.method+" "+op.path]
			if strings.HasSuffix(op.path, "/handin") {
				got["413"] = true // of 64 MiB: TestHandInRefused
			}
			for _, status := range []string{"401", "403", "413", "415", "429"} {
				if _, says := op.responses[status]; says != got[status] {
					t.Errorf("%s: described %v, answered %v", status, says, got[status])
				}
			}
		})
	}
}

// refusals are the statuses that the server gives callers who may not, and to bodies that are too long or of another kind.
func refusals(op operation, lead, viewer *phone) map[string]bool {
	lead.o.later(10 * time.Second) // or the limits per address would answer
	guest := lead.o.openLink(lead, false)
	got := map[string]bool{}
	try := func(who *phone, body []byte, headers ...string) {
		headers = append([]string{"Content-Type", op.media, "Upload-Offset", "0"}, headers...)
		r := who.raw(op.method, fillPath(op.path, guest.linkID), body, headers...)
		got[map[int]string{401: "401", 403: "403", 413: "413", 415: "415"}[r.status]] = true
	}
	body := []byte(`{"code":"BCDFGHJK","name":"x","role":"fitter","secret":"x"}`)
	for _, who := range []*phone{lead.o.stranger(), viewer, guest.phone} {
		try(who, body)
	}
	try(viewer, body, "Origin", "https://example.net")
	if op.body {
		try(lead, slices.Concat([]byte(`{"name":"`), bytes.Repeat([]byte("x"), 2<<20))) // first: of a photo a shorter one is its beginning
		try(lead, body, "Content-Type", "text/plain")
	}
	maps.DeleteFunc(got, func(status string, _ bool) bool { return status == "" })
	return got
}
