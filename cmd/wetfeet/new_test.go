package main

import (
	"bufio"
	"bytes"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"wetfeet/cmd/internal/begin"
	"wetfeet/cmd/internal/serve"
	"wetfeet/cmd/internal/site"
	"wetfeet/species"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

func TestNewSiteFromHeightsAndNames(t *testing.T) {
	dir := filepath.Join(t.TempDir(), "south-field")
	status, out, errs := wetfeet(t, "new", dir, "--from", heronBend+"survey.csv", "--crs", "EPSG:32614",
		"--species", "pecan, fig, American elderberry", "--soil", "long ribbon", "--rain", "6 in", "--duration", "12 h",
		"--rows", "3", "--spacing", "15 ft", "--row-spacing", "30 ft", "--units", "feet")
	require.Equal(t, exitOK, status, errs)
	assert.Contains(t, errs, "survey.csv: 120 spot heights")
	assert.Contains(t, out, " in 3 rows")
	file := filepath.Join(dir, "site.toml")
	assert.Contains(t, out, "wetfeet assess "+file)
	s, err := site.Read(file)
	require.NoError(t, err)
	assert.Equal(t, "South field", s.Name)
	assert.Equal(t, "clay", s.Soil.Texture)
	assert.InDelta(t, 152.4, s.Storm.Rain, 1e-9)
	require.Len(t, s.Rows, 3)
	assert.InDelta(t, 4.572, s.Rows[0].Spacing, 1e-9)

	// The same again gives the same, and nothing is written over.
	text, err := os.ReadFile(file)
	require.NoError(t, err)
	status, _, errs = wetfeet(t, "new", dir, "--from", heronBend+"survey.csv", "--crs", "EPSG:32614", "--species", "fig")
	assert.Equal(t, exitInput, status)
	assert.Contains(t, errs, "is there already and holds something, which is left alone")
	after, err := os.ReadFile(file)
	require.NoError(t, err)
	assert.Equal(t, text, after)

	answer := filepath.Join(t.TempDir(), "answer")
	status, _, errs = wetfeet(t, "assess", file, "--out", answer, "--draws", "0")
	require.Equal(t, exitOK, status, errs)
	assert.FileExists(t, filepath.Join(answer, "field.pdf"))
}

func TestNewSiteBadInput(t *testing.T) {
	f := t.TempDir()
	write := func(name, text string) string {
		path := filepath.Join(f, name)
		require.NoError(t, os.WriteFile(path, []byte(text), 0o666))
		return path
	}
	line := write("line.csv", "x,y,z\n0,0,1\n5,5,2\n10,10,1\n15,15,2\n")
	list := write("list.txt", "pecan\nblue gumm\nred mapel bush\n")
	survey := heronBend + "survey.csv"
	for _, tt := range []struct {
		name   string
		args   []string
		status int
		want   string
	}{
		{"nothing given", nil, exitUsage, "wetfeet serve "},
		{"no such file", []string{"--from", "nowhere.csv"}, exitInput, "nowhere.csv: no such file"},
		{"unknown species", []string{"--from", survey, "--species", list}, exitInput, "list.txt, line 3"},
		{"where", []string{"--from", survey, "--species", "fig"}, exitInput, "(here: --crs or --origin)"},
		{"a line", []string{"--from", line, "--origin", "-99.25,29.5", "--species", "fig"}, exitInput, "line.csv"},
		{"no trees", []string{"--from", heronBend + "ground.tif"}, exitInput, "--species"},
		{"texture", []string{"--from", heronBend + "ground.tif", "--species", "fig", "--soil", "mud"}, exitInput, "is not a soil texture"},
		{"origin", []string{"--from", survey, "--origin", "here"}, exitUsage, "--origin"},
		{"rain", []string{"--from", survey, "--rain", "0"}, exitUsage, "more than nothing"},
		{"spacing", []string{"--from", survey, "--spacing", "wide"}, exitUsage, "--spacing"},
	} {
		dir := filepath.Join(f, "new")
		status, out, errs := wetfeet(t, append([]string{"new", dir}, tt.args...)...)
		assert.Equal(t, tt.status, status, "%s: %s", tt.name, errs)
		assert.Contains(t, errs, tt.want, tt.name)
		assert.Empty(t, out, tt.name)
		assert.NoDirExists(t, dir, tt.name)
	}
}

// Someone at a terminal is asked what neither files nor flags say, and asked
// again after a slip.
func TestQuestionsAreAsked(t *testing.T) {
	found, err := begin.Look(heronBend+"survey.csv", "survey.csv", species.BuiltIn())
	require.NoError(t, err)
	var said bytes.Buffer
	q := &questions{in: bufio.NewReader(strings.NewReader("nowhere\n-99.25,29.5\nmud\nshort ribbon, smooth\n\n6 h\npecan, blue gumm\npecan, fig\n")), out: &said}
	a := begin.Answers{}
	require.NoError(t, q.ask(&newCommand{}, &a, []*begin.Found{found}))
	assert.InDelta(t, -99.25, a.Origin[0], 0)
	assert.Equal(t, "short ribbon, smooth", a.Soil)
	assert.Zero(t, a.Rain, "left to be taken")
	assert.Equal(t, 6.0, a.Duration.Hours())
	assert.Equal(t, []string{"Carya illinoinensis", "Ficus carica"}, a.Plants)
	for _, want := range []string{"is not a longitude", "not a soil texture", "[100 mm]", "[24 h]", "nearest: "} {
		assert.Contains(t, said.String(), want)
	}
	// An answer that was refused leaves nothing behind when the next takes what
	// is in brackets, and where nothing can be taken it is asked again.
	said.Reset()
	b := begin.Answers{}
	q.in = bufio.NewReader(strings.NewReader("\n-99.25,29.5\nmud\n\nsome\n\n0 h\n\n\npecan, blue gumm\npecan\n"))
	require.NoError(t, q.ask(&newCommand{}, &b, []*begin.Found{found}))
	assert.Equal(t, begin.Answers{Origin: a.Origin, Plants: []string{"Carya illinoinensis"}}, b)
	assert.Equal(t, 2, strings.Count(said.String(), "an answer is needed, such as "))

	// What is said by flags is not asked, and the end of the input takes the rest.
	said.Reset()
	q.in = bufio.NewReader(strings.NewReader(""))
	require.NoError(t, q.ask(&newCommand{Soil: "clay", Rain: "1 in", Duration: "1 h"}, &a, []*begin.Found{found}))
	assert.Empty(t, said.String())
}

func TestServeFindsTheSite(t *testing.T) {
	dir := t.TempDir()
	place := func(at string) (string, string, string, error) {
		var o serve.Options
		err := (&serveCommand{Site: at}).place(&o)
		return o.Site, o.Dir, o.Name, err
	}
	file, _, _, err := place(filepath.Join(dir, "a.toml"))
	require.NoError(t, err)
	assert.Equal(t, filepath.Join(dir, "a.toml"), file)
	_, parent, name, err := place(filepath.Join(dir, "new"))
	require.NoError(t, err)
	assert.Equal(t, "new", name)
	assert.Equal(t, dir, filepath.Clean(parent))
	_, _, name, err = place(dir)
	require.NoError(t, err)
	assert.Equal(t, filepath.Base(dir), name, "an empty folder")
	require.NoError(t, os.WriteFile(filepath.Join(dir, "mine.txt"), nil, 0o666))
	_, _, _, err = place(dir)
	assert.ErrorContains(t, err, "holds files but no site.toml")
	require.NoError(t, os.WriteFile(filepath.Join(dir, "site.toml"), nil, 0o666))
	file, _, _, err = place(dir)
	require.NoError(t, err)
	assert.Equal(t, filepath.Join(dir, "site.toml"), file)
	_, _, _, err = place(filepath.Join(dir, "no", "new"))
	assert.ErrorContains(t, err, "is not there")
	_, _, _, err = place(filepath.Join(dir, "mine.txt"))
	assert.ErrorIs(t, err, errUsage)
}
