package main

import (
	"os"
	"path/filepath"
	"strings"
	"testing"

	"wetfeet/cmd/internal/advise"
	"wetfeet/cmd/internal/assess"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// bend copies the files of the demo to a folder, so that one may write beside
// them.
func bend(t *testing.T) string {
	t.Helper()
	dir := t.TempDir()
	require.NoError(t, os.CopyFS(dir, os.DirFS(heronBend)))
	return dir
}

// What is advised is run again from the site file that --apply writes: trees
// that changed have the odds that were foretold, counts of each row stay, and no
// more trees are lost than was said.
func TestAdviceThatIsFollowedComesTrue(t *testing.T) {
	dir := bend(t)
	old := filepath.Join(dir, "heron-bend.toml")
	status, out, remarks := wetfeet(t, "advise", old, "--draws", "40", "--apply", "next.toml")
	require.Equal(t, exitOK, status, remarks)
	for _, head := range []string{"Change places", "Tree by tree", "Soil for mounds", "Drains, if you may dig there", "Find out next", "Before you dig"} {
		assert.Contains(t, out, head)
	}
	assess0 := func(path string) *assess.Result {
		p, err := sitePlan(path)
		require.NoError(t, err)
		p.Odds.Draws = 40
		r, err := assess.Run(t.Context(), p, nil)
		require.NoError(t, err)
		return r
	}
	before, after := assess0(old), assess0(filepath.Join(dir, "next.toml"))
	a, err := advise.Make(t.Context(), before, advise.Options{})
	require.NoError(t, err)
	require.NotEmpty(t, a.Changes)
	assert.Less(t, a.Then.Mean, a.Arranged.Mean)
	assert.Less(t, a.Arranged.Mean, a.Now.Mean)
	lost := 0.0
	for i := range after.Trees {
		if after.Trees[i].OnGround {
			lost += after.Trees[i].Odds
		}
	}
	assert.InDelta(t, a.Then.Mean, lost, 1e-3)
	for _, c := range a.Changes {
		is := &after.Trees[c.Tree]
		assert.Equal(t, c.Species, is.Entry, is.ID)
		assert.InDelta(t, c.After, is.Odds, 1e-6, is.ID)
		assert.InDelta(t, c.Mound, is.Built, 1e-3, is.ID)
		if c.Raised {
			assert.LessOrEqual(t, is.Odds, a.Target+1e-9, is.ID)
			assert.Positive(t, c.Heap.Settled, is.ID)
		}
		assert.False(t, is.Flagged && (c.Raised || c.Swapped), "%s is still flagged", is.ID)
	}
	for k := range before.Rows {
		kinds := func(r *assess.Result) map[string]int {
			n := map[string]int{}
			for _, i := range r.Rows[k].Trees {
				n[r.Trees[i].Entry.Scientific]++
			}
			return n
		}
		swapped := 0
		for _, c := range a.Changes {
			if c.Swapped && before.Trees[c.Tree].Row == before.Rows[k].Name {
				swapped++
			}
		}
		if swapped == 0 {
			assert.Equal(t, kinds(before), kinds(after), "row %s", before.Rows[k].Name)
		}
	}

	// The second time there is nothing there to write over.
	status, _, remarks = wetfeet(t, "advise", old, "--apply", "next.toml")
	assert.Equal(t, exitInput, status)
	assert.Contains(t, remarks, "next.toml is there already")
	text, err := os.ReadFile(old)
	require.NoError(t, err)
	given, err := os.ReadFile(heronBend + "heron-bend.toml")
	require.NoError(t, err)
	assert.Equal(t, string(given), string(text), "the old file stays as it is")
}

func TestAdviceThatCannotBeGiven(t *testing.T) {
	dir := bend(t)
	text, err := os.ReadFile(filepath.Join(dir, "heron-bend.toml"))
	require.NoError(t, err)
	write := func(name, more string) string {
		path := filepath.Join(dir, name)
		require.NoError(t, os.WriteFile(path, append(append([]byte(nil), text...), more...), 0o644))
		return path
	}
	site := write("site.toml", "")
	reach := filepath.Join(dir, "reach.toml")
	require.NoError(t, os.WriteFile(reach, []byte(strings.Replace(string(text), "vertical_error", "error_range = \"2 km\"\nvertical_error", 1)), 0o644))
	for _, tt := range []struct {
		name   string
		args   []string
		status int
		want   string
	}{
		{"a target of nothing", []string{site, "--target", "0"}, exitInput, `--target: found "0"; a share between 0 and 1 is needed, such as 20% or 0.1: no tree is beyond all risk`},
		{"a target of all", []string{site, "--target", "100%"}, exitInput, "no tree is beyond all risk"},
		{"another folder", []string{site, "--apply", filepath.Join(t.TempDir(), "x.toml")}, exitUsage, "lies in another folder"},
		{"no trailer", []string{site, "--trailer", "3"}, exitUsage, "a volume above zero is needed"},
		{"no odds", []string{site, "--draws", "0"}, exitInput, "advice is made from odds"},
		{"few draws", []string{site, "--draws", "3"}, exitUsage, "from 20 to 100000"},
		{"a tree nobody plans", []string{write("tree.toml", "\n[[tree]]\nid = \"e10\"\nmound = \"20 cm\"\n")}, exitInput, `tree "e10": no tree of that name is planned; there is "E-10"`},
		{"emergents too far apart", []string{write("fixed.toml", "\n[[tree]]\nid = \"A-1\"\nfixed = true\n\n[[tree]]\nid = \"A-5\"\nfixed = true\n"), "--emergent", "30 m", "--draws", "20"}, exitInput, `row "A": `},
		{"no room in any row", []string{site, "--emergent", "300 m", "--draws", "20"}, exitInput, "room for 1 at 300.00 m: plan fewer or a shorter spacing\nrow \"D\": "},
		{"a fixed tree off the ground", []string{write("off.toml", "\n[[tree]]\nid = \"A-1\"\nfixed = true\nat = [400000, 3000000]\n"), "--draws", "20"}, exitInput, `tree "A-1" is fixed at E 400000.0, N 3000000.0, off the known ground`},
		{"a target of one in the site file", []string{write("target.toml", "\n[odds]\ntarget = 1\n")}, exitInput, "a risk between 0 and 1 is needed"},
		{"an error that reaches beyond the site", []string{reach}, exitInput, "the error of the ground (ground.vertical_error, ground.error_range)"},
	} {
		t.Run(tt.name, func(t *testing.T) {
			status, _, remarks := wetfeet(t, append([]string{"advise"}, tt.args...)...)
			assert.Equal(t, tt.status, status, remarks)
			assert.Contains(t, remarks, tt.want)
		})
	}
}
