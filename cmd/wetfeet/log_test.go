package main

import (
	"fmt"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// demoCopy is the demo in a folder that can be written to, and its site file.
func demoCopy(t *testing.T) (site string) {
	dir := t.TempDir()
	require.NoError(t, os.CopyFS(dir, os.DirFS(heronBend)))
	return filepath.Join(dir, "heron-bend.toml")
}

func TestLogKeepsABookBesideTheSite(t *testing.T) {
	site := demoCopy(t)
	book := strings.TrimSuffix(site, ".toml") + "-observations.gpkg"
	status, out, errs := wetfeet(t, "log", site, "--tree", "E-10", "--date", "2026-03-02 15:30", "--depth", "5 in", "--rain-ended", "2026-03-01 18:00", "--rain", "82 mm", "--duration", "12 h")
	require.Equal(t, exitOK, status, errs)
	assert.Equal(t, "1 observation added to "+book+", which now holds 1\n", out)
	assert.Empty(t, errs)

	status, _, errs = wetfeet(t, "log", site, "--tree", "E-10", "--last-wet", "2026-03-04", "--dried-out", "2026-03-05")
	require.Equal(t, exitOK, status, errs)
	assert.Equal(t, "note: The storm is that of the book: 82 mm in 12 h until 2026-03-01 18:00.\n", errs)

	status, _, errs = wetfeet(t, "log", site, "--at", "500120,3100060", "--date", "2026-03-06", "--auger-depth", "80 cm", "--note", "by the gate")
	require.Equal(t, exitOK, status, errs)

	table := filepath.Join(filepath.Dir(site), "seen.csv")
	require.NoError(t, os.WriteFile(table, []byte("seen,tree,health\n2026-06-01,E-10,dying\n2026-06-01,A-1,thriving\n"), 0o644))
	for _, want := range []string{"2 observations added to " + book + ", which now holds 5\n", "0 observations added to " + book + ", which now holds 5\n"} {
		status, out, errs = wetfeet(t, "log", site, "--import", table)
		require.Equal(t, exitOK, status, errs)
		assert.Equal(t, want, out)
	}
	assert.Equal(t, "note: the book holds 2 of these already, and does not count them twice\n", errs)

	status, out, errs = wetfeet(t, "log", site, "--list")
	require.Equal(t, exitOK, status, errs)
	assert.Equal(t, `NO.  DAY               WHERE                RAIN                                  WHAT WAS SEEN
1    2026-03-02 15:30  E-10                 82 mm in 12 h until 2026-03-01 18:00  13 cm of water
2    2026-03-05        E-10                 82 mm in 12 h until 2026-03-01 18:00  wet 2026-03-04, dried out 2026-03-05
3    2026-03-06        -98.99878, 28.02580                                        water table 80 cm down; “by the gate”
4    2026-06-01        E-10                                                       tree dying
5    2026-06-01        A-1                                                        tree thriving
`, out)

	status, exported, errs := wetfeet(t, "log", site, "--export", "-")
	require.Equal(t, exitOK, status, errs)
	again := filepath.Join(filepath.Dir(site), "again.csv")
	status, _, errs = wetfeet(t, "log", site, "--export", again)
	require.Equal(t, exitOK, status, errs)
	data, err := os.ReadFile(again)
	require.NoError(t, err)
	assert.Equal(t, exported, string(data))
	status, _, errs = wetfeet(t, "log", site, "--export", again)
	assert.Equal(t, exitInput, status)
	assert.Contains(t, errs, "is there already and is not written over")
	status, _, errs = wetfeet(t, "log", site, "--import", again)
	require.Equal(t, exitOK, status, errs)
	assert.Contains(t, errs, "holds 5 of these already", "places survive the way through a table")

	status, out, _ = wetfeet(t, "log", site, "--template")
	assert.Equal(t, exitOK, status)
	assert.True(t, strings.HasPrefix(out, "seen,tree,lon,lat,depth_m,"))
}

func TestBadObservationsAreToldExactly(t *testing.T) {
	site := demoCopy(t)
	bad := filepath.Join(filepath.Dir(site), "bad.csv")
	require.NoError(t, os.WriteFile(bad, []byte("seen,tree,depth_m,rain_ended\n2026-03-02,E-10,-1,2026-03-01\n2026-02-02,E-10,1,2026-03-01\n2026-03-02,Z-1,1,2026-03-01\n"), 0o644))
	text := filepath.Join(filepath.Dir(site), "text.gpkg")
	require.NoError(t, os.WriteFile(text, []byte("not a book"), 0o644))
	for _, tt := range []struct {
		name   string
		args   []string
		status int
		want   string
	}{
		{"nothing seen", nil, exitUsage, `usage: give what was seen (--tree E-10 --date 2026-03-02 --depth "12 cm"), or one of --list, --import, --export and --template`},
		{"two things at once", []string{"--list", "--tree", "E-10"}, exitUsage, "usage: give what was seen"},
		{"words for days and depths", []string{"--tree", "E-10", "--date", "today", "--depth", "deep"}, exitUsage, "usage: --date: found \"today\"; a day such as 2026-03-02, or a day and a time such as 2026-03-02 15:30, is needed\n--depth: \"deep\" is not a length"},
		{"a tree and a place", []string{"--tree", "E-10", "--at", "500120,3100060", "--date", "2026-03-02"}, exitUsage, "give --tree or --at, not both"},
		{"a tree nobody planned", []string{"--tree", "E-1O", "--date", "2026-03-02", "--health", "dead"}, exitInput, `tree: no tree "E-1O" is planned here; the nearest is "E-1"`},
		{"a place outside", []string{"--at", "500020,3100060", "--date", "2026-03-02", "--auger-depth", "1 m"}, exitInput, "lies outside the site; a place on its known ground is needed"},
		{"before its storm", []string{"--tree", "E-10", "--date", "2026-02-06", "--depth", "5 cm", "--rain-ended", "2026-03-01"}, exitInput, "seen: 2026-02-06 is before the storm, whose rain ended 2026-03-01; an observation is made in or after its storm"},
		{"dry before its storm", []string{"--tree", "E-10", "--date", "2026-03-02", "--dried-out", "2026-02-27", "--rain-ended", "2026-03-01"}, exitInput, "dried_out: 2026-02-27 is before the rain ended, 2026-03-01"},
		{"water without a storm", []string{"--tree", "E-10", "--date", "2026-03-02", "--depth", "5 cm"}, exitInput, "rain_ended: is missing; standing water says something only with the day on which its rain ended"},
		{"no day", []string{"--tree", "E-10", "--health", "dead"}, exitInput, "seen: is missing"},
		{"a table of mistakes", []string{"--import", bad}, exitInput, "bad.csv, line 2: depth_m: found -1 m; a depth of standing water, from 0 to 10 m, is needed\nbad.csv, line 3: seen: 2026-02-02 is before the storm, whose rain ended 2026-03-01; an observation is made in or after its storm\nbad.csv, line 4: tree: no tree \"Z-1\" is planned here; the nearest is \"A-1\"\n"},
		{"a table that is not there", []string{"--import", "none.csv"}, exitInput, `there is no file "none.csv"`},
		{"a book that is none", []string{"--list", "--book", text}, exitInput, "text.gpkg: is no GeoPackage; an observation book that wetfeet log made is needed"},
		{"an empty book", []string{"--list"}, exitInput, "holds no observations yet"},
	} {
		t.Run(tt.name, func(t *testing.T) {
			status, out, errs := wetfeet(t, append([]string{"log", site}, tt.args...)...)
			assert.Equal(t, tt.status, status)
			assert.Contains(t, errs, tt.want)
			assert.Empty(t, out)
			_, err := os.Stat(bookOf(site))
			assert.ErrorIs(t, err, os.ErrNotExist, "no book is begun")
		})
	}
}

// A place of a site that was taped in feet is in feet, as in its site file.
func TestLogAtAPlaceTapedInFeet(t *testing.T) {
	dir := t.TempDir()
	var heights strings.Builder
	heights.WriteString("x_ft,y_ft,z_ft\n")
	for i := range 6 {
		for j := range 6 {
			fmt.Fprintf(&heights, "%d,%d,%.2f\n", 20*i, 20*j, 300+float64((7*i+3*j)%5)/10)
		}
	}
	require.NoError(t, os.WriteFile(filepath.Join(dir, "shots.csv"), []byte(heights.String()), 0o644))
	site := filepath.Join(dir, "site.toml")
	require.NoError(t, os.WriteFile(site, []byte(`units = "feet"
origin = [-97.25, 30.5]
[ground]
spot_heights = "shots.csv"
[[row]]
name = "A"
line = [[20, 60], [80, 60]]
spacing = "20 ft"
pattern = ["pecan"]
`), 0o644))
	said := []string{"--date", "2026-03-02", "--auger-depth", "2 ft"}
	status, _, errs := wetfeet(t, append([]string{"log", site, "--at", "80,60"}, said...)...)
	require.Equal(t, exitOK, status, errs)
	_, out, _ := wetfeet(t, "log", site, "--list")
	// 80 ft are 24.4 m: 0.000254 degrees of longitude at 30.5 degrees north, of
	// 95.9 km each (WGS 84); 60 ft are 0.000165 of latitude, of 110.9 km each.
	assert.Contains(t, out, "-97.24975, 30.50016")
	status, _, errs = wetfeet(t, append([]string{"log", site, "--at", "180,60"}, said...)...)
	assert.Equal(t, exitInput, status)
	assert.Contains(t, errs, "at 180,60: lon, lat:")
	assert.Contains(t, errs, "lies outside the site")

	// A table says its own unit.
	trees := filepath.Join(dir, "trees.csv")
	require.NoError(t, os.WriteFile(trees, []byte("id,x,y,species\nT1,50,40,pecan\n"), 0o644))
	status, _, errs = wetfeet(t, "assess", "--ground", filepath.Join(dir, "shots.csv"), "--trees", trees, "--origin", "-97.25,30.5", "-o", filepath.Join(dir, "out"))
	assert.Equal(t, exitInput, status)
	assert.Contains(t, errs, "in metres from the origin the trees are at E 50 to 50")
	assert.Contains(t, errs, "Columns of feet are headed so, as x_ft")
}
