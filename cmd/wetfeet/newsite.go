package main

import (
	"bytes"
	"errors"
	"fmt"
	"io"
	"io/fs"
	"os"
	"path/filepath"
	"strings"

	"wetfeet/cmd/internal/assess"
	"wetfeet/cmd/internal/fault"
)

// besideSite is where the new site file that --apply names goes: beside the
// old one, since the names of files in it are taken from there. It must not be
// there yet. Nothing is asked for where the flag is empty.
func besideSite(site, apply string) (string, error) {
	if apply == "" {
		return "", nil
	}
	if !strings.EqualFold(filepath.Ext(apply), ".toml") {
		return "", fmt.Errorf("%w: --apply: %s does not end in .toml as a site file does", errUsage, apply)
	}
	path := apply
	if filepath.Base(path) == path {
		path = filepath.Join(filepath.Dir(site), path)
	}
	folder, errOld := filepath.Abs(filepath.Dir(site))
	here, errNew := filepath.Abs(filepath.Dir(path))
	if err := errors.Join(errOld, errNew); err != nil {
		return "", err
	}
	if here != folder {
		return "", fmt.Errorf("%w: --apply: %s lies in another folder than %s, from which the files named in it are found; give a name beside it", errUsage, apply, site)
	}
	if _, err := os.Lstat(path); err == nil {
		return "", errThere(path)
	} else if !errors.Is(err, fs.ErrNotExist) {
		return "", err
	}
	return path, nil
}

// writeSite makes a new site file, whole or not at all, once it is sure that
// it can be read and, where check is given, that it says what it should.
func writeSite(path string, text []byte, check func(assess.Plan) error) error {
	f, err := os.CreateTemp(filepath.Dir(path), ".wetfeet-*.toml")
	if err != nil {
		return fault.Input(fmt.Errorf("--apply: %s cannot be written: %w", path, err))
	}
	defer os.Remove(f.Name())
	_, err = f.Write(text)
	if err := errors.Join(err, f.Close()); err != nil {
		return err
	}
	got, err := sitePlan(f.Name())
	if err == nil && check != nil {
		err = check(got)
	}
	if err != nil {
		return fmt.Errorf("the new site file: %w", err)
	}
	return writeNew(path, text) // fails where someone else made it meanwhile
}

// writeNew writes a file that is not there yet, whole or not at all.
func writeNew(path string, data []byte) error {
	f, err := os.CreateTemp(filepath.Dir(path), ".wetfeet-*")
	if err != nil {
		return fault.Input(fmt.Errorf("%s cannot be written: %w", path, err))
	}
	defer os.Remove(f.Name())
	_, err = io.Copy(f, bytes.NewReader(data))
	if err := errors.Join(err, f.Chmod(0o644), f.Sync(), f.Close()); err != nil {
		return err
	}
	if err := os.Link(f.Name(), path); errors.Is(err, os.ErrExist) {
		return errThere(path)
	} else if err != nil {
		return os.Rename(f.Name(), path) // a file system without links
	}
	return nil
}

func errThere(path string) error {
	return fault.Input(fmt.Errorf("%s is there already and is not written over; name another file", path))
}
