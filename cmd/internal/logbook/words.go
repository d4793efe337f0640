package logbook

import (
	"fmt"
	"strings"

	"wetfeet/terrain/quantity"
)

// Where names the place of an observation.
func (o *Observation) Where() string {
	switch {
	case o.Tree != "":
		return o.Tree
	case o.At != nil:
		return fmt.Sprintf("%.5f, %.5f", o.At[0], o.At[1])
	}
	return "?"
}

// What says what was seen, in a few words.
func (o *Observation) What(u quantity.Units) string {
	var out []string
	say := func(format string, args ...any) { out = append(out, fmt.Sprintf(format, args...)) }
	switch {
	case o.Depth == nil:
	case *o.Depth == 0:
		say("no water")
	default:
		say("%s of water", quantity.FormatDepth(*o.Depth, u))
	}
	switch {
	case !o.DriedOut.IsZero() && !o.LastWet.IsZero():
		say("wet %s, dried out %s", o.LastWet, o.DriedOut)
	case !o.DriedOut.IsZero():
		say("dried out %s", o.DriedOut)
	case !o.LastWet.IsZero():
		say("still wet %s", o.LastWet)
	}
	if o.WaterTable != nil {
		say("water table %s down", quantity.FormatDepth(*o.WaterTable, u))
	}
	if o.Health != "" {
		say("tree %s", o.Health)
	}
	if o.Photo != "" {
		say("photo %s", o.Photo)
	}
	if o.Note != "" {
		say("“%s”", o.Note)
	}
	return strings.Join(out, "; ")
}

// Words says which rain it was; empty where nobody said.
func (s Storm) Words(u quantity.Units) string {
	if s.Ended.IsZero() {
		return ""
	}
	var rain string
	if s.Rain > 0 {
		rain = quantity.FormatRain(s.Rain, u)
	}
	if s.Hours > 0 {
		rain += fmt.Sprintf(" in %.4g h", s.Hours)
	}
	return strings.TrimSpace(rain + " until " + s.Ended.String())
}

// mostDays is how long after its rain an observation without a storm of its own
// is taken to be about the last storm in the book, days.
const mostDays = 30

// Complete gives an observation of water the storm that the book holds already,
// where it names none of its own or only the day: the last one that ended no
// more than 30 days before. It says so.
func (o *Observation) Complete(held []Observation, u quantity.Units) (said string) {
	water := o.Depth != nil || !o.DriedOut.IsZero() || !o.LastWet.IsZero()
	var last Storm
	for i := range held {
		s := held[i].Storm
		if s.Ended.IsZero() || s.Ended.Compare(last.Ended) < 0 {
			continue
		}
		days := o.Seen.Likely().Sub(s.Ended.earliest()).Hours() / 24
		named := !o.Storm.Ended.IsZero() && o.Storm.Ended.days == s.Ended.days
		if named && s.Rain >= last.Rain || o.Storm.Ended.IsZero() && water && days >= 0 && days <= mostDays {
			last = s
		}
	}
	if last.Ended.IsZero() || o.Storm.Rain > 0 && o.Storm.Hours > 0 {
		return ""
	}
	before := o.Storm
	if o.Storm.Ended.IsZero() {
		o.Storm = last
	}
	if o.Storm.Rain == 0 {
		o.Storm.Rain = last.Rain
	}
	if o.Storm.Hours == 0 {
		o.Storm.Hours = last.Hours
	}
	if o.Storm == before {
		return ""
	}
	return fmt.Sprintf("The storm is that of the book: %s.", o.Storm.Words(u))
}
