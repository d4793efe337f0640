// Heron-bend writes the files of Heron Bend, the invented orchard of the
// demo, into a folder: ground, spot heights, fence, site files, single trees.
//
//	go run ./cmd/heron-bend testdata/heron-bend
package main

import (
	"bytes"
	"fmt"
	"io"
	"os"
	"path/filepath"

	"wetfeet/cmd/internal/heronbend"
	"wetfeet/terrain/raster"
)

func main() {
	if len(os.Args) != 2 {
		fmt.Fprintln(os.Stderr, "usage: heron-bend FOLDER")
		os.Exit(2)
	}
	if err := write(os.Args[1]); err != nil {
		fmt.Fprintln(os.Stderr, err)
		os.Exit(1)
	}
}

// write makes the files of Heron Bend in a folder that is there already.
func write(folder string) error {
	toLonLat, err := raster.LonLat(heronbend.CRS)
	if err != nil {
		return err
	}
	for _, file := range []struct {
		name string
		text func(io.Writer) error
	}{
		{"survey.csv", heronbend.WriteSurvey},
		{"positions.csv", heronbend.WritePositions},
		{"my-species.csv", heronbend.WriteSpecies},
		{"daily-rain.csv", heronbend.WriteWeather},
		{"level-book.csv", heronbend.WriteBook},
		{"boundary.geojson", func(w io.Writer) error { return heronbend.WriteBoundary(w, toLonLat) }},
		{"heron-bend.toml", func(w io.Writer) error { return heronbend.WriteSite(w, heronbend.FromRaster) }},
		{"heron-bend-shots.toml", func(w io.Writer) error { return heronbend.WriteSite(w, heronbend.FromShots) }},
		{"heron-bend-book.toml", func(w io.Writer) error { return heronbend.WriteSite(w, heronbend.FromBook) }},
	} {
		var b bytes.Buffer
		if err := file.text(&b); err != nil {
			return fmt.Errorf("%s: %w", file.name, err)
		}
		if err := os.WriteFile(filepath.Join(folder, file.name), b.Bytes(), 0o644); err != nil {
			return err
		}
	}
	return raster.Write(filepath.Join(folder, "ground.tif"), heronbend.Raster())
}
