package outdir

import (
	"bufio"
	"crypto/sha256"
	"encoding/hex"
	"errors"
	"io"
	"io/fs"
	"os"
	"path/filepath"
	"strings"
)

const (
	maxEntries  = 100_000 // of a folder that is replaced
	maxManifest = 1 << 20
)

// An entry is one thing in an earlier folder.
type entry struct {
	info   fs.FileInfo // of the thing itself, links not followed
	listed bool        // the manifest lists it
	ours   bool        // and it has the content it was written with; also the manifest itself
}

// unchanged reports whether a file is as it was when it was last looked at, as
// far as the file system tells.
func (e entry) unchanged(now fs.FileInfo) bool {
	return os.SameFile(e.info, now) && e.info.Size() == now.Size() && e.info.ModTime().Equal(now.ModTime()) && e.info.Mode() == now.Mode()
}

// scan finds everything in an earlier folder and whose it is. Files that have
// not changed since an earlier scan are not read again.
func (d *Dir) scan(dir string, earlier map[string]entry) (map[string]entry, error) {
	sums, err := d.readManifest(dir)
	if err != nil {
		return nil, err
	}
	found := map[string]entry{}
	err = filepath.WalkDir(dir, func(path string, de fs.DirEntry, err error) error {
		if err != nil || path == dir {
			return err
		}
		info, err := de.Info()
		if errors.Is(err, fs.ErrNotExist) {
			return nil // gone in the meantime
		}
		if err != nil {
			return err
		}
		if len(found) == maxEntries {
			return refuse("%s holds more than %d files; name another folder", d.shown, maxEntries)
		}
		rel, err := filepath.Rel(dir, path)
		if err != nil {
			return err
		}
		name := filepath.ToSlash(rel)
		e := entry{info: info}
		switch sum, listed := sums[name]; {
		case name == manifest && info.Mode().IsRegular():
			e.ours = true
		case listed && info.Mode().IsRegular():
			e.listed = true
			if was, ok := earlier[name]; ok && was.unchanged(info) {
				e.ours = was.ours
				break
			}
			now, err := sumOf(path)
			if err != nil {
				return err
			}
			e.ours = now == sum
		}
		found[name] = e
		return nil
	})
	if err != nil {
		return nil, d.blame("", err)
	}
	return found, nil
}

// readManifest is the names and sums that an earlier run listed; none where
// there is no list.
func (d *Dir) readManifest(dir string) (map[string]string, error) {
	path := filepath.Join(dir, manifest)
	info, err := os.Lstat(path)
	if errors.Is(err, fs.ErrNotExist) {
		return nil, nil
	}
	if err != nil {
		return nil, d.blame(manifest, err)
	}
	if !info.Mode().IsRegular() || info.Size() > maxManifest {
		return nil, refuse("%s is not a list of files that a run wrote; name another folder", filepath.Join(d.shown, manifest))
	}
	f, err := os.Open(path)
	if err != nil {
		return nil, d.blame(manifest, err)
	}
	defer f.Close()
	sums := map[string]string{}
	lines := bufio.NewScanner(io.LimitReader(f, maxManifest))
	for n := 1; lines.Scan(); n++ {
		line := lines.Text()
		if strings.HasPrefix(line, "#") || line == "" {
			continue
		}
		sum, name, ok := strings.Cut(line, "  ")
		if raw, err := hex.DecodeString(sum); !ok || err != nil || len(raw) != sha256.Size || !properName(name) {
			return nil, refuse("%s, line %d: is not a sum and the name of a file; name another folder", filepath.Join(d.shown, manifest), n)
		}
		sums[name] = sum
	}
	return sums, d.blame(manifest, lines.Err())
}

// sumOf is the SHA-256 of a file, in hexadecimal.
func sumOf(path string) (string, error) {
	f, err := os.Open(path)
	if err != nil {
		return "", err
	}
	defer f.Close()
	return sum(f)
}

func sum(r io.Reader) (string, error) {
	h := sha256.New()
	if _, err := io.Copy(h, r); err != nil {
		return "", err
	}
	return hex.EncodeToString(h.Sum(nil)), nil
}
