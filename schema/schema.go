// Package schema holds what other programs may rely on: the store's migrations and the description of the HTTP
// interface. It imports only embed, so that everything may import it.
package schema

import "embed"

// Migrations holds migrations/sqlite/NNNN_name.sql and migrations/postgres/NNNN_name.sql. Numbers start at 0001 and have
// no gaps; both folders hold the same numbers. A released file is never changed, only followed.
//
//go:embed migrations
var Migrations embed.FS

// OpenAPI is the text of openapi.yaml. Every example sits on one line of JSON, which the tests send to a real server.
//
//go:embed openapi.yaml
var OpenAPI string
