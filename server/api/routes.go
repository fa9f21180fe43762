package api

import (
	"net/http"

	"witnessmark/server/handin"
)

// handler answers one request. An error it returns becomes the reply, unless the reply has begun.
type handler func(w http.ResponseWriter, r *http.Request, c who) error

// route is one line of the table.
type route struct {
	method, path string
	rule         rule
	limit        limit // per address before anything is looked up; the zero limit is none
	maxBody      int64 // bytes of the body as sent; 0 = no body is read
	json         bool  // the body must be application/json
	do           handler
}

const (
	smallBody = 4 << 10
	calcBody  = 1 << 20
)

// routes is every route of the server. A test walks it: each has a rule, each stands in schema/openapi.yaml.
func (s *server) routes() []route {
	return []route{
		{method: "POST", path: "/api/v1/pair", rule: open, limit: pairLimit, maxBody: smallBody, json: true, do: s.pair},
		{method: "POST", path: "/api/v1/token", rule: cookie, limit: tokenLimit, maxBody: smallBody, json: true, do: s.token},

		{method: "GET", path: "/api/v1/jobs", rule: reads, do: s.listJobs},
		{method: "POST", path: "/api/v1/jobs/{job}/exchange", rule: reads, maxBody: maxRequest, do: s.exchange},
		{method: "POST", path: "/api/v1/jobs/{job}/handin", rule: leads, maxBody: handin.MaxFile, do: s.handInFile},
		{method: "GET", path: "/api/v1/jobs/{job}/live", rule: firstMessage, limit: liveLimit, do: s.liveDevice},
		{method: "GET", path: "/api/v1/jobs/{job}/results", rule: reads, do: s.results},
		{method: "GET", path: "/api/v1/jobs/{job}/book", rule: leads, do: s.recordBook},
		{method: "GET", path: "/api/v1/jobs/{job}/numbers", rule: leads, do: s.listNumbers},
		{method: "GET", path: "/api/v1/jobs/{job}/numbers/{name}", rule: leads, do: s.numbersFile},

		{method: "GET", path: "/api/v1/jobs/{job}/calendar", rule: reads, do: s.calendar},

		{method: "GET", path: "/api/v1/jobs/{job}/links", rule: leads, do: s.listLinks},
		{method: "POST", path: "/api/v1/jobs/{job}/links", rule: leads, maxBody: smallBody, json: true, do: s.makeLink},
		{method: "DELETE", path: "/api/v1/jobs/{job}/links/{id}", rule: leads, do: s.revokeLink},

		{method: "POST", path: "/api/v1/codes", rule: leads, maxBody: smallBody, json: true, do: s.drawCode},
		{method: "GET", path: "/api/v1/device", rule: reads, do: s.thisDevice},
		{method: "GET", path: "/api/v1/devices", rule: leads, do: s.listDevices},
		{method: "PATCH", path: "/api/v1/devices/{device}", rule: leads, maxBody: smallBody, json: true, do: s.changeDevice},
		{method: "DELETE", path: "/api/v1/devices/{device}", rule: reads, do: s.revokeDevice},
		{method: "POST", path: "/api/v1/devices/{device}/key", rule: leads, maxBody: smallBody, json: true, do: s.renewDevice},
		{method: "GET", path: "/api/v1/audit", rule: leads, do: s.auditLines},

		{method: "HEAD", path: "/api/v1/blobs/{sha}", rule: writes, do: s.blobOffset},
		{method: "PATCH", path: "/api/v1/blobs/{sha}", rule: writes, maxBody: maxChunkBody, do: s.blobChunk},
		{method: "GET", path: "/api/v1/blobs/{sha}", rule: reads, do: s.blob},

		{method: "GET", path: "/api/v1/calc", rule: reads, do: s.listCalc},
		{method: "POST", path: "/api/v1/calc/{name}", rule: reads, maxBody: calcBody, json: true, do: s.runCalc},

		{method: "GET", path: "/v/{id}", rule: open, do: s.viewPage},
		{method: "POST", path: "/v/{id}/open", rule: open, limit: openLimit, maxBody: smallBody, json: true, do: s.viewOpen},
		{method: "GET", path: "/v/{id}/data", rule: views, limit: viewLimit, do: s.viewData},
		{method: "GET", path: "/v/{id}/live", rule: views, limit: liveLimit, do: s.viewLive},
		{method: "GET", path: "/v/{id}/photo/{sha}", rule: views, limit: viewLimit, do: s.viewPhoto},
		{method: "GET", path: "/book/{name}", rule: open, do: s.bookAsset},

		{method: "GET", path: "/healthz", rule: open, do: s.health},
		{method: "GET", path: "/metrics", rule: open, do: s.showMetrics},
		{method: "GET", path: "/", rule: open, do: s.phoneApp},
	}
}

// Route describes a line of the table for tests and documents. Limited says that who asks too often is told to wait.
type Route struct {
	Method, Path, Rule string
	Limited            bool
}

// Routes lists every route.
func Routes() []Route {
	names := map[rule]string{
		open: "open", cookie: "cookie", firstMessage: "first message", reads: "reads", writes: "writes", leads: "leads", views: "views",
	}
	var none *server // the table's handlers are named, not called
	var out []Route
	for _, r := range none.routes() {
		byToken := r.rule == reads || r.rule == writes || r.rule == leads // each has its phone's limit
		out = append(out, Route{Method: r.method, Path: r.path, Rule: names[r.rule], Limited: byToken || r.limit != limit{}})
	}
	return out
}
