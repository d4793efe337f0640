package serve

import (
	"bytes"
	"encoding/json"
	"io"
	"net/http"
	"net/url"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

func beginning(t *testing.T) (d *desk, address, dir string) {
	t.Helper()
	dir = t.TempDir()
	d, s := openedWith(t, Options{Dir: dir, Plan: planOf})
	t.Cleanup(d.close)
	return d, s.URL, dir
}

func give(t *testing.T, address, name string, body io.Reader) (int, given, problem) {
	t.Helper()
	resp, err := http.Post(address+"/api/upload?name="+url.QueryEscape(name), "application/octet-stream", body)
	require.NoError(t, err)
	defer resp.Body.Close()
	b, err := io.ReadAll(resp.Body)
	require.NoError(t, err)
	var u given
	var p problem
	require.NoError(t, json.Unmarshal(b, &u))
	require.NoError(t, json.Unmarshal(b, &p))
	return resp.StatusCode, u, p
}

func demo(t *testing.T, name string) io.Reader {
	t.Helper()
	b, err := os.ReadFile("../../../testdata/heron-bend/" + name)
	require.NoError(t, err)
	return bytes.NewReader(b)
}

// Names say nothing of what a file is, and nothing is written to the folder
// before the site is.
func TestFilesAreKnownForWhatTheyAre(t *testing.T) {
	_, address, dir := beginning(t)
	for name, kind := range map[string]string{
		"ground.tif": "elevation raster", "survey.csv": "spot heights", "level-book.csv": "field book", "positions.csv": "positions",
		"my-species.csv": "own species", "boundary.geojson": "boundary",
	} {
		status, u, p := give(t, address, "a.txt", demo(t, name))
		assert.Equal(t, 200, status, "%s %s", name, p.Error)
		assert.Equal(t, kind, u.Kind, name)
	}
	status, u, p := give(t, address, "plants.txt", strings.NewReader("pecan\nfig\nSambucus canadensis\njujube\n"))
	assert.Equal(t, 200, status, p.Error)
	assert.Equal(t, []string{"Carya illinoinensis", "Ficus carica", "Sambucus canadensis", "Ziziphus jujuba"}, u.Plants)
	status, _, p = give(t, address, "plants.txt", strings.NewReader("pecan\nfig\nblue gumm\n"))
	assert.Equal(t, 422, status)
	assert.Contains(t, p.Error, `plants.txt, line 3: "blue gumm" is not a species in the table; nearest: `)
	there, err := os.ReadDir(dir)
	require.NoError(t, err)
	assert.Empty(t, there)
}

func TestUploadsAreBounded(t *testing.T) {
	d, address, dir := beginning(t)
	for _, tt := range []struct {
		name string
		body io.Reader
		want int
		say  string
	}{
		{"page.html", strings.NewReader("<script>"), 422, "XML"},
		{"x.vrt", strings.NewReader("<VRTDataset/>"), 422, "x.vrt"},
		{"ground.tif", strings.NewReader(""), 422, "nothing in it"},
		{"heights.csv", strings.NewReader("\x00\x01\x02"), 422, "heights.csv: is not a raster"},
		{"../../heights.csv", strings.NewReader("a,b\n1,2\n"), 422, "heights.csv: has the columns"},
		{"", strings.NewReader("a,b\n1,2\n"), 422, "the file: has the columns"},
		{"heights.csv", io.LimitReader(zeros{}, mostUpload+1), 413, "up to 512 MB are taken"},
	} {
		status, _, p := give(t, address, tt.name, tt.body)
		assert.Equal(t, tt.want, status, "%q: %s", tt.name, p.Error)
		assert.Contains(t, p.Error, tt.say)
		assert.NotContains(t, p.Error, "given-")
		assert.NotContains(t, p.Error, os.TempDir())
	}
	// A 2 GB upload is refused by what it says of itself, before it comes.
	resp, err := http.DefaultClient.Do(httpRequest("POST", address+"/api/upload?name=big.tif", 2<<30))
	if err == nil {
		defer resp.Body.Close()
		assert.Equal(t, 413, resp.StatusCode)
	}
	left, err := os.ReadDir(d.stage.folder)
	require.NoError(t, err)
	assert.Empty(t, left, "nothing of them was left")
	for range mostFiles {
		status, _, p := give(t, address, "l.txt", strings.NewReader("pecan\n"))
		require.Equal(t, 200, status, p.Error)
	}
	status, _, p := give(t, address, "l.txt", strings.NewReader("pecan\n"))
	assert.Equal(t, 422, status)
	assert.Contains(t, p.Error, "remove those that are not needed")
	assert.Equal(t, 200, ask(t, address+"/api/forget", map[string]string{"name": "l-2.txt"}, &p))
	status, u, _ := give(t, address, "l.txt", strings.NewReader("fig\n"))
	assert.Equal(t, 200, status)
	assert.Equal(t, "l-2.txt", u.Name)
	there, err := os.ReadDir(dir)
	require.NoError(t, err)
	assert.Empty(t, there)
	folder := d.stage.folder
	d.close()
	assert.NoDirExists(t, folder)
}

func httpRequest(method, url string, size int64) *http.Request {
	r, err := http.NewRequest(method, url, io.LimitReader(zeros{}, size))
	if err != nil {
		panic(err)
	}
	r.ContentLength = size
	return r
}

// From two files and four answers to a site that opens.
func TestASiteIsBegun(t *testing.T) {
	d, address, dir := beginning(t)
	give(t, address, "ground.tif", demo(t, "ground.tif"))
	a := answers{Folder: "north-field", Name: "New \"place\"", Units: "feet", Rain: 101.6, Hours: 12, Soil: "short ribbon, gritty", Plants: []string{"Carya illinoinensis", "Ficus carica"}, Spacing: 3.048, Apart: 9.144}
	var p problem
	var seen preview
	require.Equal(t, 200, ask(t, address+"/api/preview", a, &seen))
	assert.Greater(t, len(seen.Rows), 5)
	there, err := os.ReadDir(dir)
	require.NoError(t, err)
	assert.Empty(t, there, "a preview writes nothing")
	folder := d.stage.folder
	require.Equal(t, 200, ask(t, address+"/api/begin", a, &p), p.Error)
	text, err := os.ReadFile(filepath.Join(dir, "north-field", "site.toml"))
	require.NoError(t, err)
	assert.Equal(t, seen.Text, string(text))
	for _, line := range []string{`name = "New \"place\""`, `rain = "4 in"`, `spacing = "10 ft"`, `crs = "EPSG:32614"`, `texture = "sandy loam"`} {
		assert.Contains(t, string(text), line)
	}
	assert.FileExists(t, filepath.Join(dir, "north-field", "ground.tif"))
	assert.NoDirExists(t, folder)
	r := d.sheet().result
	assert.Len(t, r.Trees, seen.Trees)
	for i := range r.Trees {
		assert.True(t, r.Trees[i].OnGround, r.Trees[i].ID)
	}
	var begin description
	assert.Equal(t, 200, ask(t, address+"/api/site", nil, &begin))
	assert.Equal(t, 409, ask(t, address+"/api/begin", a, &p), "one is open")
	status, _, _ := give(t, address, "ground.tif", demo(t, "ground.tif"))
	assert.Equal(t, 409, status)
}

func TestAnswersThatMakeNoSense(t *testing.T) {
	_, address, dir := beginning(t)
	require.NoError(t, os.Mkdir(filepath.Join(dir, "taken"), 0o777))
	require.NoError(t, os.WriteFile(filepath.Join(dir, "taken", "mine"), nil, 0o666))
	good := answers{Folder: "new", Units: "metric", Plants: []string{"fig"}}
	var p problem
	assert.Equal(t, 422, ask(t, address+"/api/begin", good, &p))
	assert.Contains(t, p.Error, "no file tells the ground")
	give(t, address, "ground.tif", demo(t, "ground.tif"))
	big := 1e9
	for name, spoil := range map[string]func(a *answers){
		"no folder":       func(a *answers) { a.Folder = " " },
		"another folder":  func(a *answers) { a.Folder = "../new" },
		"a path":          func(a *answers) { a.Folder = "/tmp/new" },
		"hidden":          func(a *answers) { a.Folder = ".new" },
		"a folder there":  func(a *answers) { a.Folder = "taken" },
		"no trees":        func(a *answers) { a.Plants = nil },
		"unknown species": func(a *answers) { a.Plants = []string{"nusquam planta"} },
		"texture":         func(a *answers) { a.Soil = "cheese" },
		"rain":            func(a *answers) { a.Rain = big },
		"hours":           func(a *answers) { a.Hours = big },
		"spacing":         func(a *answers) { a.Spacing = big },
		"units":           func(a *answers) { a.Units = "cubits" },
		"place":           func(a *answers) { a.Lon, a.Lat = &big, &big },
		"half a place":    func(a *answers) { a.Lon = &big },
		"system":          func(a *answers) { a.CRS = "banana" },
	} {
		a := good
		spoil(&a)
		var p problem
		assert.Equal(t, 422, ask(t, address+"/api/begin", a, &p), name)
		assert.NotEmpty(t, p.Error, name)
		assert.NotContains(t, p.Error, dir)
	}
	there, err := os.ReadDir(dir)
	require.NoError(t, err)
	assert.Len(t, there, 1, "nothing was left of them")
}
