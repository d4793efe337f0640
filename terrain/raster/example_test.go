package raster_test

import (
	"fmt"
	"log"
	"os"
	"path/filepath"

	"wetfeet/terrain"
	"wetfeet/terrain/raster"

	"github.com/paulmach/orb"
)

func ExampleOpen() {
	dir, err := os.MkdirTemp("", "field")
	if err != nil {
		log.Fatal(err)
	}
	defer os.RemoveAll(dir)
	path := filepath.Join(dir, "field.tif")

	// A field of 3 by 4 cells of 5 m, with a hollow in it.
	z := terrain.NewGrid[float32](terrain.Frame{Rows: 3, Cols: 4, West: 500000, North: 4000000, CellSize: 5, CRS: "EPSG:32614"})
	copy(z.Cells, []float32{
		9, 8, 7, 6,
		9, 8, 3, 6,
		9, 8, 7, 6,
	})
	if err := raster.Write(path, z); err != nil {
		log.Fatal(err)
	}
	g, err := raster.Open(path, raster.Options{})
	if err != nil {
		log.Fatal(err)
	}
	fmt.Println(g.Grid.Row(1))
	fmt.Println(g.SourceCRS)
	// Output:
	// [9 8 3 6]
	// EPSG:32614 (WGS 84 / UTM zone 14N)
}

func ExampleLonLat() {
	toLonLat, err := raster.LonLat("EPSG:32617")
	if err != nil {
		log.Fatal(err)
	}
	p, err := toLonLat(orb.Point{500000, 4000000}) // on the zone's middle meridian
	if err != nil {
		log.Fatal(err)
	}
	fmt.Printf("%.5f, %.5f\n", p[0], p[1])
	// Output: -81.00000, 36.14472
}
