package logbook

import (
	"errors"
	"fmt"
	"math"
	"path/filepath"
	"strings"
	"time"
	"unicode"
	"unicode/utf8"

	"github.com/paulmach/orb"
)

// Bounds beyond which a value is a slip of the keyboard.
const (
	deepestWater = 10   // m
	deepestAuger = 20   // m
	mostRain     = 2000 // mm
	mostHours    = 30 * 24
	longestName  = 200  // bytes
	longestNote  = 1000 // bytes
)

// A Site is what a book is held against.
type Site struct {
	Name    string
	Trees   map[string]orb.Point        // longitude and latitude of every planned tree
	Inside  func(lonLat orb.Point) bool // whether a place belongs to the site
	Nearest func(id string) string      // the planned tree that a mistyped id is nearest to
}

// Place looks up the tree of an observation and gives it the tree's place. The
// mistakes that it returns say which part of the observation is meant.
func (s *Site) Place(o *Observation) []error {
	var bad []error
	if o.Tree != "" {
		at, known := s.Trees[o.Tree]
		switch {
		case !known:
			near := ""
			if s.Nearest != nil && len(s.Trees) > 0 {
				near = "; the nearest is " + quote(s.Nearest(o.Tree))
			}
			return []error{fmt.Errorf("tree: no tree %s is planned here%s", quote(o.Tree), near)}
		case o.At == nil:
			o.At = &at
		default:
			if d := apart(at, *o.At); d > 10 {
				bad = append(bad, fmt.Errorf("lon, lat: the place lies %.0f m from where tree %s is planned; give the tree or the place alone", d, quote(o.Tree)))
			}
		}
	}
	if o.At != nil && s.Inside != nil && !s.Inside(*o.At) {
		bad = append(bad, fmt.Errorf("lon, lat: %.6f, %.6f lies outside the site; a place on its known ground is needed", o.At[0], o.At[1]))
	}
	return bad
}

// apart is how far two places near each other are apart, m, on a sphere.
func apart(a, b orb.Point) float64 {
	const degree = 111_195 // m
	return degree * math.Hypot((a[0]-b[0])*math.Cos(a[1]*math.Pi/180), a[1]-b[1])
}

// Check says everything that an observation contradicts of itself, each
// mistake with the part that is meant.
func (o *Observation) Check() []error {
	var bad []error
	fail := func(format string, args ...any) { bad = append(bad, fmt.Errorf(format, args...)) }
	number := func(name string, v *float64, most float64, unit, wanted string) {
		if v != nil && !(*v >= 0 && *v <= most) {
			fail("%s: found %.4g %s; %s, from 0 to %.4g %s, is needed", name, *v, unit, wanted, most, unit)
		}
	}
	if o.Seen.IsZero() {
		fail("seen: is missing; %s", wantedDay)
	}
	if o.Tree == "" && o.At == nil {
		fail("tree: is missing; the id of a planned tree, or lon and lat, are needed")
	}
	if o.At != nil && !(math.Abs(o.At[0]) <= 180 && math.Abs(o.At[1]) <= 90) {
		fail("lon, lat: %.6g, %.6g are not longitude and latitude in degrees", o.At[0], o.At[1])
	}
	number("depth_m", o.Depth, deepestWater, "m", "a depth of standing water")
	number("auger_depth_m", o.WaterTable, deepestAuger, "m", "a depth below the ground")
	if o.Health != "" {
		if _, err := ParseHealth(string(o.Health)); err != nil {
			fail("health: %w", err)
		}
		if o.Tree == "" {
			fail("tree: is missing; health is that of a planned tree")
		}
	}
	if o.Depth == nil && o.DriedOut.IsZero() && o.LastWet.IsZero() && o.WaterTable == nil && o.Health == "" && o.Photo == "" && o.Note == "" {
		fail("depth_m: nothing was seen; give a depth, a day it was wet or had dried out, an auger depth, a health, a photo or a note")
	}
	bad = append(bad, o.checkStorm()...)
	if f := o.Photo; f != "" && (f != filepath.Base(f) || strings.ContainsAny(f, `/\`)) {
		fail("photo: found %s; the name of a file without its folder is needed", quote(f))
	}
	for _, t := range []struct {
		name, text string
		most       int
	}{{"tree", o.Tree, longestName}, {"photo", o.Photo, longestName}, {"note", o.Note, longestNote}} {
		switch {
		case len(t.text) > t.most:
			fail("%s: is longer than %d bytes", t.name, t.most)
		case !utf8.ValidString(t.text):
			fail("%s: is not UTF-8", t.name)
		case strings.ContainsFunc(t.text, unicode.IsControl):
			fail("%s: holds a control character; text on one line is needed", t.name)
		}
	}
	return bad
}

// checkStorm holds the days of an observation against each other.
func (o *Observation) checkStorm() []error {
	var bad []error
	fail := func(format string, args ...any) { bad = append(bad, fmt.Errorf(format, args...)) }
	s := o.Storm
	if !(s.Rain >= 0 && s.Rain <= mostRain) {
		fail("rain_mm: found %.4g mm; a depth of rain up to %d mm is needed", s.Rain, mostRain)
	}
	if !(s.Hours >= 0 && s.Hours <= mostHours) {
		fail("rain_hours: found %.4g h; up to %d h are needed", s.Hours, mostHours)
	}
	water := o.Depth != nil || !o.DriedOut.IsZero() || !o.LastWet.IsZero()
	switch {
	case s.Ended.IsZero() && water:
		fail("rain_ended: is missing; standing water says something only with the day on which its rain ended")
	case s.Ended.IsZero() && (s.Rain > 0 || s.Hours > 0):
		fail("rain_ended: is missing; a rain needs the day on which it ended")
	}
	if o.DriedOut.surelyBefore(s.Ended) {
		fail("dried_out: %s is before the rain ended, %s", o.DriedOut, s.Ended)
	}
	if began := s.began(); !s.Ended.IsZero() {
		if !o.LastWet.IsZero() && o.LastWet.latest().Before(began) {
			fail("last_wet: %s is before the storm, whose rain ended %s", o.LastWet, s.Ended)
		}
		if !o.Seen.IsZero() && o.Seen.latest().Before(began) {
			fail("seen: %s is before the storm, whose rain ended %s; an observation is made in or after its storm", o.Seen, s.Ended)
		}
	}
	if o.DriedOut.surelyBefore(o.LastWet) {
		fail("last_wet: %s is after it had dried out, %s", o.LastWet, o.DriedOut)
	}
	if o.Seen.surelyBefore(o.DriedOut) {
		fail("dried_out: %s is after the visit, %s, that is to have shown it", o.DriedOut, o.Seen)
	}
	if o.Seen.surelyBefore(o.LastWet) {
		fail("last_wet: %s is after the visit, %s, that is to have shown it", o.LastWet, o.Seen)
	}
	if o.Depth != nil && *o.Depth > 0 && o.DriedOut.surelyBefore(o.Seen) {
		fail("depth_m: water stood there on %s, after it had dried out on %s", o.Seen, o.DriedOut)
	}
	return bad
}

// began is the earliest that the rain of a storm can have begun: its day where
// nobody said how long it lasted.
func (s Storm) began() time.Time {
	return s.Ended.earliest().Add(-time.Duration(s.Hours * float64(time.Hour)))
}

// Remarks is what looks odd about an observation without being a mistake.
func (o *Observation) Remarks(now time.Time) []string {
	var out []string
	for _, d := range []struct {
		name string
		When
	}{{"seen", o.Seen}, {"dried_out", o.DriedOut}, {"rain_ended", o.Storm.Ended}} {
		if d.days > Day(now).days {
			out = append(out, fmt.Sprintf("%s: %s is in the future", d.name, d.When))
		}
	}
	if !o.DriedOut.IsZero() && o.LastWet.IsZero() {
		out = append(out, fmt.Sprintf("dried_out: nobody said when water was last seen there, so it is taken to have gone between noon of the day before and the end of %s", o.DriedOut.day()))
	}
	return out
}

// ParseHealth reads the word for how a tree does.
func ParseHealth(s string) (Health, error) {
	for _, h := range Healths {
		if strings.EqualFold(strings.TrimSpace(s), string(h)) {
			return h, nil
		}
	}
	return "", errors.New("found " + quote(s) + "; thriving, stressed, dying or dead is needed")
}

func quote(s string) string {
	if len(s) > 60 {
		s = strings.ToValidUTF8(s[:60], "") + "…"
	}
	return fmt.Sprintf("%q", s)
}
