package view

import (
	"strings"

	"witnessmark/sync/quantity"
)

// unitNamed finds a unit by what a list calls it: its code or its sign.
func unitNamed(s string) (string, bool) {
	s = strings.TrimSpace(s)
	for _, u := range quantity.Units() {
		if s != "" && (strings.EqualFold(s, u.Code) || strings.EqualFold(s, u.Symbol)) {
			return u.Code, true
		}
	}
	return "", false
}
