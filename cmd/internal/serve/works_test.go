package serve

import (
	"math"
	"os"
	"slices"
	"strings"
	"testing"

	"wetfeet/terrain/earthwork"

	"github.com/paulmach/orb"
	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

func built(t *testing.T, url string, doc document, works ...docWork) reply {
	t.Helper()
	doc.Works = append(slices.Clone(doc.Works), works...)
	var out reply
	require.Equal(t, 200, ask(t, url+"/api/judge", question{Document: doc, Units: "metric", Effort: "likely"}, &out))
	require.NotNil(t, out.Works)
	return out
}

func TestEarthworksAndTheWater(t *testing.T) {
	d, url, begin := begun(t, heronBend(t))
	doc := begin.Document
	require.NotNil(t, begin.Reply.Works)
	assert.Empty(t, begin.Reply.Works.Each)
	assert.Equal(t, begin.Ground.ID, begin.Reply.Ground)
	drain := d.open.result.Drain

	// A wall across the way the swale's water leaves dams it.
	wall := docWork{Name: "Wall 1", Kind: "wall", Line: [][2]float64{{500194, 3099995}, {500194, 3100100}}, Height: 0.6, Width: 0.4}
	dammed := built(t, url, doc, wall)
	w := dammed.Works
	require.NotNil(t, w.Before)
	assert.Greater(t, w.After.Ponded, w.Before.Ponded*1.05, "more stands")
	assert.Less(t, w.After.Left, w.Before.Left, "and less leaves")
	assert.Greater(t, w.After.Peak, 0.0)
	assert.InDelta(t, begin.Reply.Storm.Gone.In, dammed.Storm.Gone.In, 1)
	for _, m := range dammed.Storm.Shown {
		if m.Name == "when the rain ends" {
			assert.InDelta(t, m.Ponded, w.After.Ponded, 0.1, "the storm of the page is that of the account")
		}
	}
	assert.NotEmpty(t, w.Changed)
	assert.NotEqual(t, begin.Ground.ID, dammed.Ground)
	assert.Equal(t, begin.Ground.ID, w.Before.Ground)
	for _, name := range []string{"ground", "soft", "hollows", "contours", "flow", "shade.png"} {
		assert.NotEmpty(t, fetch(t, url+"/layer/"+dammed.Ground+"/"+name))
	}
	again := built(t, url, doc, wall)
	assert.Equal(t, dammed.Ground, again.Ground, "one ground, one name")
	assert.Equal(t, dammed.Storm, again.Storm)

	// A mound takes the soil that the arithmetic of mounds says.
	at := orb.Point{500120, 3100080}
	mound := built(t, url, doc, docWork{Name: "M", Kind: "mound", Line: [][2]float64{at}, Height: 0.5, Width: 2})
	_, volume := earthwork.Stamp(drain.Ground, []earthwork.Placed{{Mound: earthwork.Mound{Top: 2, Height: 0.5}, At: at}})
	assert.InDelta(t, volume, mound.Works.Fill, 0.01)
	assert.InDelta(t, volume/0.75, mound.Works.Loose, 0.01)
	assert.Zero(t, mound.Works.Cut)

	// A ditch as deep as the hollow, out of it and on to where the ground ends,
	// leaves it dry.
	h := drain.Hollows
	deepest := 0
	for i := range h.All {
		if h.All[i].ID == 1 {
			deepest = i
		}
	}
	from := h.Centre(h.Cell(h.All[deepest].FloorCell))
	ditch := docWork{Name: "Ditch 1", Kind: "ditch", Line: [][2]float64{from, {from[0], 3099930}}, Depth: math.Ceil(100*h.All[deepest].Depth()) / 100}
	drained := built(t, url, doc, ditch)
	w = drained.Works
	assert.Less(t, w.After.Ponded, w.Before.Ponded)
	assert.Greater(t, w.Cut, 0.5)
	assert.Equal(t, begin.Ground.ID, drained.Ground, "the ground stays")
	assert.NotEqual(t, begin.Ground.ID, drained.Hollows, "but its hollows do not")
	deep := 0.0 // of water in the hollow, before
	for _, c := range h.Own(int(h.Inner[h.All[deepest].FloorCell]) - 1) {
		deep = max(deep, float64(d.open.result.Storm.Depth.Cells[c]))
	}
	assert.Greater(t, deep, 0.1)
	near := d.open.near.Load()
	_, leaf := 0, int(near.Storm.Site.Hollows().Inner[h.All[deepest].FloorCell])-1
	if leaf >= 0 {
		assert.LessOrEqual(t, near.Storm.History.Level(leaf, begin.Reply.Storm.Ends)-h.All[deepest].Floor, 0.03, "it is empty")
	}
}

func TestBadEarthworksAreRefused(t *testing.T) {
	_, url, begin := begun(t, heronBend(t))
	line := [][2]float64{{500120, 3100050}, {500130, 3100050}}
	bad := math.MaxFloat64
	for _, w := range []docWork{
		{Name: "x", Kind: "hill", Line: line, Height: 1, Width: 1},
		{Kind: "bed", Line: line, Height: 1, Width: 1},
		{Name: "x", Kind: "bed", Line: line, Height: 40, Width: 1},
		{Name: "x", Kind: "bed", Line: line, Height: 1, Width: -1},
		{Name: "x", Kind: "bed", Line: line[:1], Height: 1, Width: 1},
		{Name: "x", Kind: "wall", Line: [][2]float64{line[0], line[0]}, Height: 1, Width: 1},
		{Name: "x", Kind: "mound", Line: line, Height: 1, Width: 1},
		{Name: "x", Kind: "mound", Line: [][2]float64{{bad, 1}}, Height: 1, Width: 1},
		{Name: "x", Kind: "mound", Line: [][2]float64{{1, 1}}, Height: 1, Width: 1},
		{Name: "x", Kind: "ditch", Line: line},
		{Name: "x", Kind: "ditch", Line: line, Depth: 9},
		{Name: "x", Kind: "ditch", Line: line, Invert: &bad},
		{Name: "x", Kind: "pipe", Line: line, Depth: 0.3, Capacity: -1},
		{Name: "x", Kind: "pipe", Depth: 0.3},
	} {
		doc := begin.Document
		doc.Works = []docWork{w}
		var p problem
		assert.Equal(t, 422, ask(t, url+"/api/judge", question{Document: doc, Units: "metric", Effort: "likely"}, &p), "%+v", w)
		assert.Contains(t, p.Error, `"`+w.Name+`"`)
	}
	doc := begin.Document
	twice := docWork{Name: "x", Kind: "bed", Line: line, Height: 0.3, Width: 1}
	doc.Works = []docWork{twice, twice}
	var p problem
	assert.Equal(t, 422, ask(t, url+"/api/judge", question{Document: doc, Units: "metric", Effort: "likely"}, &p))
}

// What is drawn is saved, read again as it was, changed and taken away.
func TestEarthworksAreSaved(t *testing.T) {
	path := heronBend(t)
	original, err := os.ReadFile(path)
	require.NoError(t, err)
	_, url, begin := begun(t, path)
	doc := begin.Document
	doc.Works = []docWork{
		{Name: "Bed 1", Kind: "bed", Line: [][2]float64{{500120, 3100050}, {500130.5, 3100051}}, Height: 0.3, Width: 1.5},
		{Name: "Ditch 1", Kind: "ditch", Line: [][2]float64{{500134, 3100030}, {500134, 3099990}}, Depth: 0.25},
		{Name: "Mound 1", Kind: "mound", Line: [][2]float64{{500150, 3100060}}, Height: 0.4, Width: 1},
	}
	was := built(t, url, doc)
	var done saved
	require.Equal(t, 200, ask(t, url+"/api/save", saving{doc, begin.Hash}, &done))
	text, err := os.ReadFile(path)
	require.NoError(t, err)
	assert.Contains(t, string(text), "[[link]]\nname  = \"Ditch 1\"\nkind  = \"ditch\"\nline  = [[500134.00, 3100030.00], [500134.00, 3099990.00]]\ndepth = \"0.25 m\"\n")
	assert.Contains(t, string(text), "[[work]]\nname   = \"Bed 1\"\nkind   = \"bed\"\nline   = [[500120.00, 3100050.00], [500130.50, 3100051.00]]\nheight = \"0.3 m\"\nwidth  = \"1.5 m\"\n")
	assert.Contains(t, string(text), "[[work]]\nname   = \"Mound 1\"\nkind   = \"mound\"\nat     = [500150.00, 3100060.00]\n")

	// Read anew, it is the same site.
	_, other := opened(t, path)
	var fresh description
	require.Equal(t, 200, ask(t, other.URL+"/api/site", nil, &fresh))
	assert.ElementsMatch(t, done.Document.Works, fresh.Document.Works)
	assert.Equal(t, was.Storm.Shown, fresh.Reply.Storm.Shown)
	assert.InDelta(t, was.Works.Fill, fresh.Reply.Works.Fill, 1e-6)
	assert.Nil(t, fresh.Reply.Works.Before, "it was there when the page was opened")

	doc = done.Document
	require.Len(t, doc.Works, 3)
	doc.Works[0].Height = 0.45
	doc.Works = slices.DeleteFunc(doc.Works, func(w docWork) bool { return w.Kind == "mound" })
	require.Equal(t, 200, ask(t, url+"/api/save", saving{doc, done.Hash}, &done))
	text, _ = os.ReadFile(path)
	assert.Contains(t, string(text), "height = \"0.45 m\"\n")
	assert.NotContains(t, string(text), "Mound 1")
	doc = done.Document
	doc.Works = nil
	require.Equal(t, 200, ask(t, url+"/api/save", saving{doc, done.Hash}, &done))
	text, _ = os.ReadFile(path)
	assert.Equal(t, strings.TrimSpace(string(original)), strings.TrimSpace(string(text)), "as if nothing had been drawn")
}
