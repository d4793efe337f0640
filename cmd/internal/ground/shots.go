package ground

import (
	"bytes"
	"errors"
	"fmt"
	"math"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"time"

	"wetfeet/cmd/internal/fault"
	"wetfeet/terrain/quantity"
	"wetfeet/terrain/raster"
	"wetfeet/terrain/survey"
	"wetfeet/terrain/survey/fieldbook"

	"github.com/paulmach/orb"
)

// largestShots bounds a file of shots, bytes: what survey.ReadShots takes.
const largestShots = 256 << 20

// Shots are the spot heights of a file, brought to a system of metres.
type Shots struct {
	Name  string    // base name of the file
	Date  time.Time // of the survey; zero where nothing says it
	CRS   string
	Shots []survey.Shot
	Lines []survey.Breakline // of the shots' codes and of the file of lines

	Outline, Holes []orb.Ring
	Changes        []survey.Change // of the ground, between surveys
	Remarks        []string

	Book *fieldbook.Reduction // nil where the file was a table of spot heights
}

// ReadShots reads the spot heights of a source, a table or a field book, and
// its lines, and brings them to the system crs, or, where that is empty, to
// one of metres of their own.
func ReadShots(s Source, crs string) (*Shots, error) {
	out := &Shots{Name: filepath.Base(s.SpotHeights)}
	table, err := out.read(s.SpotHeights)
	if err != nil {
		return nil, err
	}
	from := s.CRS
	switch {
	case table.LonLat:
		from = raster.LonLatCRS
	case out.Book != nil && out.Book.CRS != "":
		from = out.Book.CRS
	case from == "" && crs == "" && s.OwnGrid:
	case from == "" && crs == "":
		return nil, fault.Input(fmt.Errorf("%s: the columns are x and y, but nothing says in which coordinate system: name it with --crs (crs in a site file), such as EPSG:32614, or give with --origin (origin) the longitude and latitude of the peg they were taped from; or use columns lon and lat", out.Name))
	case from == "":
		from = crs
	}
	if err := inMetres(out.Name, table, from); err != nil {
		return nil, err
	}
	if err := inUse(out.Name, table.Shots, from); err != nil {
		return nil, err
	}
	if crs == "" && from != "" {
		if crs, err = metric(from, table.Shots); err != nil {
			return nil, err
		}
	}
	out.CRS, out.Shots = crs, table.Shots
	if out.Date, err = out.day(table); err != nil {
		return nil, err
	}
	out.Remarks = append(out.Remarks, table.Remarks...)
	if out.Book == nil {
		if err := out.joinByCode(table); err != nil {
			return nil, err
		}
	} else {
		for _, l := range out.Book.Lines {
			out.Lines = append(out.Lines, bookLine(l))
		}
	}
	if err := out.bring(from, crs); err != nil {
		return nil, fmt.Errorf("%s: %w", out.Name, err)
	}
	if err := out.addLines(s.Lines); err != nil {
		return nil, err
	}
	return out, out.merge(s)
}

// bring takes the shots and their lines from one system to another. A grid of
// its own stays.
func (s *Shots) bring(from, crs string) error {
	if from == crs {
		return nil
	}
	way, err := raster.NewTransform(from, crs)
	if err != nil {
		return err
	}
	defer way.Close()
	points := make([]orb.Point, len(s.Shots))
	for i := range s.Shots {
		points[i] = s.Shots[i].Point
	}
	if err := way.Points(points); err != nil {
		return err
	}
	for i := range s.Shots {
		s.Shots[i].Point = points[i]
	}
	for _, l := range s.Lines {
		if err := way.Points(l.Line); err != nil {
			return err
		}
	}
	return nil
}

// inMetres is an error where x and y are degrees by the look of them but
// metres, or the like, by the system they are said to be in: a site of no
// size at all would come of it.
func inMetres(name string, table *survey.Table, from string) error {
	looks := table.LooksLikeDegrees()
	if looks == "" {
		return nil
	}
	said := "a grid in metres"
	if from != "" {
		info, err := raster.Describe(from)
		if err != nil || info.Geographic {
			return err
		}
		said = info.Name
	}
	return fault.Input(fmt.Errorf("%s: %s, but the system is %s: if they are degrees, name the columns lon and lat", name, looks, said))
}

// bookLine is a line of a field book as a breakline. Without a height at
// every point it has none.
func bookLine(l fieldbook.Line) survey.Breakline {
	b := survey.Breakline{Name: l.Code, Kind: survey.KindOf(l.Code), Line: slices.Clone(l.Points), Z: slices.Clone(l.Z)}
	if l.Closed && b.Line[0] != b.Line[len(b.Line)-1] {
		b.Line, b.Z = append(b.Line, b.Line[0]), append(b.Z, b.Z[0])
	}
	if slices.ContainsFunc(b.Z, math.IsNaN) {
		b.Z = nil
	}
	return b
}

// day is that of a survey, as its book says it or its table in a column of
// that name; zero where neither does.
func (s *Shots) day(table *survey.Table) (time.Time, error) {
	if s.Book != nil {
		return s.Book.Date, nil
	}
	column := slices.IndexFunc(table.Columns, func(c string) bool { return strings.EqualFold(strings.TrimSpace(c), "date") })
	if column < 0 {
		return time.Time{}, nil
	}
	var day time.Time
	for _, shot := range table.Shots {
		text := strings.TrimSpace(shot.Extra[column])
		if text == "" {
			continue
		}
		d, err := time.Parse(time.DateOnly, text)
		if err != nil {
			return day, fault.Input(fmt.Errorf("%s:%d: date: found %q; a day is needed, such as 2026-03-14, or nothing", s.Name, shot.Line, text))
		}
		if !day.IsZero() && !d.Equal(day) {
			return day, fault.Input(fmt.Errorf("%s:%d: date: found %s after %s; a file is one survey, so give a later one as a file of its own with --later (later in a site file)", s.Name, shot.Line, text, day.Format(time.DateOnly)))
		}
		day = d
	}
	return day, nil
}

// merge puts later surveys in the place of what they cover: by their dates
// where all of them say theirs, else in the order in which they were given.
func (s *Shots) merge(src Source) error {
	if len(src.Later) == 0 {
		return nil
	}
	all := []survey.Survey{{Name: s.Name, Date: s.Date, Shots: s.Shots}}
	for _, path := range src.Later {
		next := src
		next.SpotHeights, next.Later, next.Lines = path, nil, ""
		later, err := ReadShots(next, s.CRS)
		if err != nil {
			return err
		}
		if later.CRS != s.CRS {
			return fault.Input(fmt.Errorf("%s is on a grid of its own and %s is not: say with --crs or --origin (crs or origin in a site file) where the grid lies", s.Name, later.Name))
		}
		all = append(all, survey.Survey{Name: later.Name, Date: later.Date, Shots: later.Shots})
		s.Lines = append(s.Lines, later.Lines...)
		s.Remarks = append(s.Remarks, later.Remarks...)
	}
	s.order(all)
	merged, err := survey.Merge(0, all...)
	if err != nil {
		return err
	}
	s.Shots = merged.Shots
	s.Remarks = append(s.Remarks, merged.Remarks...)
	s.Changes = merged.Changes
	return nil
}

// order makes the order in which surveys were given stand for their dates,
// unless all of them have one.
func (s *Shots) order(all []survey.Survey) {
	var undated []string
	for i, v := range all {
		if v.Date.IsZero() {
			undated = append(undated, v.Name)
		} else if i > 0 && v.Date.Before(all[i-1].Date) {
			s.Remarks = append(s.Remarks, fmt.Sprintf("%s is of %s and older than %s, though given after it: surveys go by their dates.", v.Name, v.Date.Format(time.DateOnly), all[i-1].Name))
		}
	}
	if len(undated) == 0 {
		return
	}
	if len(undated) < len(all) {
		s.Remarks = append(s.Remarks, fmt.Sprintf("%s: no date is said, so all surveys were taken in the order given; date: 2026-03-14 in a book, or a column date in a table, would say it.", strings.Join(undated, ", ")))
	}
	for i := range all {
		all[i].Date, all[i].Undated = time.Unix(0, 0).AddDate(0, 0, i), true
	}
}

// read reads the file as spot heights or, failing that, as a field book. Of
// two failures that is told which the file is nearer to: a book has a line
// that says what it is.
func (s *Shots) read(path string) (*survey.Table, error) {
	info, err := os.Stat(path)
	if errors.Is(err, os.ErrNotExist) {
		return nil, fault.Input(fmt.Errorf("there is no file %s", path))
	}
	if err != nil {
		return nil, fault.Input(err)
	}
	if info.IsDir() {
		return nil, fault.Input(fmt.Errorf("%s is a folder; a file of spot heights or a field book is needed", path))
	}
	if info.Size() > largestShots {
		return nil, fault.Input(fmt.Errorf("%s: the file is larger than %d MiB", s.Name, largestShots>>20))
	}
	text, err := os.ReadFile(path)
	if err != nil {
		return nil, fault.Input(err)
	}
	table, notTable := survey.ReadShots(bytes.NewReader(text), s.Name)
	if notTable == nil {
		return table, nil
	}
	book, notBook := fieldbook.Read(bytes.NewReader(text), s.Name)
	if notBook != nil {
		if fieldbook.Looks(text) {
			return nil, notBook
		}
		return nil, notTable
	}
	s.Book, err = book.Reduce(fieldbook.Options{})
	if err != nil && book.PointsAlone() {
		return nil, notTable
	}
	if err != nil {
		return nil, err
	}
	return s.Book.Table(), nil
}

// joinByCode gathers the lines that the codes of a table of shots make. A
// field book has joined its own, of the codes it says are lines.
func (s *Shots) joinByCode(table *survey.Table) error {
	for _, column := range table.Columns {
		if column != "code" {
			continue
		}
		lines, remarks, err := table.LinesByCode(column)
		if err != nil {
			return err
		}
		s.Lines = append(s.Lines, lines...)
		s.Remarks = append(s.Remarks, remarks...)
	}
	return nil
}

// addLines gathers what a file of lines holds, and checks all lines.
func (s *Shots) addLines(path string) error {
	if path == "" {
		return survey.CheckLines(s.Lines)
	}
	f, err := os.Open(path)
	if err != nil {
		return fault.Input(err)
	}
	defer f.Close()
	name := filepath.Base(path)
	file, err := survey.ReadLines(f, name)
	if err != nil {
		return err
	}
	from := s.CRS // metres that do not say whose are those of the shots
	switch {
	case file.LonLat:
		from = raster.LonLatCRS
	case file.CRS != "":
		from = file.CRS
	}
	if from != s.CRS {
		if s.CRS == "" {
			return fault.Input(fmt.Errorf("%s is in %s, but %s is on a grid of its own: say with --crs or --origin where the grid lies", name, from, s.Name))
		}
		way, err := raster.NewTransform(from, s.CRS)
		if err != nil {
			return fmt.Errorf("%s: %w", name, err)
		}
		defer way.Close()
		if err := file.Transform(way.Point); err != nil {
			return fmt.Errorf("%s: %w", name, err)
		}
	}
	s.Lines = append(s.Lines, file.Lines...)
	s.Outline, s.Holes = file.Outline, file.Holes
	s.Remarks = append(s.Remarks, file.Remarks...)
	return survey.CheckLines(s.Lines)
}

// metric is a system of metres for shots in the system from: from itself
// where that is one, else the UTM zone of the first shot.
func metric(from string, shots []survey.Shot) (string, error) {
	info, err := raster.Describe(from)
	if err != nil {
		return "", err
	}
	if !info.Geographic && info.Unit == 1 {
		return from, nil
	}
	toLonLat, err := raster.LonLat(from)
	if err != nil {
		return "", err
	}
	if len(shots) == 0 {
		return "", fault.Input(errors.New("the book holds no shot with both a height and a position"))
	}
	p, err := toLonLat(shots[0].Point)
	if err != nil {
		return "", err
	}
	return raster.UTM(p[0], p[1]), nil
}

// shotError says what error the shots were taken to have.
func shotError(given float64, model *survey.Model, u quantity.Units) string {
	sd := math.Sqrt(model.Covariance.Nugget)
	how := "fitted to them, since none was given"
	if given > 0 {
		sd, how = given, "as given"
	}
	if sd == 0 {
		return "Spot heights that state no error of their own were taken as they are, without error: fitted to them, since none was given, and they lie too far apart to show a small one. If you know it, say it: vertical_error in [ground], or --error."
	}
	return fmt.Sprintf("Spot heights that state no error of their own were taken as good to %s, %s.", quantity.FormatDepth(sd, u), how)
}
