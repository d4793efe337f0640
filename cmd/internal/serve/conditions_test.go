package serve

import (
	"os"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// Ages and rootstocks of a site file are judged by and kept, though no page shows
// them; a tree that the page replaces or raises is a new one.
func TestAgesAndRootstocksOutlastThePage(t *testing.T) {
	path := heronBend(t)
	text, err := os.ReadFile(path)
	require.NoError(t, err)
	site := strings.Replace(string(text), "name    = \"E\"\n", "name    = \"E\"\nage     = \"5 years\"\n", 1) +
		"\n[[tree]]\nid = \"E-12\"\nage = \"8 years\"\nrootstock = \"Prunus cerasifera\"\n\n[[tree]]\nid = \"D-38\"\nrootstock = \"Nobody 7\"\n"
	require.NotEqual(t, string(text), site)
	plain := judged(t, path)
	require.NoError(t, os.WriteFile(path, []byte(site), 0o644))
	old := judged(t, path)
	lower := 0
	for id, was := range plain {
		if is := old[id]; strings.HasPrefix(id, "E-") {
			assert.LessOrEqual(t, rank[is.Risk], rank[was.Risk], id)
			if is.Risk != was.Risk {
				lower++
			}
		} else {
			assert.Equal(t, was.Risk, is.Risk, id)
		}
	}
	assert.Positive(t, lower, "trees of five years bear more")

	_, url, begin := begun(t, path)
	doc := begin.Document
	var trees []docTree
	for _, tree := range doc.Trees {
		if tree.ID != "E-12" && tree.ID != "D-38" { // of which it shows nothing
			trees = append(trees, tree)
		}
	}
	doc.Trees = append(trees, docTree{ID: "E-11", Species: "Nyssa aquatica"}, docTree{ID: "E-14", Mound: 0.3}, docTree{ID: "D-4", Mound: 0.3})
	var done saved
	require.Equal(t, 200, ask(t, url+"/api/save", saving{doc, begin.Hash}, &done))
	after, err := os.ReadFile(path)
	require.NoError(t, err)
	for _, want := range []string{
		"name    = \"E\"\nage     = \"5 years\"\n",
		"[[tree]]\nid = \"E-12\"\nage = \"8 years\"\nrootstock = \"Prunus cerasifera\"\n",
		"[[tree]]\nid = \"D-38\"\nrootstock = \"Nobody 7\"\n",
		"[[tree]]\nid      = \"E-11\"\nspecies = \"Nyssa aquatica\"\nage     = \"0 years\"\n",
		"[[tree]]\nid    = \"E-14\"\nmound = \"0.3 m\"\nage   = \"0 years\"\n",
		"[[tree]]\nid    = \"D-4\"\nmound = \"0.3 m\"\n",
	} {
		assert.Contains(t, string(after), want)
	}
	assert.Equal(t, 2, strings.Count(string(after), "0 years"))
}

var rank = map[string]int{"unknown": 0, "low": 1, "moderate": 2, "high": 3, "severe": 4}

// judged are the trees of a site by the likeliest answer.
func judged(t *testing.T, path string) map[string]treeReply {
	t.Helper()
	_, url, begin := begun(t, path)
	var r reply
	require.Equal(t, 200, ask(t, url+"/api/judge", question{Document: begin.Document, Units: "metric", Effort: "likely"}, &r))
	out := map[string]treeReply{}
	for _, tree := range r.Trees {
		out[tree.ID] = tree
	}
	return out
}
