package raster

import (
	"errors"
	"fmt"
	"io/fs"
	"math"
	"os"
	"path/filepath"
	"syscall"
	"testing"

	"wetfeet/terrain"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

func TestWhatIsWrittenIsReadBack(t *testing.T) {
	for _, frame := range []terrain.Frame{
		{Rows: 300, Cols: 411, West: 500000.25, North: 4000000.5, CellSize: 0.5, CRS: "EPSG:32614"},
		{Rows: 3, Cols: 3, West: -10, North: 30, CellSize: 1.0 / 3},
		{Rows: 4, Cols: 700, West: 91000, North: 12000, CellSize: 2, CRS: "EPSG:27700"},
	} {
		t.Run(fmt.Sprint(frame), func(t *testing.T) {
			z := terrain.NewGrid[float32](frame)
			for i := range z.Cells {
				z.Cells[i] = float32(i%977)/16 - 3
			}
			z.Set(2, 1, terrain.Void())
			path := filepath.Join(t.TempDir(), "z.tif")
			require.NoError(t, Write(path, z))
			g := mustOpen(t, path, Options{AllowLocal: true})
			assert.Equal(t, frame, g.Grid.Frame)
			assert.Equal(t, cellsOf(z), cellsOf(g.Grid))
			assert.Equal(t, 1, g.Voids)
			assert.False(t, g.Resampled)
		})
	}
}

// The form that is promised, by the numbers of the TIFF 6.0 tags.
func TestTheFormOfAWrittenFile(t *testing.T) {
	path := filepath.Join(t.TempDir(), "z.tif")
	require.NoError(t, Write(path, lowland(300)))
	b, err := os.ReadFile(path)
	require.NoError(t, err)
	tags := tiffTags(t, b)
	assert.Equal(t, uint16(32), tags[258].short(t), "BitsPerSample")
	assert.Equal(t, uint16(3), tags[339].short(t), "SampleFormat: IEEE floating point")
	assert.Equal(t, uint16(8), tags[259].short(t), "Compression: deflate")
	assert.Equal(t, uint16(3), tags[317].short(t), "Predictor: floating point")
	assert.Equal(t, uint16(256), tags[322].short(t), "TileWidth")
	assert.Equal(t, "-9999\x00", string(tags[42113].bytes), "GDAL_NODATA")
	assert.Equal(t, uint16(32614), geoKey(t, tags[34735], 3072), "ProjectedCSTypeGeoKey")
	assert.NotContains(t, tags, uint16(306), "DateTime would differ from run to run")
}

func TestTheSameGridGivesTheSameBytes(t *testing.T) {
	z := lowland(1100) // several rows of tiles, so several threads
	dir := t.TempDir()
	var want []byte
	for i, threads := range []int{0, 1, 5, 0} {
		path := filepath.Join(dir, fmt.Sprint(i, ".tif"))
		write := func() { require.NoError(t, Write(path, z)) }
		if threads == 0 {
			write()
		} else {
			atThreads(t, threads, write)
		}
		got, err := os.ReadFile(path)
		require.NoError(t, err)
		if want == nil {
			want = got
		}
		assert.True(t, string(want) == string(got), "run %d differs", i)
	}
	t.Run("also over a file that was there", func(t *testing.T) {
		path := filepath.Join(dir, "0.tif")
		require.NoError(t, Write(path, lowland(1200)))
		require.NoError(t, Write(path, z))
		got, err := os.ReadFile(path)
		require.NoError(t, err)
		assert.True(t, string(want) == string(got))
	})
}

func TestWideGridsAreRounded(t *testing.T) {
	z := terrain.NewGrid[float64](terrain.Frame{Rows: 3, Cols: 3, CellSize: 1, CRS: "EPSG:32614", West: 500000, North: 10})
	for i := range z.Cells {
		z.Cells[i] = 100 + float64(i)/3
	}
	z.Set(1, 1, math.NaN())
	path := filepath.Join(t.TempDir(), "z.tif")
	require.NoError(t, Write(path, z))
	g := mustOpen(t, path, Options{})
	for i, v := range z.Cells {
		if i == 4 {
			assert.True(t, terrain.IsVoid(g.Grid.Cells[i]))
			continue
		}
		assert.Equal(t, float32(v), g.Grid.Cells[i])
	}
}

func TestWhatCannotBeWritten(t *testing.T) {
	z := lowland(20)
	dir := t.TempDir()
	t.Run("a folder that is not there", func(t *testing.T) {
		path := filepath.Join(dir, "no", "z.tif")
		err := Write(path, z)
		assert.EqualError(t, err, path+": cannot be written: no such file or directory")
		assert.ErrorIs(t, err, fs.ErrNotExist)
		assert.NotErrorIs(t, err, ErrInput)
	})
	t.Run("a folder in the place of the file", func(t *testing.T) {
		assert.EqualError(t, Write(dir, z), dir+": cannot be written: is a directory")
	})
	t.Run("a full disk", func(t *testing.T) {
		path := filepath.Join(dir, "full.tif")
		require.NoError(t, os.Symlink("/dev/full", path))
		err := Write(path, lowland(600))
		require.Error(t, err)
		assert.NotErrorIs(t, err, ErrInput, "it is the machine's fault")
		_, err = os.Lstat(path)
		assert.True(t, errors.Is(err, fs.ErrNotExist), "nothing half written stays")
	})
	t.Run("a number that is none", func(t *testing.T) {
		path := filepath.Join(dir, "inf.tif")
		z := lowland(20)
		z.Set(3, 4, float32(math.Inf(1)))
		assert.EqualError(t, Write(path, z), path+": cannot be written: row 4, column 5 holds +Inf, which a reader would take for a void or a fault")
		assert.NoFileExists(t, path)
		z.Set(3, 4, NoData)
		assert.ErrorContains(t, Write(path, z), "row 4, column 5 holds -9999")
	})
	t.Run("a system that is none", func(t *testing.T) {
		path := filepath.Join(dir, "crs.tif")
		z := lowland(20)
		z.CRS = "nowhere"
		assert.ErrorContains(t, Write(path, z), `"nowhere" is not a coordinate system known here`)
		assert.NoFileExists(t, path)
	})
	t.Run("a caller's mistake", func(t *testing.T) {
		assert.Panics(t, func() { _ = Write(filepath.Join(dir, "x.tif"), &terrain.Grid[float32]{}) })
	})
}

// A reader without permission is told so, and it is not the file's fault. The
// superuser may read anything, so then the same rule is held on the error.
func TestPermissionIsTheMachinesFault(t *testing.T) {
	err := in("z.tif", plain(&fs.PathError{Op: "open", Path: "z.tif", Err: syscall.EACCES}))
	assert.EqualError(t, err, "z.tif: permission denied")
	assert.NotErrorIs(t, err, ErrInput)
	assert.ErrorIs(t, err, fs.ErrPermission)
	if os.Getuid() != 0 {
		path := fixture{}.save(t, "z.tif")
		require.NoError(t, os.Chmod(path, 0))
		_, err := Open(path, Options{})
		assert.ErrorIs(t, err, fs.ErrPermission)
		assert.NotErrorIs(t, err, ErrInput)
	}
}

// What GDAL 3.6.2 said of a GeoTIFF on a full disk, two failures joined.
func TestAFullDiskIsTheSystemsToTell(t *testing.T) {
	full := errors.New("_tiffWriteProc:No space left on device\nTIFFAppendToStrip:Write error at scanline 4294967295")
	assert.Equal(t, syscall.ENOSPC, system(full))
	other := errors.New("TIFFWriteDirectory:Error")
	assert.Equal(t, other, system(other))
}
