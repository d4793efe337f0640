package report

import (
	"wetfeet/cmd/internal/look"
	"wetfeet/cmd/internal/screenmap"
	"wetfeet/terrain/quantity"
)

// liveLooks are the colours and marks the map is drawn with: of depth and odds,
// those that are on it.
type liveLooks struct {
	Risks   []screenmap.Symbol    `json:"risks"`
	Depths  map[string][]liveTint `json:"depths"` // by units
	Flows   map[string][]liveTint `json:"flows"`
	Odds    []liveTint            `json:"odds"`
	Colours map[string]string     `json:"colours"`
}

type liveTint struct {
	Fill  string  `json:"fill,omitempty"`
	Width float64 `json:"width,omitempty"`
	Label string  `json:"label"`
}

// both are the units a reader can choose between.
var both = []quantity.Units{quantity.Metric, quantity.Feet}

func liveLooksOf(v *liveMap, storm, odds []bool) liveLooks {
	out := liveLooks{Depths: map[string][]liveTint{}, Flows: map[string][]liveTint{}, Odds: []liveTint{}, Colours: screenmap.Colours()}
	on := map[string]bool{}
	for _, t := range v.Trees {
		on[t.Risk] = true
	}
	for _, s := range screenmap.Symbols() {
		if on[s.Name] {
			out.Risks = append(out.Risks, s)
		}
	}
	for _, u := range both {
		for i, c := range look.Depths(u) {
			if storm != nil && storm[i] {
				out.Depths[u.String()] = append(out.Depths[u.String()], liveTint{Fill: look.Hex(c.Fill), Label: c.Label})
			}
		}
		for _, c := range look.Flows(u) {
			out.Flows[u.String()] = append(out.Flows[u.String()], liveTint{Width: c.Width, Label: c.Label})
		}
	}
	for i, c := range look.Odds() {
		if odds != nil && odds[i] {
			out.Odds = append(out.Odds, liveTint{Fill: look.Hex(c.Fill), Label: c.Label})
		}
	}
	return out
}
