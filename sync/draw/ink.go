package draw

import (
	"strconv"
	"strings"
)

// Ink is the style sheet of drawings and glyphs in black on white, for paper and for a drawing that leaves the app.
const Ink = `svg text { fill: #000; font-family: 'Atkinson Hyperlegible Mono', 'Book Mono', ui-monospace, monospace; font-size: 14px; }
svg .file-caption { font-size: 12px; font-weight: 700; }
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

const (
	captionLine = 18.0
	captionWide = 50 // letters of a line, on the narrowest drawing
)

// File is a drawing of this package as a file that any program of the kind opens: with its style inside and above it, unless it
// is "", a caption that says what it is of, for it may be seen far from its screen. "" for what is no drawing.
func File(svg, caption string) string {
	open := strings.IndexByte(svg, '>') + 1
	if !strings.HasPrefix(svg, "<svg ") || open == 0 {
		return ""
	}
	head, top := svg[:open], &canvas{}
	if before, rest, ok := strings.Cut(head, ` viewBox="0 0 `); ok && caption != "" {
		size, after, _ := strings.Cut(rest, `"`)
		wide, tall, _ := strings.Cut(size, " ")
		lines := wrapped(caption)
		room := float64(captionLine*float64(len(lines))) + 6
		head = before + ` viewBox="0 ` + n(-room) + " " + wide + " " + n(coordinate(tall)+room) + `"` + after
		for i, l := range lines {
			top.text("file-caption", 8, captionLine-room+float64(captionLine*float64(i))-4, "start", l)
		}
	}
	return `<?xml version="1.0" encoding="UTF-8"?>` + "\n" + head + "<style>" + Ink + "</style>" + top.b.String() + svg[open:] + "\n"
}

// coordinate reads a coordinate that this package wrote.
func coordinate(s string) float64 {
	f, err := strconv.ParseFloat(s, 64)
	if err != nil {
		return 0
	}
	return f
}

// wrapped is a caption in lines that fit.
func wrapped(s string) []string {
	var out []string
	for _, word := range strings.Fields(s) {
		if i := len(out) - 1; i >= 0 && len([]rune(out[i]))+1+len([]rune(word)) <= captionWide {
			out[i] += " " + word
			continue
		}
		out = append(out, word)
	}
	return out
}
