package assess

import (
	"crypto/sha256"
	"encoding/hex"
	"fmt"
	"io"
	"os"
	"path/filepath"

	"wetfeet/cmd/internal/fault"
)

// An Input is a file the answer was made from.
type Input struct {
	Role   string `json:"role"` // "site file", "ground", "positions", "species", "spot heights", "boundary"
	Name   string `json:"name"` // base name only: where a file lies is nobody else's business
	Bytes  int64  `json:"bytes"`
	SHA256 string `json:"sha256"`
}

// A File is an input to be recorded.
type File struct{ Role, Path string }

// Inputs reads each file once more for its size and SHA-256.
func Inputs(files ...File) ([]Input, error) {
	out := make([]Input, 0, len(files))
	for _, f := range files {
		in, err := digest(f)
		if err != nil {
			return nil, fault.Input(err)
		}
		out = append(out, in)
	}
	return out, nil
}

func digest(f File) (Input, error) {
	r, err := os.Open(f.Path)
	if err != nil {
		return Input{}, err
	}
	defer r.Close()
	if info, err := r.Stat(); err == nil && info.IsDir() {
		return Input{}, fmt.Errorf("%s is a folder; a file is needed", f.Path)
	}
	h := sha256.New()
	n, err := io.Copy(h, r)
	if err != nil {
		return Input{}, fmt.Errorf("%s: %w", filepath.Base(f.Path), err)
	}
	return Input{Role: f.Role, Name: filepath.Base(f.Path), Bytes: n, SHA256: hex.EncodeToString(h.Sum(nil))}, nil
}
