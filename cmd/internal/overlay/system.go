package overlay

import (
	"strconv"
	"strings"

	"wetfeet/cmd/internal/drafting"
	"wetfeet/cmd/internal/geopackage"
	"wetfeet/terrain/raster"
)

// systemOf is the coordinate system a frame of the ground names: by a code, by
// its well-known text, or not at all.
func systemOf(crs string) (geopackage.System, error) {
	if crs == "" {
		return geopackage.Always[0], nil
	}
	info, err := raster.Describe(crs)
	if err != nil {
		return geopackage.System{}, err
	}
	if info.Code != "" {
		crs = info.Code
	}
	s := geopackage.System{ID: geopackage.Own, Code: geopackage.Own, Name: info.Name, Authority: "NONE"}
	if s.Definition, err = raster.WellKnown(crs); err != nil {
		return geopackage.System{}, err
	}
	if by, code, ok := strings.Cut(info.Code, ":"); ok {
		if n, err := strconv.ParseInt(code, 10, 32); err == nil && n > 0 {
			s.ID, s.Authority, s.Code = int32(n), by, int32(n)
		}
	}
	if s.Name == "" || s.Name == "unknown" {
		s.Name = drafting.SystemName(crs)
	}
	return s, nil
}
