package serve

import (
	"crypto/sha256"
	"embed"
	"encoding/base64"
	"io/fs"
	"mime"
	"net/http"
	"path"
	"strings"
)

//go:embed assets
var embedded embed.FS

// An asset is a file of the page.
type asset struct {
	bytes []byte
	kind  string
	tag   string
}

// assets are the files of the page by the path they are served at.
var assets = func() map[string]asset {
	kinds := map[string]string{".html": "text/html; charset=utf-8", ".js": "text/javascript; charset=utf-8", ".css": "text/css; charset=utf-8", ".svg": "image/svg+xml"}
	all := map[string]asset{}
	err := fs.WalkDir(embedded, "assets", func(name string, d fs.DirEntry, err error) error {
		if err != nil || d.IsDir() {
			return err
		}
		b, err := embedded.ReadFile(name)
		if err != nil {
			return err
		}
		sum := sha256.Sum256(b)
		at := "/app" + strings.TrimPrefix(name, "assets")
		if at == "/app/index.html" {
			at = "/"
		}
		kind, ok := kinds[path.Ext(name)]
		if !ok {
			kind = mime.TypeByExtension(path.Ext(name))
		}
		all[at] = asset{b, kind, `"` + base64.RawURLEncoding.EncodeToString(sum[:12]) + `"`}
		return nil
	})
	if err != nil {
		panic(err) // the files are in the program itself
	}
	return all
}()

// serveAsset answers with a file of the page.
func serveAsset(w http.ResponseWriter, r *http.Request) {
	a, ok := assets[r.URL.Path]
	if !ok {
		refuse(w, http.StatusNotFound, "there is nothing at this address; the page is at /")
		return
	}
	h := w.Header()
	h.Set("Content-Type", a.kind)
	h.Set("Cache-Control", "no-cache")
	h.Set("ETag", a.tag)
	if r.Header.Get("If-None-Match") == a.tag {
		w.WriteHeader(http.StatusNotModified)
		return
	}
	_, _ = w.Write(a.bytes)
}
