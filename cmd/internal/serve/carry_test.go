package serve

import (
	"bytes"
	"encoding/json"
	"io"
	"net/http"
	"testing"

	"wetfeet/cmd/internal/advise"
	"wetfeet/cmd/internal/fieldsheet"
	"wetfeet/cmd/internal/overlay"
	"wetfeet/cmd/internal/plansheet"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

func carriedFrom(t *testing.T, address string, q carryQuestion) (int, http.Header, []byte) {
	t.Helper()
	b, err := json.Marshal(q)
	require.NoError(t, err)
	r, err := http.Post(address+"/api/carry", "application/json", bytes.NewReader(b))
	require.NoError(t, err)
	defer r.Body.Close()
	body, err := io.ReadAll(r.Body)
	require.NoError(t, err)
	return r.StatusCode, r.Header, body
}

// The files of the page are those of the plan as it stands there, byte for
// byte as the packages write them.
func TestPageGivesThePlanAway(t *testing.T) {
	d, s := openedWith(t, Options{Site: heronBend(t), Plan: planWithOdds})
	var begin description
	require.Equal(t, 200, ask(t, s.URL+"/api/site", nil, &begin))
	doc := begin.Document
	require.NotEmpty(t, doc.Rows)
	doc.Rows = doc.Rows[:2] // not what is saved
	var sure reply
	require.Equal(t, 200, ask(t, s.URL+"/api/judge", question{doc, "metric", "sure"}, &sure))
	res := *d.open.sure.Load().result
	advice, err := advise.Make(t.Context(), &res, advise.Options{})
	require.NoError(t, err)
	advice.Settle(&res)

	var want bytes.Buffer
	require.NoError(t, fieldsheet.Write(&want, &res, plansheet.Letter))
	status, head, got := carriedFrom(t, s.URL, carryQuestion{doc, "metric", "field.pdf", "letter"})
	require.Equal(t, 200, status, string(got))
	assert.Equal(t, "application/pdf", head.Get("Content-Type"))
	assert.Equal(t, "attachment; filename=field.pdf", head.Get("Content-Disposition"))
	assert.True(t, bytes.Equal(want.Bytes(), got))

	want.Reset()
	require.NoError(t, overlay.WriteStakes(&want, &res))
	status, _, got = carriedFrom(t, s.URL, carryQuestion{doc, "metric", "stakes.csv", ""})
	require.Equal(t, 200, status)
	assert.Equal(t, want.String(), string(got))
	for file, begins := range map[string]string{"report.html": "<!doctype html>", "stakes.gpx": "<?xml", "risk.kml": "<?xml", "risk.geojson": "{"} {
		status, _, got = carriedFrom(t, s.URL, carryQuestion{doc, "metric", file, ""})
		require.Equal(t, 200, status, file)
		assert.True(t, bytes.HasPrefix(bytes.ToLower(got), []byte(begins)), file)
	}
}

func TestWhatThePageDoesNotGiveAway(t *testing.T) {
	_, s := openedWith(t, Options{Site: heronBend(t), Plan: planWithOdds})
	var begin description
	require.Equal(t, 200, ask(t, s.URL+"/api/site", nil, &begin))
	for _, tt := range []struct {
		file, paper, want string
		status            int
	}{
		{"../site.toml", "", `there is no file \"../site.toml\" to take along; there are field.pdf, report.html`, 400},
		{"field.pdf", "A0", `\"A0\" is not a size of paper`, 422},
	} {
		status, _, got := carriedFrom(t, s.URL, carryQuestion{begin.Document, "metric", tt.file, tt.paper})
		assert.Equal(t, tt.status, status, tt.file)
		assert.Contains(t, string(got), tt.want)
	}
}
