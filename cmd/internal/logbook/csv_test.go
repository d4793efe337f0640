package logbook

import (
	"bytes"
	"strings"
	"testing"
	"time"

	"wetfeet/cmd/internal/fault"

	"github.com/paulmach/orb"
	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// site is an invented one with two trees, a hundredth of a degree wide.
func site() *Site {
	return &Site{
		Name:    "Heron Bend",
		Trees:   map[string]orb.Point{"E-10": {-98.99, 28.02}, "A-01": {-98.9903, 28.021}},
		Inside:  func(p orb.Point) bool { return p[0] > -99 && p[0] < -98.98 && p[1] > 28.01 && p[1] < 28.03 },
		Nearest: func(string) string { return "E-10" },
	}
}

func TestATableGivesBackWhatWasWritten(t *testing.T) {
	want := some(t)
	var b bytes.Buffer
	require.NoError(t, WriteCSV(&b, want))
	got, err := ReadCSV(&b, "book.csv", site())
	require.NoError(t, err)
	assert.Equal(t, want, got)
}

func TestATableInAnyOrderAndUnit(t *testing.T) {
	got, err := ReadCSV(strings.NewReader("\ufeffTree,depth_in,Seen,rain_in,rain_ended,auger_depth_ft\r\nE-10,5,2026-03-02,3.25,2026-03-01,\r\n\r\nA-01,,2026-03-02T08:05,,,3\r\n"), "book.csv", site())
	require.NoError(t, err)
	require.Len(t, got, 2)
	assert.InDelta(t, 0.127, *got[0].Depth, 1e-12)
	assert.InDelta(t, 82.55, got[0].Storm.Rain, 1e-9)
	assert.Equal(t, &orb.Point{-98.99, 28.02}, got[0].At, "a tree has a place")
	assert.InDelta(t, 0.9144, *got[1].WaterTable, 1e-12)
	assert.Equal(t, "2026-03-02 08:05", got[1].Seen.String())
}

func TestAllMistakesOfATable(t *testing.T) {
	table := `seen,tree,lon,lat,depth_m,last_wet,dried_out,auger_depth_m,health,rain_ended,photo
2026-03-02,E-99,,,0.1,,,,,2026-03-01,
2026-03-02,E-10,,,-0.1,,,,,2026-03-01,
2026-02-27,E-10,,,0.1,,,,,2026-03-01,
2026-03-05,E-10,,,,,2026-02-28,,,2026-03-01,
2026-03-05,E-10,,,,2026-03-06,2026-03-05,,,2026-03-01,
2026-03-05,E-10,,,0.1,,,,,,
2026-03-05,E-10,,,,,,,,,
,E-10,,,0.1,,,,,2026-03-01,
2026-13-05,E-10,,,0.1,,,,,2026-03-01,
2026-03-05,,-90,28.02,,,,0.9,,,
2026-03-05,,-98.99,,,,,0.9,,,
2026-03-05,E-10,-98.985,28.02,,,,0.9,,,
2026-03-05,,-98.99,28.02,,,,,dead,,
2026-03-05,E-10,,,,,,,poorly,,
2026-03-05,E-10,,,two,,,25,,2026-03-01,/tmp/a.jpg
2026-03-05,E-10,,,0.2,,2026-03-04,,,2026-03-01,
`
	_, err := ReadCSV(strings.NewReader(table), "seen.csv", site())
	require.Error(t, err)
	assert.True(t, fault.IsInput(err))
	assert.Equal(t, `seen.csv, line 2: tree: no tree "E-99" is planned here; the nearest is "E-10"
seen.csv, line 3: depth_m: found -0.1 m; a depth of standing water, from 0 to 10 m, is needed
seen.csv, line 4: seen: 2026-02-27 is before the storm, whose rain ended 2026-03-01; an observation is made in or after its storm
seen.csv, line 5: dried_out: 2026-02-28 is before the rain ended, 2026-03-01
seen.csv, line 6: last_wet: 2026-03-06 is after it had dried out, 2026-03-05
seen.csv, line 6: last_wet: 2026-03-06 is after the visit, 2026-03-05, that is to have shown it
seen.csv, line 7: rain_ended: is missing; standing water says something only with the day on which its rain ended
seen.csv, line 8: depth_m: nothing was seen; give a depth, a day it was wet or had dried out, an auger depth, a health, a photo or a note
seen.csv, line 9: seen: is missing; a day such as 2026-03-02, or a day and a time such as 2026-03-02 15:30, is needed
seen.csv, line 10: seen: found "2026-13-05"; a day such as 2026-03-02, or a day and a time such as 2026-03-02 15:30, is needed
seen.csv, line 11: lon, lat: -90.000000, 28.020000 lies outside the site; a place on its known ground is needed
seen.csv, line 12: lon and lat belong together
seen.csv, line 13: lon, lat: the place lies 491 m from where tree "E-10" is planned; give the tree or the place alone
seen.csv, line 14: tree: is missing; health is that of a planned tree
seen.csv, line 15: health: found "poorly"; thriving, stressed, dying or dead is needed
seen.csv, line 16: depth_m: found "two"; a number is needed
seen.csv, line 17: depth_m: water stood there on 2026-03-05, after it had dried out on 2026-03-04`, err.Error())
}

func TestATableThatIsNone(t *testing.T) {
	for _, tt := range []struct{ name, table, want string }{
		{"nothing", "", "found no observations; the columns are seen,tree"},
		{"a heading alone", "seen,tree\n", "found no observations"},
		{"no days", "tree,depth_m\nE-10,1\n", "has no column seen"},
		{"a column of something else", "seen,tree,colour\n", `"colour" is no column of observations`},
		{"a column twice", "seen,tree,depth_m,depth_cm\n", `"depth_cm" stands there twice`},
		{"not UTF-8", "seen,tree,note\n2026-03-05,E-10,m\xfcde\n", "not text in UTF-8"},
		{"quotes", "seen,tree,note\n2026-03-05,E-10,a\"b\n", "quotes do not match"},
	} {
		_, err := ReadCSV(strings.NewReader(tt.table), "seen.csv", nil)
		assert.True(t, fault.IsInput(err), tt.name)
		assert.ErrorContains(t, err, tt.want, tt.name)
	}
	var b bytes.Buffer
	require.NoError(t, WriteTemplate(&b))
	_, err := ReadCSV(&b, "template.csv", site())
	assert.True(t, fault.IsInput(err), "a template that nobody filled in")
	assert.ErrorContains(t, err, `seen: found "YYYY-MM-DD"`)
}

func TestRemarksOnADayToCome(t *testing.T) {
	o := some(t)[1]
	assert.Empty(t, o.Remarks(noon))
	o.LastWet = When{}
	assert.Equal(t, []string{"dried_out: nobody said when water was last seen there, so it is taken to have gone between noon of the day before and the end of 2026-03-05"}, o.Remarks(noon))
	assert.Contains(t, o.Remarks(noon.Add(-7*24*time.Hour)), "seen: 2026-03-05 is in the future")
}

func TestTimesOfADay(t *testing.T) {
	for s, want := range map[string]string{"2026-03-02": "2026-03-02", " 2026-03-02 05:07 ": "2026-03-02 05:07", "2026-03-02T23:59": "2026-03-02 23:59"} {
		assert.Equal(t, want, when(t, s).String())
	}
	for _, s := range []string{"", "yesterday", "2026-02-29", "2026-03-02 25:00", "2026-03-02 noon", "26-03-02", "0001-01-01", "3026-01-01"} {
		_, err := ParseWhen(s)
		assert.Error(t, err, s)
	}
	assert.Equal(t, time.Date(2026, 3, 2, 12, 0, 0, 0, time.UTC), when(t, "2026-03-02").Likely())
	assert.True(t, When{}.IsZero())
	assert.Equal(t, "", When{}.String())
	morning, evening, day := when(t, "2026-03-02 07:00"), when(t, "2026-03-02 19:00"), when(t, "2026-03-02")
	assert.True(t, morning.surelyBefore(evening))
	assert.False(t, evening.surelyBefore(day), "it may have been later that day")
	assert.False(t, day.surelyBefore(evening))
	assert.Negative(t, morning.Compare(evening))
}

// Any table is read or refused, and what is read can be written and read again.
func FuzzReadCSV(f *testing.F) {
	var b bytes.Buffer
	if err := WriteCSV(&b, some(f)); err != nil {
		f.Fatal(err)
	}
	f.Add(b.Bytes())
	f.Add([]byte("seen;tree;depth_cm\n2026-03-05;E-10;4,5\n"))
	f.Fuzz(func(t *testing.T, data []byte) {
		got, err := ReadCSV(bytes.NewReader(data), "seen.csv", nil)
		if err != nil {
			assert.True(t, fault.IsInput(err), "%v", err)
			return
		}
		var b bytes.Buffer
		require.NoError(t, WriteCSV(&b, got))
		again, err := ReadCSV(&b, "seen.csv", nil)
		require.NoError(t, err)
		require.Len(t, again, len(got))
		for i := range got {
			assert.Equal(t, got[i].says(), again[i].says())
		}
	})
}
