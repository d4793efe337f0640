package logbook

import (
	"cmp"
	"fmt"
	"strings"
	"time"
)

// A When is a day, and the minute of it where someone looked at the clock. The
// zero value is never.
type When struct {
	days   int32 // since 1970-01-01, plus one
	minute int16 // of the day, plus one; 0 where nobody looked
}

// clock is how a time of the day is written.
const clock = "15:04"

// wantedDay completes the sentence "found ...; ... is needed".
const wantedDay = "a day such as 2026-03-02, or a day and a time such as 2026-03-02 15:30, is needed"

// The days that are taken: outside them someone mistyped the year.
var (
	firstDay = Day(time.Date(1900, 1, 1, 0, 0, 0, 0, time.UTC))
	lastDay  = Day(time.Date(2199, 12, 31, 0, 0, 0, 0, time.UTC))
)

// Day is the day of t.
func Day(t time.Time) When {
	y, m, d := t.Date()
	return When{days: int32(time.Date(y, m, d, 0, 0, 0, 0, time.UTC).Unix()/86400) + 1}
}

// ParseWhen reads a day, or a day and a time: "2026-03-02 15:30".
func ParseWhen(s string) (When, error) {
	s = strings.TrimSpace(s)
	day, at, timed := strings.Cut(strings.Replace(s, "T", " ", 1), " ")
	t, err := time.Parse(time.DateOnly, day)
	if err != nil {
		return When{}, fmt.Errorf("found %s; %s", quote(s), wantedDay)
	}
	w := Day(t)
	if w.days < firstDay.days || w.days > lastDay.days {
		return When{}, fmt.Errorf("found %s; a day from %s to %s is needed", quote(s), firstDay, lastDay)
	}
	if timed {
		if w, err = w.at(at); err != nil {
			return When{}, fmt.Errorf("found %s; %s", quote(s), wantedDay)
		}
	}
	return w, nil
}

// at is w with a time of the day.
func (w When) at(s string) (When, error) {
	t, err := time.Parse(clock, strings.TrimSpace(s))
	if err != nil {
		return When{}, fmt.Errorf("found %s; a time such as 15:30 is needed", quote(s))
	}
	w.minute = int16(60*t.Hour()+t.Minute()) + 1
	return w, nil
}

// IsZero reports whether nothing was said.
func (w When) IsZero() bool { return w.days == 0 }

// Timed reports whether the time of the day is known too.
func (w When) Timed() bool { return w.minute > 0 }

// Likely is the middle of what w can mean: the minute where it is known, noon
// of the day where it is not.
func (w When) Likely() time.Time {
	minute := 12 * 60
	if w.Timed() {
		minute = int(w.minute) - 1
	}
	return w.begin().Add(time.Duration(minute) * time.Minute)
}

// begin is the start of the day.
func (w When) begin() time.Time { return time.Unix(int64(w.days-1)*86400, 0).UTC() }

// earliest and latest bound what w can mean.
func (w When) earliest() time.Time {
	if w.Timed() {
		return w.Likely()
	}
	return w.begin()
}

func (w When) latest() time.Time {
	if w.Timed() {
		return w.Likely()
	}
	return w.begin().Add(24 * time.Hour)
}

// surelyBefore reports whether w is over before v begins, whatever the clock
// showed.
func (w When) surelyBefore(v When) bool {
	return !w.IsZero() && !v.IsZero() && (w.days < v.days || w.latest().Before(v.earliest()))
}

// Compare orders by day, then by the time where both know it.
func (w When) Compare(v When) int {
	return cmp.Or(cmp.Compare(w.days, v.days), cmp.Compare(w.minute, v.minute))
}

// day and time are the two parts as text, empty where they are not known.
func (w When) day() string {
	if w.IsZero() {
		return ""
	}
	return w.begin().Format(time.DateOnly)
}

func (w When) time() string {
	if !w.Timed() {
		return ""
	}
	return w.Likely().Format(clock)
}

// String is w as ParseWhen reads it.
func (w When) String() string { return strings.TrimSpace(w.day() + " " + w.time()) }
