package main

import (
	"os"
	"path/filepath"
	"strings"
	"testing"

	"wetfeet/cmd/internal/assess"
	"wetfeet/cmd/internal/logbook"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// One dry-out date shrinks the 80 % interval of hours wet by at least half,
// and a site file with what was learned in it gives the interval that was
// foretold.
func TestOneDryOutDateHalvesTheDoubtOfTheDemo(t *testing.T) {
	site := demoCopy(t)
	status, _, errs := wetfeet(t, "log", site, "--tree", "E-12", "--last-wet", "2026-03-06", "--dried-out", "2026-03-07", "--rain-ended", "2026-03-01 18:00", "--rain", "150 mm", "--duration", "24 h")
	require.Equal(t, exitOK, status, errs)
	plan, err := sitePlan(site)
	require.NoError(t, err)
	seen, err := logbook.Read(t.Context(), bookOf(site))
	require.NoError(t, err)
	_, l, err := assess.Learn(t.Context(), plan, seen, assess.LearnOptions{}, nil)
	require.NoError(t, err)
	require.Len(t, l.Trees, 1)
	tree := l.Trees[0]
	assert.Equal(t, "E-12", tree.ID)
	before, after := tree.Before.High-tree.Before.Low, tree.After.High-tree.After.Low
	assert.Less(t, after, before/2, "%+v", tree)
	// The water was gone between 4 d 18 h and 5 d 18 h after the rain; the hours
	// add the part of the rain while it stood, and the draining of the roots.
	assert.Greater(t, tree.After.Low, 4*24.0)
	assert.Less(t, tree.After.High, 9*24.0)
	assert.Less(t, l.Soaking[1].High, l.Soaking[0].High/3, "it soaks in more slowly than one site in ten was thought to")
	assert.NotEmpty(t, l.Next)

	// A site that has learned so much is assessed as was foretold.
	plan = l.Plan
	plan.Season = assess.SeasonPlan{}
	r, err := assess.Run(t.Context(), plan, nil)
	require.NoError(t, err)
	for i := range r.Trees {
		if at := &r.Trees[i]; at.ID == "E-12" {
			assert.InEpsilon(t, tree.After.Likely, at.Hours.Likely, 0.1)
			assert.InEpsilon(t, tree.After.High-tree.After.Low, at.Hours.High-at.Hours.Low, 0.35)
		}
	}
	assert.Contains(t, strings.Join(r.Assumptions, "\n"), "From what was seen on this site it was learned how fast standing water soaks in.")
}

func TestLearnWritesASiteFileThatLearnsTheSameAgain(t *testing.T) {
	site := demoCopy(t)
	status, _, errs := wetfeet(t, "log", site, "--tree", "E-12", "--dried-out", "2026-03-07", "--rain-ended", "2026-03-01 18:00", "--rain", "150 mm", "--duration", "24 h")
	require.Equal(t, exitOK, status, errs)
	learned := filepath.Join(filepath.Dir(site), "learned.toml")
	status, out, errs := wetfeet(t, "learn", site, "--draws", "60", "--apply", learned)
	require.Equal(t, exitOK, status, errs)
	assert.Contains(t, out, "Heron Bend: 1 observation, 1 of them used")
	assert.Contains(t, out, "hours wet at E-12")
	assert.Contains(t, out, "Look at next, after such a storm\n1. ")
	plan, err := sitePlan(learned)
	require.NoError(t, err)
	assert.True(t, plan.Learned.Given())

	// Again from the file that has learned already: the book counts once.
	twice := filepath.Join(filepath.Dir(site), "twice.toml")
	status, again, errs := wetfeet(t, "learn", learned, "--draws", "60", "--apply", twice)
	require.Equal(t, exitOK, status, errs)
	assert.Contains(t, errs, "the whole book was read again, and counts once")
	cut := func(s string) string { return s[:strings.Index(s, "\nsite ")] }
	assert.Equal(t, cut(out), cut(again))
	a, err := os.ReadFile(learned)
	require.NoError(t, err)
	b, err := os.ReadFile(twice)
	require.NoError(t, err)
	assert.Equal(t, string(a), string(b))
}

func TestWhatCannotBeLearnedFrom(t *testing.T) {
	site := demoCopy(t)
	in := func(name string) string { return filepath.Join(filepath.Dir(site), name) }
	status, _, errs := wetfeet(t, "learn", site)
	assert.Equal(t, exitInput, status)
	assert.Contains(t, errs, "holds no observations yet")

	book := in("notes.gpkg")
	status, _, errs = wetfeet(t, "log", site, "--book", book, "--tree", "E-12", "--date", "2026-03-02", "--note", "mud")
	require.Equal(t, exitOK, status, errs)
	for _, tt := range []struct {
		name   string
		args   []string
		status int
		want   string
	}{
		{"a book without a figure", []string{"--book", book}, exitInput, "the book holds nothing yet that a site can learn from"},
		{"a site file that is there", []string{"--book", book, "--apply", in("heron-bend.toml")}, exitInput, "is there already and is not written over"},
		{"a name alone is beside the site", []string{"--book", book, "--apply", "heron-bend.toml"}, exitInput, in("heron-bend.toml") + " is there already and is not written over"},
		{"another folder", []string{"--book", book, "--apply", filepath.Join(t.TempDir(), "new.toml")}, exitUsage, "lies in another folder than"},
		{"no site file", []string{"--book", book, "--apply", in("new.csv")}, exitUsage, "does not end in .toml as a site file does"},
		{"odd draws", []string{"--book", book, "--draws", "21"}, exitUsage, "--draws: found 21; an even number from 20 to 100000 is needed"},
	} {
		status, _, errs := wetfeet(t, append([]string{"learn", site}, tt.args...)...)
		assert.Equal(t, tt.status, status, tt.name)
		assert.Contains(t, errs, tt.want, tt.name)
	}

	// A metre of water on the knoll.
	wrong := in("wrong.gpkg")
	status, _, errs = wetfeet(t, "log", site, "--book", wrong, "--tree", "A-1", "--date", "2026-03-02", "--depth", "1 m", "--rain-ended", "2026-03-01")
	require.Equal(t, exitOK, status, errs)
	status, _, errs = wetfeet(t, "learn", site, "--book", wrong, "--draws", "40", "--apply", in("wrong.toml"))
	assert.Contains(t, errs, "observation 1 of 2026-03-02, A-1: none of the sites that are as likely as what is stated came nearer than")
	if status != exitInput { // it agrees with a few by chance, and says so
		assert.Equal(t, exitOK, status)
	}
}
