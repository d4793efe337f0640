package serve

import (
	"fmt"
	"math/rand/v2"
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"syscall"
	"testing"
	"time"

	"wetfeet/cmd/internal/rewrite"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

func begun(t *testing.T, path string) (*desk, string, description) {
	t.Helper()
	d, s := opened(t, path)
	var begin description
	require.Equal(t, 200, ask(t, s.URL+"/api/site", nil, &begin))
	return d, s.URL, begin
}

func TestSavingChangesOnlyWhatWasChanged(t *testing.T) {
	path := heronBend(t)
	before, err := os.ReadFile(path)
	require.NoError(t, err)
	_, url, begin := begun(t, path)

	var done saved
	require.Equal(t, 200, ask(t, url+"/api/save", saving{begin.Document, begin.Hash}, &done))
	same, _ := os.ReadFile(path)
	assert.Equal(t, string(before), string(same), "nothing changed, nothing written")

	doc := begin.Document
	doc.Storm.Rain = 90
	doc.Rows[1].Spacing = 3
	doc.Rows[2].Line[1][1] += 2
	doc.Rows = append(doc.Rows[:4], doc.Rows[5:]...)
	doc.Rows = append(doc.Rows, docRow{Name: "G", Line: [][2]float64{{500105, 3100020}, {500145, 3100020}}, Spacing: 4, Pattern: []string{"Morus rubra", ""}, Gaps: [][2]float64{{8, 12}}})
	doc.Trees = []docTree{
		{ID: "A-3", Species: "Nyssa aquatica", Mound: 0.25},
		{ID: "E-4", Mound: 0.3}, // of the row that goes
		{ID: "D-5", At: &[2]float64{500117, 3100046}, Trial: true},
	}
	require.Equal(t, 200, ask(t, url+"/api/save", saving{doc, begin.Hash}, &done))
	after, err := os.ReadFile(path)
	require.NoError(t, err)
	text := string(after)
	assert.Equal(t, digest(after), done.Hash)
	assert.Contains(t, text, "# Heron Bend is invented")
	assert.Contains(t, text, "vertical_error = \"3 cm\"             # one standard deviation")
	assert.Contains(t, text, "rain     = \"90 mm\"\n")
	assert.NotContains(t, text, `name    = "E"`)
	assert.Contains(t, text, "[[row]]\nname    = \"G\"\nline    = [[500105.00, 3100020.00], [500145.00, 3100020.00]]\nspacing = \"4 m\"\npattern = [\"Morus rubra\", \"-\"]\ngaps    = [[\"8 m\", \"12 m\"]]\n")
	assert.Contains(t, text, "[[tree]]\nid      = \"A-3\"\nspecies = \"Nyssa aquatica\"\nmound   = \"0.25 m\"\n\n[[tree]]\nid    = \"D-5\"\ntrial = true\nat    = [500117.00, 3100046.00]\n")
	assert.NotContains(t, text, "E-4")
	kept := 0
	for _, l := range strings.Split(string(before), "\n") {
		if strings.Contains(text, l) {
			kept++
		}
	}
	assert.GreaterOrEqual(t, kept, strings.Count(string(before), "\n")-8, "all other lines stay as they were")
	left, err := filepath.Glob(filepath.Join(filepath.Dir(path), ".wetfeet-*"))
	require.NoError(t, err)
	assert.Empty(t, left)

	// The page goes on from what was saved.
	doc = done.Document
	require.Len(t, doc.Trees, 2)
	assert.Equal(t, [2]float64{500117, 3100046}, *doc.Trees[1].At)
	doc.Storm.Rain = 91
	doc.Trees = []docTree{{ID: "A-3", Species: "Nyssa aquatica"}}
	require.Equal(t, 200, ask(t, url+"/api/save", saving{doc, done.Hash}, &done))
	after, _ = os.ReadFile(path)
	assert.Contains(t, string(after), "[[tree]]\nid      = \"A-3\"\nspecies = \"Nyssa aquatica\"\n")
	assert.NotContains(t, string(after), "D-5")
	assert.NotContains(t, string(after), "mound ")
}

func TestAChangeMadeMeanwhileIsNotWrittenOver(t *testing.T) {
	path := heronBend(t)
	_, url, begin := begun(t, path)
	text, err := os.ReadFile(path)
	require.NoError(t, err)
	edited := append([]byte("# edited\n"), text...)
	require.NoError(t, os.WriteFile(path, edited, 0o644))

	doc := begin.Document
	doc.Storm.Rain = 90
	var p problem
	assert.Equal(t, 409, ask(t, url+"/api/save", saving{doc, begin.Hash}, &p))
	assert.Equal(t, "changed", p.Kind)
	now, _ := os.ReadFile(path)
	assert.Equal(t, string(edited), string(now))

	var st struct {
		Changed bool
		Broken  string
	}
	require.Equal(t, 200, ask(t, url+"/api/status", nil, &st))
	assert.True(t, st.Changed)
	require.NoError(t, os.WriteFile(path, []byte("name = \n"), 0o644))
	require.Equal(t, 200, ask(t, url+"/api/status", nil, &st))
	assert.Contains(t, st.Broken, "heron-bend.toml:1")
	assert.Equal(t, 409, ask(t, url+"/api/save", saving{doc, begin.Hash}, &p))
}

// Two pages on one site: the second to save is told.
func TestTwoPagesDoNotWriteOverEachOther(t *testing.T) {
	_, url, begin := begun(t, heronBend(t))
	doc := begin.Document
	doc.Storm.Rain = 90
	var done saved
	require.Equal(t, 200, ask(t, url+"/api/save", saving{doc, begin.Hash}, &done))
	doc.Storm.Rain = 80
	var p problem
	assert.Equal(t, 409, ask(t, url+"/api/save", saving{doc, begin.Hash}, &p))
}

func TestAFolderThatCannotBeWrittenToIsTold(t *testing.T) {
	path := heronBend(t)
	_, url, begin := begun(t, path)
	require.NoError(t, os.Chmod(filepath.Dir(path), 0o555))
	t.Cleanup(func() { _ = os.Chmod(filepath.Dir(path), 0o755) })
	becomeNobody(t)
	doc := begin.Document
	doc.Storm.Rain = 90
	var p problem
	assert.Equal(t, 507, ask(t, url+"/api/save", saving{doc, begin.Hash}, &p))
	assert.Equal(t, "readonly", p.Kind)
	require.Equal(t, 200, ask(t, url+"/api/site", nil, &begin))
	assert.NotEmpty(t, begin.Writable)
}

// becomeNobody gives up the rights of the superuser until the test is over, who
// may write anywhere.
func becomeNobody(t *testing.T) {
	t.Helper()
	if os.Geteuid() != 0 {
		return
	}
	for dir := t.TempDir(); dir != filepath.Dir(dir); dir = filepath.Dir(dir) {
		if info, err := os.Stat(dir); err == nil && info.Mode().Perm()&0o5 != 0o5 && strings.Contains(dir, t.Name()) {
			require.NoError(t, os.Chmod(dir, 0o755))
		}
	}
	const nobody = 65534
	require.NoError(t, syscall.Seteuid(nobody))
	t.Cleanup(func() { require.NoError(t, syscall.Seteuid(0)) })
}

// saverEnv names the site that a second process of this test saves again and
// again, until it is killed.
const saverEnv = "WETFEET_TEST_SAVER"

func TestMain(m *testing.M) {
	if path := os.Getenv(saverEnv); path != "" {
		saveForever(path)
	}
	os.Exit(m.Run())
}

func saveForever(path string) {
	d := &desk{o: Options{Plan: planOf}}
	for i := 0; ; i++ {
		text, err := readSite(path)
		if err != nil {
			panic(err)
		}
		was, err := planOf(path)
		if err != nil {
			panic(err)
		}
		now := was
		now.Rain.Rain = float64(50 + i%200)
		next, err := rewrite.Site(string(text), was, now)
		if err != nil {
			panic(err)
		}
		if next == string(text) {
			continue
		}
		if err := d.write(&sheet{path: path, hash: digest(text)}, next, now); err != nil {
			panic(err)
		}
		fmt.Println(next[:10])
	}
}

// A process that saves all the time is killed without warning, at any moment
// of it: the site is a whole one each time, with all its rows.
func TestKilledInTheMiddleOfASave(t *testing.T) {
	path := heronBend(t)
	times := 12
	if testing.Short() {
		times = 3
	}
	self, err := os.Executable()
	require.NoError(t, err)
	rains := map[float64]bool{}
	for range times {
		c := exec.Command(self)
		c.Env = append(os.Environ(), saverEnv+"="+path)
		out, err := c.StdoutPipe()
		require.NoError(t, err)
		require.NoError(t, c.Start())
		_, err = out.Read(make([]byte, 1)) // the first save is done
		require.NoError(t, err)
		time.Sleep(time.Duration(rand.IntN(15000)) * time.Microsecond)
		require.NoError(t, c.Process.Signal(syscall.SIGKILL))
		_ = c.Wait()
		p, err := planOf(path)
		require.NoError(t, err)
		require.Len(t, p.Rows, 6)
		rains[p.Rain.Rain] = true
	}
	assert.Greater(t, len(rains), 1, "saves were done between")
}

// The answer that a page has is the one it goes on from once that is saved,
// with the plan as the file now reads.
func TestSavingWorksNothingOutAnew(t *testing.T) {
	path := heronBend(t)
	d, url, begin := begun(t, path)
	doc := begin.Document
	doc.Storm.Rain = 90
	doc.Rows[2].Line[1][1] += 2.0004 // finer than a file has it
	var told reply
	require.Equal(t, 200, ask(t, url+"/api/judge", question{doc, "metric", "likely"}, &told))
	had := d.open.likely.Load()
	var done saved
	require.Equal(t, 200, ask(t, url+"/api/save", saving{doc, begin.Hash}, &done))
	assert.Same(t, had.Storm, d.open.result.Storm)

	fresh, err := planOf(path)
	require.NoError(t, err)
	assert.Equal(t, fresh.Rows, d.open.result.Plan().Rows, "to the last digit")
	again, err := d.open.works.opened.Again(t.Context(), d.open.result.Plan(), nil)
	require.NoError(t, err)
	for i := range again.Trees {
		a, b := &again.Trees[i], &had.Trees[i]
		assert.InDelta(t, a.Point[1], b.Point[1], 0.006)
		assert.Equal(t, a.Risk, b.Risk)
	}
	written, err := os.ReadFile(path)
	require.NoError(t, err)
	require.Equal(t, 200, ask(t, url+"/api/save", saving{done.Document, done.Hash}, &done))
	same, err := os.ReadFile(path)
	require.NoError(t, err)
	assert.Equal(t, string(written), string(same), "nothing is left to write")

	// Another storm than the one that was answered last is worked out.
	doc.Storm.Hours = 3
	require.Equal(t, 200, ask(t, url+"/api/save", saving{doc, done.Hash}, &done))
	assert.Equal(t, 3.0, d.open.result.Storm.Duration.Hours())
}
