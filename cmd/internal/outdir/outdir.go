// Package outdir makes the folder an answer is written into. The folder
// appears whole or not at all.
//
// # Model
//
// [Begin] makes a new folder beside the wanted one, in the same parent and so
// on the same disk, and everything is written there. [Dir.Commit] then
//
//  1. reads every file back, asks the disk to confirm it (fsync), and lists it
//     with its SHA-256 in .wetfeet-manifest, in the form sha256sum -c reads;
//  2. where an earlier folder is to be replaced, brings over whatever in it is
//     not ours, by hard link or, where the disk has none, by copy;
//  3. confirms the folders of the new one;
//  4. puts the new folder in place: by one rename where there was none, by one
//     exchange of names where there was one;
//  5. confirms the parent, and clears away what was replaced.
//
// Until step 4 nothing that was there is touched. Step 4 is one operation of
// the file system, so a crash, a kill or a power cut leaves the old folder
// whole or the new one whole, with at most a hidden folder beside it that the
// next run clears away. POSIX knows no exchange; Linux and macOS do, on most
// disks. On the others step 4 is two renames, old away and new in. A crash
// between the two leaves no folder for the moment, and the next Begin puts the
// old one back.
//
// Ours is what the manifest of the earlier run lists and what still has the
// content it was written with. A file that was changed since, or that no run
// wrote, is kept; where it has a name that is needed, the run is refused. A
// file that is written into the earlier folder by another program during step
// 2 or later may be left in the hidden folder, which is then not cleared away.
//
// # Limits
//
// Made for POSIX systems. Owners and access lists of foreign folders are not
// carried over, only their mode and times. A folder that is a link, a mount
// point or the folder one stands in is refused.
package outdir

import (
	"errors"
	"fmt"
	"io/fs"
	"math/rand/v2"
	"os"
	"path/filepath"
	"strings"
	"sync"
	"syscall"

	"wetfeet/cmd/internal/fault"
)

// Whose fault a failure is, for the exit status.
var (
	// ErrInput: the folder is. Another one, or --force, would work. Such
	// errors are marked with [fault.Input] too.
	ErrInput = errors.New("the output folder is at fault")

	// ErrMachine: the machine is. Its disk is full or broken.
	ErrMachine = errors.New("the machine is at fault")
)

const (
	manifest = ".wetfeet-manifest"
	filling  = ".wetfeet-filling" // marks a folder that is not complete
)

// A Dir is a folder that is being filled. Files may be made and written by
// several goroutines; Commit and Abort are for one.
type Dir struct {
	shown   string // as the user named it, for messages
	path    string // absolute: where it is to be
	temp    string // absolute: where it is filled
	replace bool
	before  map[string]entry // what an earlier run and others left, by path
	lock    *os.File
	done    bool

	mu     sync.Mutex
	names  map[string]bool // of the files that Create and Path promised
	files  []*File         // that Create opened
	failed error           // the first failure to write

	// step runs before every change to the disk. Tests make it fail or stop
	// there; nil does nothing.
	step func(what, path string) error

	// flush asks the disk to confirm a file; nil is fsync. The test that stops
	// at every step leaves it out, since no power is cut there.
	flush func(*os.File) error

	// Left is a hidden folder that could not be cleared away after Commit, for
	// a remark; empty if there is none.
	Left string
}

// Begin starts to fill dir. The parent of dir must be there. A dir that is
// there and not empty is replaced only with force, and then only what an
// earlier run wrote there. The error is [ErrInput] or [ErrMachine].
func Begin(dir string, force bool) (*Dir, error) {
	d := &Dir{shown: dir}
	if err := d.begin(force); err != nil {
		d.Abort()
		return nil, err
	}
	return d, nil
}

func (d *Dir) begin(force bool) (err error) {
	dir := d.shown
	d.names = map[string]bool{}
	if strings.TrimSpace(dir) == "" || strings.ContainsRune(dir, 0) {
		return refuse("%q is not the name of a folder", dir)
	}
	if d.path, err = filepath.Abs(dir); err != nil {
		return d.blame("", err)
	}
	parent := filepath.Dir(d.path)
	if parent == d.path {
		return refuse("%s is the root of the disk; name a folder below it", dir)
	}
	switch info, err := os.Stat(parent); {
	case errors.Is(err, fs.ErrNotExist), errors.Is(err, syscall.ENOTDIR):
		return refuse("%s: the folder it is to be in, %s, is not there", dir, filepath.Dir(filepath.Clean(dir)))
	case err != nil:
		return d.blame("", err)
	case !info.IsDir():
		return refuse("%s: %s is a file and not a folder", dir, filepath.Dir(filepath.Clean(dir)))
	}
	if err := d.restore(); err != nil {
		return err
	}
	if err := d.look(force); err != nil {
		return err
	}
	d.tidy()
	return d.makeTemp()
}

// look finds what is there already.
func (d *Dir) look(force bool) error {
	info, err := os.Lstat(d.path)
	switch {
	case errors.Is(err, fs.ErrNotExist):
		return nil
	case err != nil:
		return d.blame("", err)
	case info.Mode()&fs.ModeSymlink != 0:
		return refuse("%s is a link; name the folder itself", d.shown)
	case !info.IsDir():
		return refuse("%s is a file; name a folder that is not there yet", d.shown)
	case !force && !empty(d.path):
		return refuse("%s is there already; --force replaces what an earlier run wrote there, or name another folder", d.shown)
	}
	if here, err := os.Getwd(); err == nil {
		if inside, err := filepath.Rel(d.path, here); err == nil && (inside == "." || filepath.IsLocal(inside)) {
			return refuse("%s is the folder you are in; name another", d.shown)
		}
	}
	d.replace = true
	d.before, err = d.scan(d.path, nil)
	return err
}

// empty reports whether a folder holds nothing that could be lost.
func empty(dir string) bool {
	entries, err := os.ReadDir(dir)
	return err == nil && len(entries) == 0
}

// makeTemp makes the folder that is filled, with a mark in it that says so. As
// long as this run lives it holds a lock on the folder, by which other runs
// know that it is not to be cleared away.
func (d *Dir) makeTemp() error {
	for range 100 {
		d.temp = d.beside("new", rand.Uint64())
		err := d.do("mkdir", d.temp, func() error { return os.Mkdir(d.temp, 0o777) })
		if errors.Is(err, fs.ErrExist) {
			continue
		}
		if err == nil {
			d.lock, err = os.Open(d.temp)
		} else {
			d.temp = ""
		}
		if err == nil {
			// A disk without locks refuses them to other runs too, and those
			// then leave the folder alone.
			_ = syscall.Flock(int(d.lock.Fd()), syscall.LOCK_EX|syscall.LOCK_NB)
			err = d.do("create", filling, func() error { return os.WriteFile(filepath.Join(d.temp, filling), nil, 0o666) })
		}
		if errors.Is(err, fs.ErrNotExist) && d.lock != nil {
			d.lock.Close() // cleared away by another run before the lock was on it
			continue
		}
		return d.blame("", err)
	}
	return d.blame("", errors.New("no hidden folder could be made beside it"))
}

// beside is the path of a hidden sibling of the folder.
func (d *Dir) beside(kind string, n uint64) string {
	return filepath.Join(filepath.Dir(d.path), fmt.Sprintf(".%s.%s-%016x", filepath.Base(d.path), kind, n))
}

// siblings are the hidden folders of one kind beside the folder, by name.
func (d *Dir) siblings(kind string) []string {
	parent := filepath.Dir(d.path)
	entries, err := os.ReadDir(parent)
	if err != nil {
		return nil
	}
	prefix := "." + filepath.Base(d.path) + "." + kind + "-"
	var paths []string
	for _, e := range entries {
		if rest, ok := strings.CutPrefix(e.Name(), prefix); ok && e.IsDir() && len(rest) == 16 && strings.Trim(rest, "0123456789abcdef") == "" {
			paths = append(paths, filepath.Join(parent, e.Name()))
		}
	}
	return paths
}

// restore puts the old folder back where a run was stopped between taking it
// away and putting the new one in its place.
func (d *Dir) restore() error {
	old := d.siblings("old")
	if _, err := os.Lstat(d.path); !errors.Is(err, fs.ErrNotExist) || len(old) == 0 {
		return nil
	}
	if len(old) > 1 {
		return refuse("%s is not there, but %d folders beside it hold what it had, such as %s; rename the right one", d.shown, len(old), filepath.Base(old[0]))
	}
	return d.blame("", d.do("rename", old[0], func() error { return os.Rename(old[0], d.path) }))
}

// tidy clears away what runs that were stopped have left beside the folder. It
// is a courtesy: what cannot be cleared away stays.
func (d *Dir) tidy() {
	for _, path := range d.siblings("new") {
		if folder, err := os.Open(path); err == nil {
			if syscall.Flock(int(folder.Fd()), syscall.LOCK_EX|syscall.LOCK_NB) == nil {
				d.clear(path)
			}
			folder.Close()
		}
	}
	for _, path := range d.siblings("old") {
		d.sweepStale(path)
	}
}

// clear takes a folder away that no run fills any more.
func (d *Dir) clear(path string) {
	if _, err := os.Lstat(filepath.Join(path, filling)); err != nil {
		d.sweepStale(path) // it was complete, or it is what a complete one was exchanged for
		return
	}
	// All in it is ours, or a second link to or a copy of what is in place.
	removeAll(path)
}

// removeAll takes a hidden folder away, also where folders of others in it
// were brought over with a mode that forbids it.
func removeAll(path string) {
	unlock(path)
	_ = os.RemoveAll(path)
}

// unlock lets the owner change every folder of a tree.
func unlock(path string) {
	_ = filepath.WalkDir(path, func(path string, e fs.DirEntry, err error) error {
		if err == nil && e.IsDir() {
			_ = os.Chmod(path, 0o700)
		}
		return nil
	})
}

func (d *Dir) sweepStale(path string) {
	if entries, err := d.scan(path, nil); err == nil {
		_ = d.sweep(path, entries)
	}
}

// Abort forgets everything that was written. After Commit it does nothing, so
// it can be deferred.
func (d *Dir) Abort() {
	if d.done {
		return
	}
	d.done = true
	for _, f := range d.files {
		if !f.closed {
			f.file.Close()
		}
	}
	if d.temp != "" {
		removeAll(d.temp)
	}
	if d.lock != nil {
		d.lock.Close()
	}
}

// do makes one change to the disk.
func (d *Dir) do(what, path string, change func() error) error {
	if d.step != nil {
		if err := d.step(what, path); err != nil {
			return err
		}
	}
	return change()
}

// sync asks the disk to confirm a file or folder.
func (d *Dir) sync(name string, f *os.File) error {
	return d.do("sync", name, func() error {
		if d.flush != nil {
			return d.flush(f)
		}
		return f.Sync()
	})
}

// refuse is an error that another folder or --force would mend.
func refuse(format string, args ...any) error {
	return fault.Input(&failure{fmt.Sprintf(format, args...), ErrInput, nil})
}

// A failure is what went wrong in words, whose fault it is, and the cause.
type failure struct {
	text  string
	whose error
	cause error
}

func (f *failure) Error() string { return f.text }

func (f *failure) Unwrap() []error {
	if f.cause == nil {
		return []error{f.whose}
	}
	return []error{f.whose, f.cause}
}

// blame tells what the system said about a file of the folder, or about the
// folder itself where name is empty, and whose fault that is. Nil stays nil,
// and an error that was told already stays as it is.
func (d *Dir) blame(name string, err error) error {
	if told, ok := errors.AsType[*failure](err); err == nil || ok && told != nil {
		return err
	}
	where := d.shown
	if name != "" {
		where = filepath.Join(d.shown, filepath.FromSlash(name))
	}
	cause := err
	if number, ok := errors.AsType[syscall.Errno](err); ok {
		cause = number
	}
	switch {
	case errors.Is(err, syscall.ENOSPC), errors.Is(err, syscall.EDQUOT):
		return &failure{where + ": the disk is full", ErrMachine, err}
	case errors.Is(err, fs.ErrPermission):
		return fault.Input(&failure{where + ": may not be written there; name a folder in a place of your own", ErrInput, err})
	case errors.Is(err, syscall.EROFS):
		return fault.Input(&failure{where + ": the disk is read-only; name a folder on another", ErrInput, err})
	case errors.Is(err, syscall.ENAMETOOLONG):
		return fault.Input(&failure{where + ": the name is too long", ErrInput, err})
	case errors.Is(err, syscall.EBUSY), errors.Is(err, syscall.EXDEV):
		return fault.Input(&failure{where + ": the folder cannot be moved, as it is where a disk is mounted; name a folder below it", ErrInput, err})
	case errors.Is(err, syscall.ENOTEMPTY), errors.Is(err, fs.ErrExist), errors.Is(err, syscall.ENOTDIR):
		return fault.Input(&failure{where + ": appeared while this run was filling it; another run may have written it", ErrInput, err})
	}
	return &failure{fmt.Sprintf("%s: %v", where, cause), ErrMachine, err}
}
