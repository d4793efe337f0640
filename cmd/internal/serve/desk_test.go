package serve

import (
	"bytes"
	"encoding/binary"
	"encoding/json"
	"image/png"
	"io"
	"math"
	"net/http"
	"net/http/httptest"
	"os"
	"path/filepath"
	"testing"

	"wetfeet/cmd/internal/assess"
	"wetfeet/cmd/internal/ground"
	"wetfeet/cmd/internal/screenmap"
	"wetfeet/cmd/internal/site"
	"wetfeet/hydro/weather"

	"wetfeet/terrain/raster"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// planOf reads as much of a site file as these tests need.
func planOf(path string) (assess.Plan, error) {
	s, err := site.Read(path)
	if err != nil {
		return assess.Plan{}, err
	}
	p := assess.Plan{
		Name: s.Name, Units: s.Units, CRS: s.CRS, Rows: s.Rows, Error: s.Ground.VerticalError,
		Ground:    ground.Source{SpotHeights: s.Ground.SpotHeights.Path, DEM: s.Ground.DEM.Path, CRS: s.CRS, Cell: s.Ground.Cell},
		Positions: s.Trees.Positions.Path, Species: s.Species.Table.Path,
		Told: s.Told, Links: s.Links, Works: s.Works,
		Rain:       weather.Storm{Rain: s.Storm.Rain, Duration: s.Storm.Duration},
		Conditions: assess.ConditionsPlan{Age: s.Trees.Age},
	}
	if s.Origin != nil {
		p.CRS = raster.LocalCRS((*s.Origin)[0], (*s.Origin)[1])
		p.Ground.CRS = p.CRS
	}
	p.Soil = s.Soil.Whole(s.Soil.Known)
	return p, nil
}

// heronBend is a copy of the invented site, to be written to.
func heronBend(t *testing.T) string {
	t.Helper()
	dir := t.TempDir()
	require.NoError(t, os.CopyFS(dir, os.DirFS("../../../testdata/heron-bend")))
	return filepath.Join(dir, "heron-bend.toml")
}

func opened(t *testing.T, path string) (*desk, *httptest.Server) {
	t.Helper()
	return openedWith(t, Options{Site: path, Plan: planOf})
}

func openedWith(t *testing.T, o Options) (*desk, *httptest.Server) {
	t.Helper()
	d, err := newDesk(t.Context(), o)
	require.NoError(t, err)
	s := httptest.NewServer(d.handler())
	t.Cleanup(s.Close)
	return d, s
}

func ask(t *testing.T, url string, body, into any) int {
	t.Helper()
	var resp *http.Response
	var err error
	if body == nil {
		resp, err = http.Get(url)
	} else {
		b, wrong := json.Marshal(body)
		require.NoError(t, wrong)
		resp, err = http.Post(url, "application/json", bytes.NewReader(b))
	}
	require.NoError(t, err)
	defer resp.Body.Close()
	if p := (problem{}); resp.StatusCode >= 500 || resp.StatusCode == 409 {
		b, _ := io.ReadAll(resp.Body)
		_ = json.Unmarshal(b, &p)
		t.Log(p.Error)
		resp.Body = io.NopCloser(bytes.NewReader(b))
	}
	if into != nil {
		require.NoError(t, json.NewDecoder(resp.Body).Decode(into))
	}
	return resp.StatusCode
}

func fetch(t *testing.T, url string) []byte {
	t.Helper()
	resp, err := http.Get(url)
	require.NoError(t, err)
	defer resp.Body.Close()
	require.Equal(t, 200, resp.StatusCode, url)
	var b bytes.Buffer
	_, err = b.ReadFrom(resp.Body)
	require.NoError(t, err)
	return b.Bytes()
}

func TestThePageGetsTheGround(t *testing.T) {
	d, s := opened(t, heronBend(t))
	var begin description
	require.Equal(t, 200, ask(t, s.URL+"/api/site", nil, &begin))
	g := d.open.result.Drain.Ground
	at := s.URL + "/layer/" + begin.Ground.ID + "/"

	b := fetch(t, at+"ground")
	require.Len(t, b, 16+2*g.Len())
	lowest, step := math.Float64frombits(binary.LittleEndian.Uint64(b)), math.Float64frombits(binary.LittleEndian.Uint64(b[8:]))
	for i, z := range g.Cells {
		v := binary.LittleEndian.Uint16(b[16+2*i:])
		if z != z {
			require.EqualValues(t, math.MaxUint16, v)
			continue
		}
		require.InDelta(t, z, lowest+step*float64(v), 0.00051, "cell %d", i)
	}
	for _, name := range []string{"shade.png", "brim.png", "wetness.png"} {
		m, err := png.Decode(bytes.NewReader(fetch(t, at+name)))
		require.NoError(t, err, name)
		assert.Equal(t, g.Cols, m.Bounds().Dx())
		assert.Equal(t, g.Rows, m.Bounds().Dy())
	}
	for _, name := range []string{"contours", "flow"} {
		var lines struct{ Lines []screenmap.Line }
		require.NoError(t, json.Unmarshal(fetch(t, at+name), &lines))
		assert.NotEmpty(t, lines.Lines, name)
	}
	var p problem
	assert.Equal(t, 404, ask(t, at+"nothing", nil, &p))
	assert.Equal(t, 410, ask(t, s.URL+"/layer/zz/ground", nil, &p))
}

// The page draws water from levels and labels; where it draws it well inside
// a hollow it must be what the program says stands there.
func TestLabelsAndLevelsAreTheWater(t *testing.T) {
	d, s := opened(t, heronBend(t))
	r := d.open.result
	label := fetch(t, s.URL+"/layer/"+d.open.layers.id+"/hollows")
	out := stormOf(r)
	level := map[int32]float64{}
	for i := range r.Storm.Site.Hollows().All {
		level[int32(i+1)] = r.Storm.History.Level(i, out.Ends)
	}
	wet := 0
	for cell, depth := range r.Storm.Depth.Cells {
		k := int32(binary.LittleEndian.Uint32(label[4*cell:]))
		if !(depth > 0) {
			continue
		}
		wet++
		require.NotZero(t, k, "cell %d stands in water and has no hollow", cell)
		require.InDelta(t, depth, level[k]-float64(r.Drain.Ground.Cells[cell]), 1e-4)
	}
	assert.Greater(t, wet, 100)

	// The thinned course is the level to within its tolerance at any time.
	for i := range r.Storm.Site.Hollows().All {
		points := thinLevels(r.Storm.History.Levels(i))
		for h := 0.0; h < out.Last; h += 1.7 {
			k := 1
			for k < len(points)-1 && points[k].Hours < h {
				k++
			}
			if len(points) < 2 {
				break
			}
			a, b := points[k-1], points[k]
			z := a.Level + (h-a.Hours)/(b.Hours-a.Hours)*(b.Level-a.Level)
			require.InDelta(t, r.Storm.History.Level(i, h), z, levelTolerance+1e-9)
		}
	}
}

func TestAnAnswerThatIsSoonIsThatOfTheWholeRun(t *testing.T) {
	_, s := opened(t, heronBend(t))
	var begin description
	require.Equal(t, 200, ask(t, s.URL+"/api/site", nil, &begin))
	doc := begin.Document
	doc.Storm.Rain = 30
	var soon, whole reply
	require.Equal(t, 200, ask(t, s.URL+"/api/judge", question{Units: "metric", Document: doc, Effort: "soon"}, &soon))
	require.Equal(t, 200, ask(t, s.URL+"/api/judge", question{Units: "metric", Document: doc, Effort: "likely"}, &whole))
	assert.Zero(t, soon.Waiting)
	assert.Equal(t, whole.Storm, soon.Storm)
	require.Len(t, soon.Trees, len(whole.Trees))
	for i := range soon.Trees {
		assert.Equal(t, whole.Trees[i].Depth, soon.Trees[i].Depth)
	}
	stands := func(r reply) (sum float64) {
		for _, t := range r.Trees {
			sum += t.Depth
		}
		return sum
	}
	assert.Less(t, stands(whole), 0.7*stands(begin.Reply), "less rain, less water")
	assert.Equal(t, "soon", soon.Effort)
	assert.NotEmpty(t, whole.First)

	// A moved row is laid out anew.
	doc = begin.Document
	doc.Rows[0].Line[0][0] += 1
	require.Equal(t, 200, ask(t, s.URL+"/api/judge", question{Units: "metric", Document: doc, Effort: "soon"}, &soon))
	assert.InDelta(t, begin.Reply.Trees[0].X+1, soon.Trees[0].X, 0.002)
	assert.Positive(t, soon.Waiting)
}

func TestQuestionsThatMakeNoSense(t *testing.T) {
	_, s := opened(t, heronBend(t))
	var begin description
	require.Equal(t, 200, ask(t, s.URL+"/api/site", nil, &begin))
	for name, spoil := range map[string]func(d *document){
		"no rain":          func(d *document) { d.Storm.Rain = 0 },
		"too much rain":    func(d *document) { d.Storm.Rain = 1e9 },
		"no time":          func(d *document) { d.Storm.Hours = 0 },
		"spacing":          func(d *document) { d.Rows[0].Spacing = 0 },
		"spacing too fine": func(d *document) { d.Rows[0].Spacing = 1e-9 },
		"a point":          func(d *document) { d.Rows[0].Line = d.Rows[0].Line[:1] },
		"far off":          func(d *document) { d.Rows[0].Line[0][0] = 1e300 },
		"a plant unknown":  func(d *document) { d.Rows[0].Pattern = []string{"Nusquam planta"} },
	} {
		var doc document
		b, err := json.Marshal(begin.Document)
		require.NoError(t, err)
		require.NoError(t, json.Unmarshal(b, &doc))
		spoil(&doc)
		for _, effort := range []string{"soon", "likely"} {
			var p problem
			assert.Equal(t, 422, ask(t, s.URL+"/api/judge", question{Units: "metric", Document: doc, Effort: effort}, &p), name)
			assert.NotEmpty(t, p.Error, name)
		}
	}
	resp, err := http.Post(s.URL+"/api/judge", "text/plain", bytes.NewReader([]byte("{}")))
	require.NoError(t, err)
	assert.Equal(t, http.StatusUnsupportedMediaType, resp.StatusCode)
	resp, err = http.Post(s.URL+"/api/judge", "application/json", bytes.NewReader([]byte(`{"surprise":1}`)))
	require.NoError(t, err)
	assert.Equal(t, http.StatusBadRequest, resp.StatusCode)
}
