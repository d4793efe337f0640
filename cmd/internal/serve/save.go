package serve

import (
	"context"
	"errors"
	"fmt"
	"io/fs"
	"net/http"
	"os"
	"path/filepath"
	"reflect"
	"syscall"

	"wetfeet/cmd/internal/assess"
	"wetfeet/cmd/internal/rewrite"
)

// A saving asks to write a document into the site file.
type saving struct {
	Document document `json:"document"`
	Hash     string   `json:"hash"` // of the file the document was made from
}

// A saved file is what a page goes on from.
type saved struct {
	Hash     string   `json:"hash"`
	Document document `json:"document"`
}

// save writes what a document changes into the site file.
//
// The file is read again and must be the one the page began with. The new text
// is written beside it, brought to the disk, read back as a site, and only then
// takes the old one's place in one step; whatever ends the program at whatever
// moment, the file is the old one or the new one.
func (d *desk) save(w http.ResponseWriter, r *http.Request, _ *sheet) error {
	var q saving
	if err := readJSON(r, &q); err != nil {
		return err
	}
	d.saving.Lock()
	defer d.saving.Unlock()
	s := d.sheet()
	if q.Hash != s.hash {
		return changed()
	}
	plan, err := q.Document.plan(s.result)
	if err != nil {
		return err
	}
	plan.Units = s.result.Plan().Units // how the page shows lengths is not the file's
	text, err := readSite(s.path)
	if err != nil {
		return statusError{http.StatusConflict, "gone", fmt.Errorf("the site file cannot be read any more (%w); your changes are still on this page", cause(err))}
	}
	if digest(text) != s.hash {
		return changed()
	}
	next, err := rewrite.Site(string(text), s.result.Plan(), plan)
	if err != nil {
		return statusError{http.StatusConflict, "shape", err}
	}
	if next != string(text) {
		if err := d.write(s, next, plan); err != nil {
			return err
		}
	}
	fresh, err := d.o.Plan(s.path)
	if err != nil {
		return err
	}
	wanted := fresh.Odds
	fresh.Odds.Off = true
	result, err := s.answerTo(r.Context(), fresh)
	if err != nil {
		return err
	}
	put := &sheet{path: s.path, hash: digest([]byte(next)), result: result, odds: wanted, ponding: s.ponding, works: s.works}
	_, put.layers = s.works.layersOf(s, result)
	put.near.Store(s.near.Load())
	put.likely.Store(s.likely.Load())
	d.put(put)
	answer(w, http.StatusOK, saved{put.hash, documentOf(result)})
	return nil
}

// answerTo is the likeliest answer to a plan as it was saved: mostly that which
// the page had last.
func (s *sheet) answerTo(ctx context.Context, saved assess.Plan) (*assess.Result, error) {
	if last := s.likely.Load(); last != nil && last.Units == saved.Units {
		p := last.Plan()
		storm := func(p assess.Plan) []any { return []any{p.Rain, p.Gauge, p.Frequency, p.ReturnPeriod} }
		if rewrite.Same(p, saved) == nil && reflect.DeepEqual(storm(p), storm(saved)) {
			return last.As(saved), nil
		}
	}
	return s.works.base(s, saved).Again(ctx, saved, nil)
}

func changed() error {
	return statusError{http.StatusConflict, "changed", errors.New("the site file was changed meanwhile, in an editor or on another page, so nothing was written over it. Keep what you changed here by noting it, then load the page again; the file as it is now is then shown")}
}

// write puts a text in the place of a site file.
func (d *desk) write(s *sheet, text string, plan assess.Plan) error {
	target, err := filepath.EvalSymlinks(s.path)
	if err != nil {
		return err
	}
	info, err := os.Stat(target)
	if err != nil {
		return err
	}
	f, err := os.CreateTemp(filepath.Dir(target), ".wetfeet-*.toml")
	if err != nil {
		return unwritable(err)
	}
	temp := f.Name()
	defer os.Remove(temp) // gone already once it is in place
	_, err = f.WriteString(text)
	err = errors.Join(err, f.Chmod(info.Mode().Perm()), f.Sync(), f.Close())
	if err != nil {
		return unwritable(err)
	}
	// A link may lie in another folder than the file, and names in the file
	// begin at the folder of the link.
	reads := temp
	if filepath.Dir(target) != filepath.Dir(s.path) {
		reads = ""
	}
	if reads != "" {
		got, err := d.o.Plan(reads)
		if err == nil {
			err = rewrite.Same(plan, got)
		}
		if err != nil {
			return statusError{http.StatusConflict, "shape", fmt.Errorf("the site file is written in a way that cannot be changed from the page (%w); nothing was written", err)}
		}
	}
	if now, err := readSite(s.path); err != nil || digest(now) != s.hash {
		return changed()
	}
	if err := os.Rename(temp, target); err != nil {
		return unwritable(err)
	}
	if dir, err := os.Open(filepath.Dir(target)); err == nil {
		_ = dir.Sync() // not every file system can
		dir.Close()
	}
	return nil
}

// unwritable says why nothing could be written, and what would help.
func unwritable(err error) error {
	kind, help := "", ""
	switch {
	case errors.Is(err, fs.ErrPermission), errors.Is(err, syscall.EROFS):
		kind, help = "readonly", "the folder of the site file cannot be written to: make it writable, then save again"
	case errors.Is(err, syscall.ENOSPC), errors.Is(err, syscall.EDQUOT):
		kind, help = "full", "the disk is full: make room, then save again"
	default:
		help = "the site file could not be written: " + cause(err).Error()
	}
	return statusError{http.StatusInsufficientStorage, kind, errors.New(help + ". Nothing was written and your changes are still on this page")}
}

// cause is an error without the path, which is nobody else's business.
func cause(err error) error {
	if p, ok := errors.AsType[*fs.PathError](err); ok {
		return p.Err
	}
	return err
}
