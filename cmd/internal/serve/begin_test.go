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
	return d, s.URL, dir
}

func give(t *testing.T, address, name string, body io.Reader) (int, upload, problem) {
	t.Helper()
	resp, err := http.Post(address+"/api/upload?name="+url.QueryEscape(name), "application/octet-stream", body)
	require.NoError(t, err)
	defer resp.Body.Close()
	b, err := io.ReadAll(resp.Body)
	require.NoError(t, err)
	var u upload
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

func TestFilesAreKnownForWhatTheyAre(t *testing.T) {
	_, address, dir := beginning(t)
	for name, kind := range map[string]string{
		"ground.tif": "ground", "survey.csv": "heights", "level-book.csv": "heights", "positions.csv": "positions", "my-species.csv": "species",
	} {
		status, u, p := give(t, address, name, demo(t, name))
		assert.Equal(t, 200, status, "%s %s", name, p.Error)
		assert.Equal(t, kind, u.Kind, name)
		assert.FileExists(t, filepath.Join(dir, u.Name))
	}
	status, u, p := give(t, address, "plants.txt", strings.NewReader("pecan\nfig\nSambucus canadensis\n"))
	assert.Equal(t, 200, status, p.Error)
	assert.Equal(t, []string{"Carya illinoinensis", "Ficus carica", "Sambucus canadensis"}, u.Plants)
	status, _, p = give(t, address, "plants.txt", strings.NewReader("pecan\nfig\nnusquam planta\n"))
	assert.Equal(t, 422, status)
	assert.Contains(t, p.Error, "line 3")
	_, u, _ = give(t, address, "ground.tif", demo(t, "ground.tif"))
	assert.Equal(t, "ground-2.tif", u.Name, "a file that is there stays")
}

func TestUploadsStayInTheirFolderAndBounds(t *testing.T) {
	_, address, dir := beginning(t)
	_, u, p := give(t, address, "../../outside.csv", demo(t, "survey.csv"))
	assert.Equal(t, "outside.csv", u.Name, p.Error)
	_, u, _ = give(t, address, `C:\Users\me\..\he ights.csv`, demo(t, "survey.csv"))
	assert.Equal(t, "he-ights.csv", u.Name)
	for _, tt := range []struct {
		name string
		body io.Reader
		want int
	}{
		{"page.html", strings.NewReader("<script>"), 422},
		{"x.vrt", strings.NewReader("<VRTDataset/>"), 422},
		{"ground.tif", strings.NewReader("<VRTDataset/>"), 422},
		{"ground.tif", strings.NewReader(""), 422},
		{"heights.csv", strings.NewReader("\x00\x01\x02"), 422},
		{"heights.csv", strings.NewReader("a,b\n1,2\n"), 422},
		{".hidden.csv", strings.NewReader("x\n"), 422},
		{"..", strings.NewReader("x\n"), 422},
		{"", strings.NewReader("x\n"), 422},
		{"heights.csv", io.LimitReader(zeros{}, mostTable+1), 413},
	} {
		status, _, p := give(t, address, tt.name, tt.body)
		assert.Equal(t, tt.want, status, "%q: %s", tt.name, p.Error)
		assert.NotContains(t, p.Error, ".wetfeet-", "%q", tt.name)
		assert.NotContains(t, p.Error, dir)
	}
	// A 2 GB upload is refused by what it says of itself, before it comes.
	r := httpRequest("POST", address+"/api/upload?name=big.tif", 2<<30)
	resp, err := http.DefaultClient.Do(r)
	if err == nil {
		defer resp.Body.Close()
		assert.Equal(t, 413, resp.StatusCode)
	}
	there, err := os.ReadDir(dir)
	require.NoError(t, err)
	assert.Len(t, there, 2, "nothing else was left")
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
	a := answers{Name: "New \"place\"", Units: "feet", Ground: "ground.tif", Rain: 101.6, Hours: 12, Texture: "sandy loam", Plants: []string{"Carya illinoinensis", "Ficus carica"}, Spacing: 3.048, Apart: 9.144}
	var p problem
	require.Equal(t, 200, ask(t, address+"/api/begin", a, &p), p.Error)
	text, err := os.ReadFile(filepath.Join(dir, "site.toml"))
	require.NoError(t, err)
	for _, line := range []string{`name         = "New \"place\""`, `rain         = "4 in"`, `spacing = "10 ft"`, `crs          = "EPSG:32614"`, `texture      = "sandy loam"`} {
		assert.Contains(t, string(text), line)
	}
	r := d.sheet().result
	assert.Greater(t, len(r.Rows), 5)
	for i := range r.Trees {
		assert.True(t, r.Trees[i].OnGround, r.Trees[i].ID)
	}
	var begin description
	assert.Equal(t, 200, ask(t, address+"/api/site", nil, &begin))
	assert.Equal(t, 409, ask(t, address+"/api/begin", a, &p), "one is open")
	status, _, _ := give(t, address, "ground.tif", demo(t, "ground.tif"))
	assert.Equal(t, 409, status)
}

func TestSpotHeightsFromAPegBeginASite(t *testing.T) {
	d, address, _ := beginning(t)
	var b strings.Builder
	b.WriteString("x,y,z\n")
	for i := range 8 {
		for k := range 6 {
			z := 100 + 0.02*float64(i) - 0.3*float64(min(abs(i-4)+abs(k-3), 3)-3)*-0.1
			b.WriteString(decimal(float64(5*i), 2) + "," + decimal(float64(5*k), 2) + "," + decimal(z, 3) + "\n")
		}
	}
	_, u, p := give(t, address, "heights.csv", strings.NewReader(b.String()))
	require.Equal(t, "heights", u.Kind, p.Error)
	assert.True(t, u.Place)
	lon, lat := -99.25, 29.5
	a := answers{Units: "metric", Heights: "heights.csv", Plants: []string{"fig"}, Spacing: 3, Apart: 6}
	assert.Equal(t, 422, ask(t, address+"/api/begin", a, &p), "where is not known")
	a.Lon, a.Lat = &lon, &lat
	require.Equal(t, 200, ask(t, address+"/api/begin", a, &p), p.Error)
	text, err := os.ReadFile(d.sheet().path)
	require.NoError(t, err)
	assert.Contains(t, string(text), "taken, since nothing was said")
	assert.Positive(t, len(d.sheet().result.Trees))
}

func abs(v int) int { return max(v, -v) }

func TestAnswersThatMakeNoSense(t *testing.T) {
	_, address, dir := beginning(t)
	give(t, address, "ground.tif", demo(t, "ground.tif"))
	good := answers{Units: "metric", Ground: "ground.tif", Rain: 100, Hours: 24, Plants: []string{"fig"}, Spacing: 3, Apart: 6}
	for name, spoil := range map[string]func(a *answers){
		"no ground":       func(a *answers) { a.Ground = "" },
		"another folder":  func(a *answers) { a.Ground = "../ground.tif" },
		"a path":          func(a *answers) { a.Ground = "/etc/passwd" },
		"no such file":    func(a *answers) { a.Heights = "none.csv" },
		"no trees":        func(a *answers) { a.Plants = nil },
		"unknown species": func(a *answers) { a.Plants = []string{"nusquam planta"} },
		"texture":         func(a *answers) { a.Texture = "cheese" },
		"rain":            func(a *answers) { a.Rain = 1e9 },
		"spacing":         func(a *answers) { a.Spacing = 0 },
		"units":           func(a *answers) { a.Units = "cubits" },
		"place":           func(a *answers) { v := 1e9; a.Lon, a.Lat = &v, &v },
	} {
		a := good
		spoil(&a)
		var p problem
		assert.Equal(t, 422, ask(t, address+"/api/begin", a, &p), name)
		assert.NotEmpty(t, p.Error, name)
	}
	there, err := os.ReadDir(dir)
	require.NoError(t, err)
	assert.Len(t, there, 1, "nothing was left of them")
}
