package survey

import (
	"encoding/json"
	"maps"
	"math"
	"slices"
	"strings"
)

// heights are those of the positions or of a property, for n vertices.
func (in *lineReading) heights(z []float64, n int, part string) ([]float64, bool) {
	for _, key := range slices.Sorted(maps.Keys(in.props)) {
		words := wordsOf(key)
		if len(words) == 0 || words[0] != "z" {
			continue
		}
		metres, known := metresIn(strings.Join(words[1:], " "))
		raw := in.props[key]
		if !known || string(raw) == "null" {
			continue
		}
		if z != nil {
			in.wrong("heights in the positions%s and in the property %s; keep one of them", part, quote(key))
			return nil, false
		}
		var one strict
		var each []strict
		switch {
		case json.Unmarshal(raw, &one) == nil:
			each = slices.Repeat([]strict{one}, n)
		case json.Unmarshal(raw, &each) != nil:
			in.wrong("property %s is %s; a number, or a list with one for each vertex, is needed", quote(key), shorten(string(raw)))
			return nil, false
		case len(each) != n:
			in.wrong("property %s has %d heights for %d vertices%s", quote(key), len(each), n, part)
			return nil, false
		}
		for _, v := range each {
			z = append(z, float64(v)*metres)
		}
	}
	return z, true
}

// kind is the first kind of line that a property names.
func (in *lineReading) kind() Kind {
	for _, key := range []string{"kind", "type", "class", "code", "name"} {
		if k := KindOf(in.text(key)); k != Other {
			return k
		}
	}
	return Other
}

// text is the first property of these that is text or a number.
func (in *lineReading) text(keys ...string) string {
	for _, key := range keys {
		var s string
		var n json.Number
		switch raw := in.props[key]; {
		case raw == nil:
		case json.Unmarshal(raw, &s) == nil && s != "":
			return shorten(s)
		case json.Unmarshal(raw, &n) == nil && n != "":
			return shorten(n.String())
		}
	}
	return ""
}

// number is the first property of these that there is, NaN where it is no
// number.
func (in *lineReading) number(keys ...string) (v float64, found bool) {
	for _, key := range keys {
		if raw := in.props[key]; raw != nil && string(raw) != "null" {
			if json.Unmarshal(raw, &v) != nil {
				return math.NaN(), true
			}
			return v, true
		}
	}
	return 0, false
}
