package outdir

import (
	"errors"
	"fmt"
	"io/fs"
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"syscall"
	"testing"

	"wetfeet/cmd/internal/fault"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// tree is everything below a folder: files with their content, folders with a
// slash behind them, links with an arrow.
func tree(t testing.TB, dir string) map[string]string {
	t.Helper()
	found := map[string]string{}
	require.NoError(t, filepath.WalkDir(dir, func(path string, e fs.DirEntry, err error) error {
		if err != nil || path == dir {
			return err
		}
		name, err := filepath.Rel(dir, path)
		if err != nil {
			return err
		}
		switch {
		case e.IsDir():
			found[name+"/"] = ""
		case e.Type()&fs.ModeSymlink != 0:
			found[name], err = os.Readlink(path)
			found[name] = "-> " + found[name]
		default:
			var data []byte
			data, err = os.ReadFile(path)
			found[name] = string(data)
		}
		return err
	}))
	delete(found, manifest) // its own test reads it
	return found
}

// fill writes an answer: every file says which run wrote it.
func fill(d *Dir, run string, names ...string) error {
	for _, name := range names {
		if strings.HasSuffix(name, ".tif") { // as a raster library does
			path, err := d.Path(name)
			if err != nil {
				return err
			}
			if err := os.WriteFile(path, []byte(run+" "+name), 0o666); err != nil {
				return err
			}
			continue
		}
		f, err := d.Create(name)
		if err != nil {
			return err
		}
		if _, err := f.Write([]byte(run + " " + name)); err != nil {
			return err
		}
		if err := f.Close(); err != nil {
			return err
		}
	}
	return nil
}

// write makes a whole answer.
func write(dir string, force bool, step func(what, path string) error, run string, names ...string) error {
	d := &Dir{shown: dir, step: step}
	defer d.Abort()
	if err := d.begin(force); err != nil {
		return err
	}
	if err := fill(d, run, names...); err != nil {
		return err
	}
	return d.Commit()
}

func put(t testing.TB, path, text string) {
	t.Helper()
	require.NoError(t, os.MkdirAll(filepath.Dir(path), 0o755))
	require.NoError(t, os.WriteFile(path, []byte(text), 0o644))
}

// alone makes sure that nothing hidden is left beside the folder.
func alone(t testing.TB, dir string) {
	t.Helper()
	left, err := filepath.Glob(filepath.Join(filepath.Dir(dir), ".*"))
	require.NoError(t, err)
	assert.Empty(t, left)
}

var answer = []string{"risk.geojson", "summary.json", "grids/ground.tif", "grids/slope.tif"}

func TestAFolderAppearsWhole(t *testing.T) {
	dir := filepath.Join(t.TempDir(), "out")
	d, err := Begin(dir, false)
	require.NoError(t, err)
	require.NoError(t, d.Claim(answer...))
	require.NoError(t, fill(d, "first", answer...))
	assert.NoDirExists(t, dir, "nothing is there before Commit")
	require.NoError(t, d.Commit())
	d.Abort() // does nothing now

	assert.Equal(t, map[string]string{
		"risk.geojson": "first risk.geojson", "summary.json": "first summary.json",
		"grids/": "", "grids/ground.tif": "first grids/ground.tif", "grids/slope.tif": "first grids/slope.tif",
	}, tree(t, dir))
	alone(t, dir)
	assert.Empty(t, d.Left)
	assert.Error(t, d.Commit(), "once is enough")
	_, err = d.Create("late.txt")
	assert.Error(t, err)
}

// The manifest is in the form of the sha256sum program of the GNU core
// utilities, so that anybody can check an answer without this one.
func TestSha256sumReadsTheManifest(t *testing.T) {
	dir := filepath.Join(t.TempDir(), "out")
	require.NoError(t, write(dir, false, nil, "first", answer...))
	check := exec.Command("sha256sum", "--check", "--strict", manifest)
	check.Dir = dir
	out, err := check.CombinedOutput()
	require.NoError(t, err, "%s", out)
	assert.Equal(t, "grids/ground.tif: OK\ngrids/slope.tif: OK\nrisk.geojson: OK\nsummary.json: OK\n", string(out))
}

func TestAbortLeavesNothing(t *testing.T) {
	dir := filepath.Join(t.TempDir(), "out")
	d, err := Begin(dir, false)
	require.NoError(t, err)
	require.NoError(t, fill(d, "first", "a.txt"))
	_, err = d.Create("open.txt")
	require.NoError(t, err)
	assert.EqualError(t, d.Commit(), "outdir: open.txt is still open")
	d.Abort()
	d.Abort()
	assert.NoDirExists(t, dir)
	alone(t, dir)
}

func TestForceReplacesWhatAnEarlierRunWroteAndNothingElse(t *testing.T) {
	for _, exchanges := range []bool{true, false} {
		t.Run(fmt.Sprintf("on a disk that exchanges names: %v", exchanges), func(t *testing.T) {
			dir := filepath.Join(t.TempDir(), "out")
			require.NoError(t, write(dir, false, nil, "first", append(answer, "gone.txt", "old/only.tif")...))
			require.NoError(t, os.Chmod(dir, 0o750))
			put(t, filepath.Join(dir, "notes.txt"), "mine")
			put(t, filepath.Join(dir, "grids/style.qml"), "mine too")
			put(t, filepath.Join(dir, "photos/may/pond.jpg"), "a picture")
			require.NoError(t, os.Mkdir(filepath.Join(dir, "empty"), 0o700))
			require.NoError(t, os.Symlink("photos", filepath.Join(dir, "link")))
			require.NoError(t, os.Chmod(filepath.Join(dir, "photos"), 0o555))
			t.Cleanup(func() { _ = os.Chmod(filepath.Join(dir, "photos"), 0o755) })
			before, err := os.Stat(filepath.Join(dir, "notes.txt"))
			require.NoError(t, err)

			step := func(what, _ string) error {
				if what == "exchange" && !exchanges {
					return errNoExchange
				}
				return nil
			}
			require.NoError(t, write(dir, true, step, "second", answer...))
			assert.Equal(t, map[string]string{
				"risk.geojson": "second risk.geojson", "summary.json": "second summary.json",
				"grids/": "", "grids/ground.tif": "second grids/ground.tif", "grids/slope.tif": "second grids/slope.tif",
				"notes.txt": "mine", "grids/style.qml": "mine too", "photos/": "", "photos/may/": "", "photos/may/pond.jpg": "a picture",
				"empty/": "", "link": "-> photos",
			}, tree(t, dir))
			after, err := os.Stat(filepath.Join(dir, "notes.txt"))
			require.NoError(t, err)
			assert.True(t, os.SameFile(before, after), "the very file, not a copy of it")
			for name, mode := range map[string]fs.FileMode{"": 0o750, "empty": 0o700, "photos": 0o555} {
				info, err := os.Stat(filepath.Join(dir, name))
				require.NoError(t, err)
				assert.Equal(t, mode, info.Mode().Perm(), name)
			}
			alone(t, dir)
			require.NoError(t, write(dir, true, step, "third", "risk.geojson"), "and again")
			assert.NoFileExists(t, filepath.Join(dir, "summary.json"))
			alone(t, dir)
		})
	}
}

func TestADiskWithoutHardLinksGetsCopies(t *testing.T) {
	dir := filepath.Join(t.TempDir(), "out")
	require.NoError(t, write(dir, false, nil, "first", "a.txt"))
	put(t, filepath.Join(dir, "notes.txt"), "mine")
	require.NoError(t, write(dir, true, func(what, _ string) error {
		if what == "link" {
			return &os.LinkError{Op: "link", Err: syscall.EPERM}
		}
		return nil
	}, "second", "a.txt"))
	assert.Equal(t, map[string]string{"a.txt": "second a.txt", "notes.txt": "mine"}, tree(t, dir))
	alone(t, dir)
}

func TestFoldersThatCannotBeUsed(t *testing.T) {
	parent := t.TempDir()
	t.Chdir(parent)
	put(t, "file", "x")
	require.NoError(t, os.Symlink("elsewhere", "link"))
	require.NoError(t, os.MkdirAll("there/below", 0o755))
	for _, tt := range []struct {
		dir   string
		force bool
		want  string
	}{
		{" ", false, `" " is not the name of a folder`},
		{"a\x00b", false, `"a\x00b" is not the name of a folder`},
		{"/", true, "/ is the root of the disk; name a folder below it"},
		{"no/such/out", false, "no/such/out: the folder it is to be in, no/such, is not there"},
		{"file/out", false, "file/out: file is a file and not a folder"},
		{"file", true, "file is a file; name a folder that is not there yet"},
		{"link", true, "link is a link; name the folder itself"},
		{"there", false, "there is there already; --force replaces what an earlier run wrote there, or name another folder"},
		{".", true, ". is the folder you are in; name another"},
		{"..", true, ".. is the folder you are in; name another"},
		{strings.Repeat("x", 300), false, strings.Repeat("x", 300) + ": the name is too long"},
	} {
		d, err := Begin(tt.dir, tt.force)
		assert.EqualError(t, err, tt.want)
		assert.ErrorIs(t, err, ErrInput)
		assert.NotErrorIs(t, err, ErrMachine)
		assert.True(t, fault.IsInput(err))
		assert.Nil(t, d)
	}
	assert.Equal(t, map[string]string{"file": "x", "link": "-> elsewhere", "there/": "", "there/below/": ""}, tree(t, parent))
}

func TestFilesOfOthersInTheWay(t *testing.T) {
	dir := filepath.Join(t.TempDir(), "out")
	put(t, filepath.Join(dir, "map.png"), "mine")
	put(t, filepath.Join(dir, "grids"), "a file where a folder is to be")
	put(t, filepath.Join(dir, "report.html/x"), "a folder where a file is to be")
	before := tree(t, dir)
	d, err := Begin(dir, true)
	require.NoError(t, err, "an answer with other names could be written")
	err = d.Claim("map.png", "grids/slope.tif", "report.html", "fine.txt")
	assert.EqualError(t, err, dir+"/map.png was not written by an earlier run; move it away, or name another folder\n"+
		dir+"/grids was not written by an earlier run; move it away, or name another folder\n"+
		dir+"/report.html was not written by an earlier run; move it away, or name another folder")
	assert.ErrorIs(t, err, ErrInput)
	_, err = d.Create("map.png")
	assert.Error(t, err)
	d.Abort()
	assert.Equal(t, before, tree(t, dir))
	alone(t, dir)
}

func TestAFileThatWasChangedIsNotReplaced(t *testing.T) {
	dir := filepath.Join(t.TempDir(), "out")
	require.NoError(t, write(dir, false, nil, "first", "stakes.csv", "map.png"))
	put(t, filepath.Join(dir, "stakes.csv"), "first stakes.cvs") // as long as before
	err := write(dir, true, nil, "second", "stakes.csv", "map.png")
	assert.EqualError(t, err, dir+"/stakes.csv was changed after it was written; move it away, or name another folder")
	assert.ErrorIs(t, err, ErrInput)
	assert.Equal(t, map[string]string{"stakes.csv": "first stakes.cvs", "map.png": "first map.png"}, tree(t, dir))

	require.NoError(t, write(dir, true, nil, "second", "map.png"), "it is in nobody's way")
	assert.Equal(t, map[string]string{"stakes.csv": "first stakes.cvs", "map.png": "second map.png"}, tree(t, dir))
	alone(t, dir)
}

func TestAFileThatIsWrittenWhileTheRunComputes(t *testing.T) {
	dir := filepath.Join(t.TempDir(), "out")
	require.NoError(t, write(dir, false, nil, "first", "a.txt"))
	d, err := Begin(dir, true)
	require.NoError(t, err)
	defer d.Abort()
	require.NoError(t, fill(d, "second", "a.txt", "b.txt"))
	put(t, filepath.Join(dir, "notes.txt"), "mine")
	put(t, filepath.Join(dir, "b.txt"), "mine")
	err = d.Commit()
	assert.EqualError(t, err, dir+"/b.txt was not written by an earlier run; move it away, or name another folder")
	require.NoError(t, os.Remove(filepath.Join(dir, "b.txt")))
	assert.Equal(t, map[string]string{"a.txt": "first a.txt", "notes.txt": "mine"}, tree(t, dir))
}

func TestManifestsThatCannotBeTrusted(t *testing.T) {
	zeros := strings.Repeat("0", 64)
	for text, line := range map[string]int{
		"notes.txt\n":                              1,
		strings.Repeat("g", 64) + "  a\n":          1,
		zeros[1:] + "  a\n":                        1,
		"# x\n" + zeros + "  ../outside.txt\n":     2,
		"# x\n\n" + zeros + "  /etc/hosts\n":       3,
		zeros + "  a\n" + zeros + "  grids/../b\n": 2,
	} {
		parent := t.TempDir()
		dir := filepath.Join(parent, "out")
		put(t, filepath.Join(parent, "outside.txt"), "mine")
		put(t, filepath.Join(dir, manifest), text)
		err := write(dir, true, nil, "second", "a.txt")
		assert.EqualError(t, err, fmt.Sprintf("%s, line %d: is not a sum and the name of a file; name another folder", filepath.Join(dir, manifest), line))
		assert.ErrorIs(t, err, ErrInput)
		assert.FileExists(t, filepath.Join(parent, "outside.txt"))
	}
}

func TestNamesThatNoFileCanHave(t *testing.T) {
	d, err := Begin(filepath.Join(t.TempDir(), "out"), false)
	require.NoError(t, err)
	defer d.Abort()
	for _, name := range []string{"", ".", "..", "../x", "/x", "a//b", "a/../b", "./a", "a\nb", `a\b`, manifest, filling} {
		_, err := d.Create(name)
		assert.Error(t, err, "%q", name)
	}
	require.NoError(t, fill(d, "x", "a"))
	_, err = d.Create("a")
	assert.EqualError(t, err, "outdir: a is written twice")
	_, err = d.Path("b.tif")
	require.NoError(t, err)
	assert.ErrorContains(t, d.Commit(), "b.tif: was promised and not written")
}

// The system's own words are hidden behind plain ones, and whose fault it is
// decides the exit status.
func TestFailuresSayWhoseFaultTheyAre(t *testing.T) {
	for _, tt := range []struct {
		cause error
		want  string
		whose error
	}{
		{syscall.ENOSPC, "/a.txt: the disk is full", ErrMachine},
		{syscall.EDQUOT, "/a.txt: the disk is full", ErrMachine},
		{syscall.EIO, "/a.txt: input/output error", ErrMachine},
		{syscall.EACCES, "/a.txt: may not be written there; name a folder in a place of your own", ErrInput},
		{syscall.EROFS, "/a.txt: the disk is read-only; name a folder on another", ErrInput},
	} {
		for _, at := range []string{"create", "write", "close", "sync"} {
			dir := filepath.Join(t.TempDir(), "out")
			err := write(dir, false, func(what, path string) error {
				if what == at && path == "a.txt" {
					return &fs.PathError{Op: what, Path: path, Err: tt.cause}
				}
				return nil
			}, "first", "a.txt")
			assert.EqualError(t, err, dir+tt.want)
			assert.ErrorIs(t, err, tt.whose)
			assert.ErrorIs(t, err, tt.cause)
			assert.Equal(t, tt.whose == ErrInput, fault.IsInput(err))
			assert.NoDirExists(t, dir)
			alone(t, dir)
		}
	}
}

// A writer that does not look at its errors must not get half a file in place.
func TestAFailureThatNobodyLookedAtStopsTheCommit(t *testing.T) {
	dir := filepath.Join(t.TempDir(), "out")
	full := true
	d := &Dir{shown: dir, step: func(what, _ string) error {
		if what == "write" && full {
			return syscall.ENOSPC
		}
		return nil
	}}
	require.NoError(t, d.begin(false))
	defer d.Abort()
	f, err := d.Create("a.txt")
	require.NoError(t, err)
	_, _ = f.Write([]byte("lost"))
	full = false
	require.NoError(t, f.Close())
	assert.EqualError(t, d.Commit(), dir+"/a.txt: the disk is full")
	assert.NoDirExists(t, dir)
}

var errStop = errors.New("stopped here")

// whole makes sure that a folder is the old answer or the new one.
func whole(t *testing.T, dir string, old, new map[string]string) (isNew bool) {
	t.Helper()
	if _, err := os.Lstat(dir); errors.Is(err, fs.ErrNotExist) {
		require.Nil(t, old, "there was one before")
		return false
	}
	now := tree(t, dir)
	if now["a.txt"] == new["a.txt"] {
		require.Equal(t, new, now)
		return true
	}
	require.Equal(t, old, now)
	return false
}

// run makes an answer, without cleaning up. A panic is the end of the machine.
func run(d *Dir, force bool, who string, names []string) (err error) {
	defer func() {
		if r := recover(); r != nil {
			err = errStop
		}
	}()
	if err := d.begin(force); err != nil {
		return err
	}
	if err := fill(d, who, names...); err != nil {
		return err
	}
	return d.Commit()
}

func unflushed(*os.File) error { return nil }

// Every change to the disk is made to fail, one after the other, and then
// every change is made the last one before the machine stops: nothing is
// cleaned up. Either way the folder is the old one whole or the new one whole,
// and the next run succeeds and leaves nothing behind.
func TestStoppedAtEveryStepTheFolderIsWhole(t *testing.T) {
	names := []string{"a.txt", "grids/b.tif"}
	for _, earlier := range []bool{false, true} {
		for _, exchanges := range []bool{true, false} {
			if !earlier && !exchanges {
				continue // nothing to exchange
			}
			for _, crash := range []bool{false, true} {
				t.Run(fmt.Sprintf("an earlier answer %v, names exchanged %v, crash %v", earlier, exchanges, crash), func(t *testing.T) {
					olds, news := 0, 0
					for n := 1; ; n++ {
						dir := filepath.Join(t.TempDir(), "out")
						var old map[string]string
						fresh := map[string]string{"a.txt": "second a.txt", "grids/": "", "grids/b.tif": "second grids/b.tif"}
						if earlier {
							require.NoError(t, run(&Dir{shown: dir, flush: unflushed}, false, "first", append(names, "gone.txt")))
							put(t, filepath.Join(dir, "notes.txt"), "mine")
							put(t, filepath.Join(dir, "grids/mine.qml"), "mine")
							old = tree(t, dir)
							fresh["notes.txt"], fresh["grids/mine.qml"] = "mine", "mine"
						}
						steps, between := 0, false
						step := func(what, path string) error {
							if what == "exchange" && !exchanges {
								return errNoExchange
							}
							if steps++; steps == n {
								// Only where names cannot be exchanged may there
								// be no folder, between the two renames.
								_, err := os.Lstat(dir)
								between = earlier && !exchanges && errors.Is(err, fs.ErrNotExist)
								if crash {
									panic(errStop)
								}
								return errStop
							}
							return nil
						}
						d := &Dir{shown: dir, step: step, flush: unflushed}
						err := run(d, earlier, "second", names)
						if d.lock != nil && crash { // the system takes the locks of a dead process away
							d.lock.Close()
						}
						if !crash {
							d.Abort()
						}
						if steps < n {
							require.NoError(t, err)
							break
						}
						if !(between && crash) {
							if whole(t, dir, old, fresh) {
								news++
							} else {
								olds++
							}
						}
						if !crash && d.Left == "" {
							alone(t, dir)
						}
						_, there := os.Lstat(dir)
						again := &Dir{shown: dir, flush: unflushed}
						require.NoError(t, again.begin(true))
						if between || there == nil {
							whole(t, dir, old, fresh) // put back, if it was away
						}
						require.NoError(t, fill(again, "second", names...))
						require.NoError(t, again.Commit())
						if old == nil {
							require.Equal(t, map[string]string{"a.txt": "second a.txt", "grids/": "", "grids/b.tif": "second grids/b.tif"}, tree(t, dir))
						} else {
							require.Equal(t, fresh, tree(t, dir))
						}
						alone(t, dir)
					}
					assert.Greater(t, olds, 5, "stops before the new one was in place")
					assert.Greater(t, news, 0, "stops after it")
				})
			}
		}
	}
}

// A library that writes by path knows the hidden folder only.
func TestAFileMadeByPathIsToldByItsName(t *testing.T) {
	dir := filepath.Join(t.TempDir(), "out")
	d, err := Begin(dir, false)
	require.NoError(t, err)
	defer d.Abort()
	require.NoError(t, d.Make("grids/a.tif", func(path string) error { return os.WriteFile(path, []byte("a"), 0o666) }))
	err = d.Make("grids/b.tif", func(path string) error { return fmt.Errorf("%s: cannot be written: %w", path, syscall.ENOSPC) })
	assert.EqualError(t, err, dir+"/grids/b.tif: the disk is full")
	assert.ErrorIs(t, err, ErrMachine)
	assert.EqualError(t, d.Commit(), dir+"/grids/b.tif: the disk is full")
	assert.NoDirExists(t, dir)
}
