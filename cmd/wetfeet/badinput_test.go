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

// A folder of things growers have been known to hand in. Every entry of files
// is written into it; a message may name the folder as DIR.
type badFolder struct{ dir string }

func newBadFolder(t *testing.T) badFolder {
	t.Helper()
	f := badFolder{t.TempDir()}
	good, err := os.ReadFile(heronBend + "ground.tif")
	require.NoError(t, err)
	f.write(t, "ground.tif", string(good))
	f.write(t, "cut.tif", string(good[:len(good)/2]))
	f.write(t, "empty.tif", "")
	require.NoError(t, os.Mkdir(f.path("folder"), 0o755))
	f.write(t, "letter.tif", "Dear sir,\nplease find the levels below.\n")
	const head = "ncols %d\nnrows %d\nxllcorner 500100\nyllcorner 3100000\ncellsize 1\nNODATA_value -9999\n"
	f.write(t, "void.asc", fmt.Sprintf(head, 3, 3)+strings.Repeat("-9999 -9999 -9999\n", 3))
	f.write(t, "one.asc", fmt.Sprintf(head, 1, 1)+"5\n")
	f.write(t, "huge.asc", fmt.Sprintf(head, 400000, 400000)+"1 2 3\n")
	f.write(t, "small.asc", fmt.Sprintf(head, 3, 3)+"1 2 3\n4 5 six\n7 8 9\n")
	f.write(t, "nocrs.asc", fmt.Sprintf(head, 3, 3)+"1 2 3\n4 5 6\n7 8 9\n")

	f.write(t, "words.csv", "x,y,z\n500101,3100001,high\n500102,NaN,96\n500103,3100001\n500104,3100002,inf\n")
	f.write(t, "columns.csv", "name,remark\nA,wet\n")
	f.write(t, "mixed.csv", "x,y,z\n500101;3100001;96\n")
	f.write(t, "commas.csv", "x,y,z\n500101,5,3100001,5,96,5\n")
	f.write(t, "two.csv", "\ufeffx;y;z\r\n500101,5;3100001,5;96,5\r\n500111,5;3100001,5;96,4\r\n")
	f.write(t, "line.csv", "x,y,z\n500101,3100001,96\n500102,3100002,96\n500103,3100003,96\n500104,3100004,96\n")
	f.write(t, "clash.csv", "x,y,z\n500101,3100001,96\n500109,3100001,96\n500105,3100009,96\n500101,3100001,97.5\n")

	f.write(t, "trees.csv", "id,x,y,species\nT1,500140,3100030,Carya illinoinensis\n")
	f.write(t, "turned.csv", "id,x,y,species\nT1,3100030,500140,Carya illinoinensis\n")
	f.write(t, "far.csv", "id,x,y,species\nT1,600140,3200030,Carya illinoinensis\n")
	f.write(t, "degrees.csv", "id,x,y,species\nT1,-99.0,28.02,Carya illinoinensis\n")
	f.write(t, "unknown.csv", "id,x,y,species\nT1,500140,3100030,Carya ilinoinenssis\nT2,500141,3100030,persimmon\nT3,500142,3100030,zzzz\n")
	f.write(t, "badtrees.csv", "id,x,y,species\nT1,500140,3100030,\nT1,x,3100030,pecan\n")
	f.write(t, "trees.geojson", `{"type":"FeatureCollection","features":[{"type":"Feature","properties":{},"geometry":{"type":"Point","coordinates":[]}}]}`)

	f.write(t, "keys.toml", "name = \"X\"\nspaceing = 3\n[ground]\ndem = \"ground.tif\"\ncel = \"1 m\"\n[[row]]\nline = [[500100.0, 3100020.0], [500190.0, 3100065.0]]\nspacing = \"2.5 furlongs\"\npattern = [\"Carya illinoinensis\"]\n")
	f.write(t, "syntax.toml", "name = \"X\n")
	f.write(t, "nofile.toml", "crs = \"EPSG:32614\"\n[ground]\ndem = \"grund.tif\"\n[[row]]\nline = [[500100.0, 3100020.0], [500190.0, 3100065.0]]\nspacing = \"2.5 m\"\npattern = [\"Carya illinoinensis\"]\n")
	f.write(t, "mismatch.toml", "crs = \"EPSG:32633\"\n[ground]\ndem = \"ground.tif\"\n[[row]]\nline = [[500100.0, 3100020.0], [500190.0, 3100065.0]]\nspacing = \"2.5 m\"\npattern = [\"Carya illinoinensis\"]\n")
	f.write(t, "lonlat.toml", "[ground]\ndem = \"ground.tif\"\n[[row]]\nline = [[500100.0, 3100020.0], [500190.0, 3100065.0]]\nspacing = \"2.5 m\"\npattern = [\"Carya illinoinensis\"]\n")
	f.write(t, "empty.toml", "")
	row := "[[row]]\nline = [[500100.0, 3100020.0], [500190.0, 3100065.0]]\nspacing = \"2.5 m\"\npattern = [\"Carya illinoinensis\"]\n"
	f.write(t, "conditions.toml", "crs = \"EPSG:32614\"\n[ground]\ndem = \"ground.tif\"\n[storm]\nmonth = \"Smarch\"\nsoil_temperature = \"hot\"\ndormant = \"no\"\n[soil]\nrootrot = true\n"+row+"age = \"-1 year\"\n")
	f.write(t, "rootstocks.toml", "crs = \"EPSG:32614\"\n[ground]\ndem = \"ground.tif\"\n"+row+"[species.rootstock]\npecan = \"Carya aquatica\"\n\"Carya illinoinensis\" = \"own roots\"\nzzzz = \"M9\"\n")
	f.write(t, "badages.csv", "id,x,y,species,age,rootstock\nT1,500140,3100030,pecan,old,\nT2,500141,3100030,pecan,-3,M9\n")
	return f
}

func (f badFolder) write(t *testing.T, name, text string) {
	t.Helper()
	require.NoError(t, os.WriteFile(f.path(name), []byte(text), 0o644))
}

func (f badFolder) path(name string) string { return filepath.Join(f.dir, name) }

const utm = "EPSG:32614"

func TestBadInputIsToldExactly(t *testing.T) {
	f := newBadFolder(t)
	before := written(t, f.dir)
	drain := func(name string, more ...string) []string { return append([]string{"drain", f.path(name)}, more...) }
	trees := func(name string) []string {
		return []string{"assess", "--ground", f.path("ground.tif"), "--trees", f.path(name)}
	}
	site := func(name string) []string { return []string{"assess", f.path(name)} }
	for _, tt := range badInputs(drain, trees, site) {
		t.Run(tt.name, func(t *testing.T) {
			status, stdout, stderr := wetfeet(t, append(tt.args, "-o", f.path("out"))...)
			got := strings.ReplaceAll(strings.TrimSuffix(stderr, "\n"), f.dir+string(filepath.Separator), "DIR/")
			assert.Equal(t, "wetfeet: "+tt.want, got)
			assert.Equal(t, exitInput, status)
			assert.Empty(t, stdout)
		})
	}
	assert.Equal(t, before, written(t, f.dir), "nothing was written")
}

func TestOutputFolderIsNotTouchedUnasked(t *testing.T) {
	dir := t.TempDir()
	precious := filepath.Join(dir, "precious")
	require.NoError(t, os.Mkdir(precious, 0o755))
	require.NoError(t, os.WriteFile(filepath.Join(precious, "notes.txt"), []byte("mine"), 0o644))
	file := filepath.Join(dir, "file")
	require.NoError(t, os.WriteFile(file, []byte("mine too"), 0o644))
	ground := heronBend + "ground.tif"

	for _, tt := range []struct {
		name, out, want string
		force           bool
	}{
		{"a folder that is there", precious, "is there already; --force replaces what an earlier run wrote there, or name another folder", false},
		{"a file of that name", file, "is a file", false},
		{"no folder to put it in", filepath.Join(dir, "none", "out"), "none", false},
	} {
		t.Run(tt.name, func(t *testing.T) {
			args := []string{"drain", ground, "-o", tt.out}
			if tt.force {
				args = append(args, "--force")
			}
			status, _, stderr := wetfeet(t, args...)
			assert.Equal(t, exitInput, status)
			assert.Contains(t, stderr, tt.want)
		})
	}
	assert.Equal(t, []string{"file", "precious/notes.txt"}, written(t, dir))

	// With --force what an earlier run wrote is replaced and what is the
	// grower's own stays.
	status, _, stderr := wetfeet(t, "drain", ground, "-o", precious, "--force")
	require.Equal(t, exitOK, status, stderr)
	status, _, stderr = wetfeet(t, "drain", ground, "-o", precious, "--force", "--routing", "single")
	require.Equal(t, exitOK, status, stderr)
	notes, err := os.ReadFile(filepath.Join(precious, "notes.txt"))
	require.NoError(t, err)
	assert.Equal(t, "mine", string(notes))
	assert.Contains(t, written(t, precious), "filled.tif")
}
