package draw

import "strings"

// Ink is the style sheet of drawings and glyphs in black on white, for paper and for a drawing that leaves the app.
const Ink = `svg text { fill: #000; font-family: 'Atkinson Hyperlegible Mono', 'Book Mono', ui-monospace, monospace; font-size: 14px; }
svg .map-name { font-size: 18px; font-weight: 700; }
svg .series-name, svg .axis-name { font-weight: 700; }
svg .tick-text, svg .mark-name, svg .pl-under { font-size: 12px; }
svg .nut-name { font-size: 18px; font-weight: 700; paint-order: stroke; stroke: #fff; stroke-width: 4px; }
svg .tag .pl-name { font-size: 11px; }
svg .block, svg .band-edge, svg .nut, svg .bore-line { fill: none; stroke: #000; stroke-width: 1; }
svg .axis { stroke: #000; stroke-dasharray: 12 3 2 3; }
svg .band-solid { fill: #000; }
svg .band-hatch { stroke: #000; stroke-width: 2; }
svg .hit { fill: #fff; stroke: #555; stroke-width: 1; }
svg .mark, svg .mark-bar { fill: none; stroke: #000; stroke-width: 2; }
svg .mark-bar { stroke-width: 4; }
svg .mark-empty { stroke: #555; stroke-dasharray: 2 2; }
svg .mark-dot, svg .g-dot { fill: #000; }
svg .contested .hit, svg .outside .hit { stroke: #000; stroke-width: 3; }
svg .stroke { stroke: #000; stroke-width: 2; }
svg .fastener.open .nut { stroke-dasharray: 3 3; }
svg .axis-line, svg .tick, svg .limit-line, svg .window-edge { stroke: #000; stroke-width: 1; }
svg .limit-line { stroke-width: 2; }
svg .forbidden { stroke: #777; stroke-width: 1; }
svg .window { fill: none; }
svg .window-edge { stroke-dasharray: 6 3; }
svg .best { stroke: #000; stroke-width: 2; }
svg .series { fill: none; stroke: #000; stroke-width: 2; }
svg .dashed { stroke-dasharray: 8 4; }
svg .trial-mark { fill: #000; }
svg .g-line { fill: none; stroke: #555; stroke-width: 1; }
svg .g-stop, svg .g-bar { fill: none; stroke: #000; stroke-width: 2; }
svg .g-bar { stroke-width: 4; }
svg .missing { stroke-dasharray: 2 2; }
`

// File is a drawing of this package as a file that any program of the kind opens: with its style inside. "" for what is no drawing.
func File(svg string) string {
	open := strings.IndexByte(svg, '>') + 1
	if !strings.HasPrefix(svg, "<svg ") || open == 0 {
		return ""
	}
	return `<?xml version="1.0" encoding="UTF-8"?>` + "\n" + svg[:open] + "<style>" + Ink + "</style>" + svg[open:] + "\n"
}
