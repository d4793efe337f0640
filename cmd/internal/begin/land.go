package begin

import (
	"context"
	"fmt"
	"io"
	"strings"

	"wetfeet/cmd/internal/assess"
	"wetfeet/cmd/internal/fault"
	"wetfeet/cmd/internal/ground"
	"wetfeet/cmd/internal/planting"
	"wetfeet/cmd/internal/site"
	"wetfeet/cmd/internal/wording"
	"wetfeet/species"
	"wetfeet/terrain"
	"wetfeet/terrain/raster"
	"wetfeet/terrain/survey"

	"github.com/paulmach/orb"
)

// A Land is the ground of the files and where it lies. It takes longest to
// work out, and stays the same while the other questions are answered.
type Land struct {
	files   map[Kind]*Found
	lists   []*Found
	known   *species.Table
	crs     string // of the site file; empty for longitude and latitude
	origin  *orb.Point
	named   bool // the grower named crs
	ground  *ground.Ground
	hull    orb.Ring // of shots that are all there is
	outline orb.Ring
	single  []planting.Position // in the system of the ground
}

// Survey makes the ground of the files. Of what was answered it wants where
// they lie.
func Survey(ctx context.Context, files []*Found, a Answers) (*Land, error) {
	l, err := assign(files)
	if err != nil {
		return nil, err
	}
	if err := (&Answers{CRS: a.CRS, Origin: a.Origin}).check(); err != nil {
		return nil, err
	}
	if err := l.where(a); err != nil {
		return nil, err
	}
	source := ground.Source{CRS: l.crs}
	if l.origin != nil {
		source.CRS = raster.LocalCRS(l.origin[0], l.origin[1])
	}
	if f := l.files[Raster]; f != nil {
		source.DEM = f.Path
	}
	if f := l.heights(); f != nil {
		source.SpotHeights = f.Path
	}
	if f := l.files[Boundary]; f != nil {
		if err := f.open(func(r io.Reader, name string) (err error) {
			source.Boundary, err = site.ReadBoundary(r, name)
			return err
		}); err != nil {
			return nil, l.called(err)
		}
	}
	if l.ground, err = ground.Load(ctx, source); err != nil {
		return nil, l.called(err)
	}
	l.own()
	if source.DEM == "" {
		l.hull = terrain.ConvexHull(points(l.ground.Survey.Shots.Shots))
		l.outline = l.hull
	} else {
		l.outline = terrain.ConvexHull(corners(l.ground.Grid))
	}
	if err := l.called(l.readPositions(source.CRS)); err != nil {
		return nil, err
	}
	return l, nil
}

// assign gives each file its part.
func assign(files []*Found) (*Land, error) {
	l := &Land{files: map[Kind]*Found{}, known: species.BuiltIn()}
	Distinct(files)
	var bad fault.List
	for _, f := range files {
		if f.Kind == Plants {
			l.lists = append(l.lists, f)
			continue
		}
		if before := l.files[f.Kind]; before != nil {
			hint := ""
			if f.Kind == Heights || f.Kind == Book {
				hint = "; a later survey is named in the site file: later = [\"FILE\"] of [ground]"
			}
			bad.Add(0, "%s and %s both hold %s; one can be taken%s", before.Name, f.Name, f.Kind, hint)
			continue
		}
		l.files[f.Kind] = f
	}
	if l.files[Heights] != nil && l.files[Book] != nil {
		bad.Add(0, "%s and %s both hold spot heights; one can be taken; a later survey is named in the site file: later = [\"FILE\"] of [ground]", l.files[Heights].Name, l.files[Book].Name)
	}
	if l.files[Raster] == nil && l.heights() == nil {
		bad.Add(0, "where: no file tells the ground; an elevation raster, spot heights or a field book is needed")
	}
	if err := bad.Err(); err != nil {
		return nil, err
	}
	if own := l.files[Own]; own != nil {
		var err error
		if l.known, err = ReadOwn(own); err != nil {
			return nil, l.called(err)
		}
	}
	return l, nil
}

// ReadOwn is the table of species with a grower's own laid over it.
func ReadOwn(f *Found) (*species.Table, error) {
	var t *species.Table
	err := f.open(func(r io.Reader, name string) (err error) {
		t, err = species.BuiltIn().With(r, name)
		return fault.Input(err)
	})
	return t, err
}

func (l *Land) heights() *Found {
	if f := l.files[Heights]; f != nil {
		return f
	}
	return l.files[Book]
}

// called tells an error with the names the grower knows the files by.
func (l *Land) called(err error) error {
	if err == nil {
		return nil
	}
	for _, f := range l.files {
		err = callIt(err, f.Path, f.Name)
	}
	return err
}

// where settles the system of the site file's coordinates. What lies where
// nothing says is asked for.
func (l *Land) where(a Answers) error {
	l.origin = a.Origin
	l.crs, l.named = a.CRS, a.CRS != ""
	if l.origin != nil || l.named {
		if f := l.heights(); f != nil && !f.Placed() {
			return place(f.Name, f.extent, l.origin)
		}
		return nil
	}
	var bad fault.List
	dem, heights := l.files[Raster], l.heights()
	switch {
	case dem != nil && !dem.Placed():
		bad.Add(0, "where: %s names no coordinate system; name it, such as EPSG:32614", dem.Name)
	case dem == nil && !heights.Placed():
		bad.Add(0, "where: x and y of %s do not tell where they lie; give the longitude and latitude of the peg they were taped from (from a telephone's map will do, to a few metres), or the coordinate system of the map they are in, such as EPSG:32614", heights.Name)
	}
	return bad.Err()
}

// own takes the system of the ground for that of the site file where it has
// a code and nobody named another.
func (l *Land) own() {
	if l.named || l.origin != nil {
		return
	}
	if info, err := raster.Describe(l.ground.Grid.CRS); err == nil && info.Code != "" {
		l.crs = info.Code
	}
}

func points(shots []survey.Shot) []orb.Point {
	out := make([]orb.Point, len(shots))
	for i := range shots {
		out[i] = shots[i].Point
	}
	return out
}

func extent(shots []survey.Shot) orb.Bound { return orb.MultiPoint(points(shots)).Bound() }

// readPositions brings positions to the system of the ground, and makes sure
// that some lie on it.
func (l *Land) readPositions(crs string) error {
	f := l.files[Positions]
	if f == nil {
		return nil
	}
	var t *planting.Table
	err := f.open(func(r io.Reader, name string) (err error) {
		if strings.HasSuffix(f.Name, "json") {
			t, err = planting.ReadGeoJSON(r, name)
		} else {
			t, err = planting.ReadCSV(r, name)
		}
		return err
	})
	if err != nil {
		return err
	}
	from, unit := crs, 1.0
	switch {
	case t.LonLat:
		from = raster.LonLatCRS
	case from == "":
		from = l.ground.Grid.CRS
	}
	if t.Metres {
		info, err := raster.Describe(from)
		if err != nil {
			return fault.Input(err)
		}
		if info.Unit > 0 {
			unit = info.Unit
		}
	}
	var bad fault.List
	at := make([]orb.Point, len(t.Positions))
	sought := map[string]bool{}
	for i, p := range t.Positions {
		at[i] = orb.Point{p.Point[0] / unit, p.Point[1] / unit}
		if sought[p.Species] || bad.Len() == mostUnknown {
			continue
		}
		sought[p.Species] = true
		if _, err := l.known.Find(p.Species); err != nil {
			bad.Add(i, "%s, %q: %v", f.Name, p.ID, err)
		}
	}
	if err := bad.Err(); err != nil {
		return err
	}
	if err := assess.Move(from, l.ground.Grid.CRS, at); err != nil {
		return err
	}
	on := 0
	for i := range at {
		t.Positions[i].Point = at[i]
		if row, col, ok := l.ground.Grid.Locate(at[i]); ok && !terrain.IsVoid(l.ground.Grid.At(row, col)) {
			on++
		}
	}
	if on == 0 {
		return fault.Input(fmt.Errorf("%s: none of its %s lies on the ground; do the two lie in the same place, in the same coordinate system?", f.Name, wording.Count(len(at), "position")))
	}
	l.single = t.Positions
	return nil
}
