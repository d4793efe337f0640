package outdir

import (
	"errors"
	"fmt"
	"io"
	"io/fs"
	"maps"
	"math/rand/v2"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"syscall"
)

// Commit puts the folder in its place. Until it has, nothing that was there is
// touched; after an error the old folder is as it was, and Abort clears the
// new one away.
func (d *Dir) Commit() error {
	if d.done {
		return errors.New("outdir: the folder is complete or given up")
	}
	if d.failed != nil {
		return d.failed
	}
	for _, f := range d.files {
		if !f.closed {
			return fmt.Errorf("outdir: %s is still open", f.name)
		}
	}
	if err := d.list(); err != nil {
		return err
	}
	if d.replace {
		if err := d.carryOver(); err != nil {
			return err
		}
	}
	if err := d.seal(); err != nil {
		return err
	}
	old, err := d.moveIn()
	if err != nil {
		return err
	}
	// The new folder is in place and complete: what fails from here on is no
	// reason to say that it is not.
	d.done = true
	d.lock.Close()
	confirmed := d.blame("", d.syncDir(filepath.Dir(d.path)))
	if old != "" && d.sweep(old, d.before) != nil {
		d.Left = old
	}
	return confirmed
}

// list confirms every file and writes the manifest. Files that a library has
// put beside its own are listed too: nothing in the new folder is anyone
// else's yet.
func (d *Dir) list() error {
	names := maps.Clone(d.names)
	err := filepath.WalkDir(d.temp, func(path string, e fs.DirEntry, err error) error {
		if err != nil || e.IsDir() || e.Name() == filling {
			return err
		}
		rel, err := filepath.Rel(d.temp, path)
		names[filepath.ToSlash(rel)] = true
		return err
	})
	if err != nil {
		return d.blame("", err)
	}
	d.names = names
	var lines strings.Builder
	lines.WriteString("# Written by wetfeet. --force replaces these files, if they are as they were, and nothing else.\n")
	for _, name := range slices.Sorted(maps.Keys(names)) {
		sum, err := d.confirm(name)
		if err != nil {
			return d.blame(name, err)
		}
		fmt.Fprintf(&lines, "%s  %s\n", sum, name)
	}
	err = d.do("create", manifest, func() error {
		return os.WriteFile(filepath.Join(d.temp, manifest), []byte(lines.String()), 0o666)
	})
	if err == nil {
		_, err = d.confirm(manifest)
	}
	return d.blame(manifest, err)
}

// confirm asks the disk for a file and returns its sum. A file that a writer
// promised and did not make is a mistake of the program.
func (d *Dir) confirm(name string) (sum256 string, err error) {
	path := filepath.Join(d.temp, filepath.FromSlash(name))
	if info, err := os.Lstat(path); err != nil || !info.Mode().IsRegular() {
		return "", errors.New("was promised and not written")
	}
	f, err := os.Open(path)
	if err != nil {
		return "", err
	}
	defer f.Close()
	if err := d.sync(name, f); err != nil {
		return "", err
	}
	return sum(f)
}

// carryOver brings what is not ours from the old folder into the new one, so
// that one exchange of names brings it along.
func (d *Dir) carryOver() error {
	now, err := d.scan(d.path, d.before)
	if err != nil {
		return err
	}
	d.before = now
	var told []error
	for _, name := range slices.Sorted(maps.Keys(d.names)) {
		told = append(told, d.inTheWay(name))
	}
	if err := errors.Join(told...); err != nil {
		return err
	}
	var folders []string
	for _, name := range slices.Sorted(maps.Keys(now)) { // a folder before what is in it
		if e := now[name]; e.ours {
			continue
		} else if e.info.IsDir() {
			if !d.needed(name, now) {
				continue // it held our files alone
			}
			folders = append(folders, name)
		}
		if err := d.carry(name, now[name].info); err != nil {
			return d.blame(name, err)
		}
	}
	for _, name := range slices.Backward(folders) {
		t := now[name].info.ModTime()
		path := filepath.Join(d.temp, filepath.FromSlash(name))
		if err := errors.Join(os.Chmod(path, now[name].info.Mode().Perm()), os.Chtimes(path, t, t)); err != nil {
			return d.blame(name, err)
		}
	}
	return nil
}

// needed reports whether an old folder has to be in the new one: it is empty,
// or something in it is not ours.
func (d *Dir) needed(name string, now map[string]entry) bool {
	empty := true
	for other, e := range now {
		if strings.HasPrefix(other, name+"/") {
			if empty = false; !e.ours && !e.info.IsDir() {
				return true
			}
			if e.info.IsDir() && d.needed(other, now) {
				return true
			}
		}
	}
	return empty
}

// carry brings one thing over: a folder is made anew, a symbolic link too, and
// anything else gets a second hard link, so that not even a file that is being
// written is cut in two. A disk without hard links gets a copy.
func (d *Dir) carry(name string, info fs.FileInfo) error {
	from, to := filepath.Join(d.path, filepath.FromSlash(name)), filepath.Join(d.temp, filepath.FromSlash(name))
	return d.do("carry", name, func() error {
		switch {
		case info.IsDir():
			return os.MkdirAll(to, 0o777) // ours may be there already
		case info.Mode()&fs.ModeSymlink != 0:
			target, err := os.Readlink(from)
			if err != nil {
				return err
			}
			return os.Symlink(target, to)
		}
		err := d.do("link", name, func() error { return os.Link(from, to) })
		if err != nil && info.Mode().IsRegular() && noLinks(err) {
			return d.copy(name, from, to, info)
		}
		return err
	})
}

// noLinks reports whether an error says that a disk has no hard links, or none
// for this file.
func noLinks(err error) bool {
	for _, e := range []error{syscall.EPERM, syscall.ENOTSUP, syscall.EOPNOTSUPP, syscall.ENOSYS, syscall.EMLINK, syscall.EXDEV} {
		if errors.Is(err, e) {
			return true
		}
	}
	return false
}

func (d *Dir) copy(name, from, to string, info fs.FileInfo) error {
	in, err := os.Open(from)
	if err != nil {
		return err
	}
	defer in.Close()
	out, err := os.OpenFile(to, os.O_CREATE|os.O_EXCL|os.O_WRONLY, info.Mode().Perm())
	if err != nil {
		return err
	}
	_, err = io.Copy(out, in)
	if err = errors.Join(err, d.sync(name, out), out.Close()); err != nil {
		return err
	}
	return os.Chtimes(to, info.ModTime(), info.ModTime())
}

// seal takes the mark of an unfinished folder away and confirms the folders,
// the innermost first.
func (d *Dir) seal() error {
	err := d.do("remove", filling, func() error { return os.Remove(filepath.Join(d.temp, filling)) })
	if err == nil && d.replace { // the folder keeps its mode
		var info fs.FileInfo
		if info, err = os.Stat(d.path); err == nil {
			err = os.Chmod(d.temp, info.Mode().Perm())
		}
	}
	if err != nil {
		return d.blame("", err)
	}
	var folders []string
	err = filepath.WalkDir(d.temp, func(path string, e fs.DirEntry, err error) error {
		if err == nil && e.IsDir() {
			folders = append(folders, path)
		}
		return err
	})
	for _, path := range slices.Backward(folders) {
		err = errors.Join(err, d.syncDir(path))
	}
	return d.blame("", err)
}

// syncDir confirms the names in a folder. Some disks cannot; they confirm
// names at once.
func (d *Dir) syncDir(path string) error {
	f, err := os.Open(path)
	if err != nil {
		return err
	}
	defer f.Close()
	err = d.sync(path, f)
	if errors.Is(err, syscall.EINVAL) || errors.Is(err, syscall.ENOTSUP) {
		return nil
	}
	return err
}

// moveIn puts the new folder in place and says where the old one is now.
func (d *Dir) moveIn() (old string, err error) {
	if !d.replace {
		return "", d.blame("", d.do("rename", d.temp, func() error { return os.Rename(d.temp, d.path) }))
	}
	err = d.do("exchange", d.temp, func() error { return exchange(d.temp, d.path) })
	if err == nil {
		return d.temp, nil // the names have changed places
	}
	if !errors.Is(err, errNoExchange) {
		return "", d.blame("", err)
	}
	old = d.beside("old", rand.Uint64())
	if err := d.do("rename", d.path, func() error { return os.Rename(d.path, old) }); err != nil {
		return "", d.blame("", err)
	}
	if err := d.do("rename", d.temp, func() error { return os.Rename(d.temp, d.path) }); err != nil {
		return "", d.blame("", errors.Join(err, os.Rename(old, d.path)))
	}
	return old, nil
}

// errNoExchange: this disk or system cannot exchange two names.
var errNoExchange = errors.New("no exchange of names")

// sweep clears an old folder away: our own files, and others as far as they
// are in place too. It is an error if anything stays.
func (d *Dir) sweep(old string, entries map[string]entry) error {
	unlock(old)
	var stays error
	for _, name := range slices.Backward(slices.Sorted(maps.Keys(entries))) { // what is in a folder before it
		path, e := filepath.Join(old, filepath.FromSlash(name)), entries[name]
		now, err := os.Lstat(path)
		if err != nil || name == manifest {
			continue // last of all, below
		}
		if !e.info.IsDir() && (!e.unchanged(now) || !e.ours && !alsoAt(path, filepath.Join(d.path, filepath.FromSlash(name)), now)) {
			stays = errors.Join(stays, fmt.Errorf("%s is not ours to clear away", path))
			continue
		}
		stays = errors.Join(stays, d.do("remove", path, func() error { return os.Remove(path) }))
	}
	if stays != nil {
		return stays
	}
	err := d.do("remove", old, func() error { return os.Remove(filepath.Join(old, manifest)) })
	if err != nil && !errors.Is(err, fs.ErrNotExist) {
		return err
	}
	return d.do("remove", old, func() error { return os.Remove(old) })
}

// alsoAt reports whether a thing is also at another place: the same file by
// another name, a link to the same target, or a copy to the byte.
func alsoAt(path, other string, info fs.FileInfo) bool {
	there, err := os.Lstat(other)
	if err != nil || there.Mode().Type() != info.Mode().Type() {
		return false
	}
	switch {
	case os.SameFile(info, there):
		return true
	case info.Mode()&fs.ModeSymlink != 0:
		a, errA := os.Readlink(path)
		b, errB := os.Readlink(other)
		return errA == nil && errB == nil && a == b
	case info.Mode().IsRegular() && info.Size() == there.Size():
		a, errA := sumOf(path)
		b, errB := sumOf(other)
		return errA == nil && errB == nil && a == b
	}
	return false
}
