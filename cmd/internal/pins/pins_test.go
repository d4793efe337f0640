package pins

import (
	_ "github.com/BurntSushi/toml"
	_ "github.com/airbusgeo/godal"
	_ "github.com/alecthomas/kong"
	_ "github.com/paulmach/orb/geojson"
	_ "github.com/stretchr/testify/assert"
	_ "github.com/stretchr/testify/require"
	_ "golang.org/x/image/font/gofont/goregular"
	_ "golang.org/x/image/font/opentype"
	_ "golang.org/x/image/vector"
	_ "golang.org/x/sync/errgroup"
	_ "gonum.org/v1/gonum/dsp/fourier"
	_ "gonum.org/v1/gonum/mat"
	_ "gonum.org/v1/gonum/optimize"
	_ "gonum.org/v1/gonum/spatial/kdtree"
	_ "gonum.org/v1/gonum/stat"
)
