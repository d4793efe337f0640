package main

import (
	"bytes"
	"context"
	"os"
	"path/filepath"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

const (
	heronBend = "../../testdata/heron-bend/"
	meuse     = "../../testdata/meuse/"
)

// wetfeet runs the program as a person would and says how it ended.
func wetfeet(t *testing.T, args ...string) (status int, stdout, stderr string) {
	t.Helper()
	var out, remarks bytes.Buffer
	status = run(t.Context(), args, &out, &remarks)
	return status, out.String(), remarks.String()
}

// written lists the files below a folder, by name.
func written(t *testing.T, dir string) []string {
	t.Helper()
	var names []string
	require.NoError(t, filepath.WalkDir(dir, func(path string, d os.DirEntry, err error) error {
		if err == nil && !d.IsDir() {
			name, _ := filepath.Rel(dir, path)
			names = append(names, filepath.ToSlash(name))
		}
		return err
	}))
	return names
}

func TestHelpNamesTheCommands(t *testing.T) {
	status, out, _ := wetfeet(t)
	assert.Equal(t, exitOK, status)
	for _, command := range []string{"assess", "drain", "species"} {
		assert.Contains(t, out, command)
	}
	status, out, _ = wetfeet(t, "--version")
	assert.Equal(t, exitOK, status)
	assert.Contains(t, out, "wetfeet")
}

func TestWrongUsageIsToldAndExitsWithTwo(t *testing.T) {
	dir := t.TempDir()
	for _, tt := range []struct {
		name string
		args []string
		want string
	}{
		{"a command that does not exist", []string{"dig"}, "unexpected argument dig"},
		{"neither site nor ground", []string{"assess"}, "give a site file, or both --ground FILE and --trees FILE"},
		{"ground without trees", []string{"assess", "--ground", "g.tif"}, "give a site file, or both --ground FILE and --trees FILE"},
		{"a table where a site is meant", []string{"assess", "levels.csv"}, "levels.csv is not a site file (.toml); give elevations with --ground FILE"},
		{"site and ground together", []string{"assess", "site.toml", "--ground", "g.tif"}, "not both"},
		{"a routing that does not exist", []string{"drain", "g.tif", "--routing", "wild"}, `--routing must be one of "multiple","single","facet"`},
		{"a length in no known unit", []string{"drain", "g.tif", "--smooth", "3 furlongs"}, `"3 furlongs" is not a length`},
		{"a cell of no size", []string{"drain", "g.tif", "--cell", "0 m"}, "a cell has a side longer than 0"},
		{"an error of nothing", []string{"drain", "g.tif", "--error", "0 cm"}, "leave it out to have it worked out"},
		{"a smoothing below nothing", []string{"drain", "g.tif", "--smooth", "-1"}, `--smooth: "-1" is not a length`},
		{"an origin that is no place", []string{"drain", "g.csv", "--origin", "-99.25"}, `--origin: "-99.25" is not a longitude and a latitude in degrees`},
		{"an exponent that is none", []string{"drain", "g.tif", "--exponent", "0"}, "0 is not above 0"},
	} {
		t.Run(tt.name, func(t *testing.T) {
			out := filepath.Join(dir, "out")
			status, stdout, stderr := wetfeet(t, append(tt.args, outFor(tt.args, out)...)...)
			assert.Equal(t, exitUsage, status, stderr)
			assert.Contains(t, stderr, tt.want)
			assert.Empty(t, stdout)
			assert.NoDirExists(t, out)
		})
	}
}

// outFor names the folder for the commands that write one.
func outFor(args []string, dir string) []string {
	if args[0] == "assess" || args[0] == "drain" {
		return []string{"-o", dir}
	}
	return nil
}

func TestInterruptedRunWritesNothing(t *testing.T) {
	ctx, stop := context.WithCancel(t.Context())
	stop()
	parent := t.TempDir()
	var out, remarks bytes.Buffer
	status := run(ctx, []string{"assess", heronBend + "heron-bend.toml", "-o", filepath.Join(parent, "out")}, &out, &remarks)
	assert.Equal(t, exitFailed, status)
	assert.Contains(t, remarks.String(), "interrupted; nothing was written")
	assert.Empty(t, written(t, parent))
}
