package raster

/*
#include <stdlib.h>
#include <cpl_conv.h>
#include <ogr_srs_api.h>
*/
import "C"

import (
	"fmt"
	"math"
	"regexp"
	"strings"
	"unsafe"

	"github.com/airbusgeo/godal"
)

// LonLatCRS is longitude and latitude on WGS 84, degrees, in that order.
const LonLatCRS = "EPSG:4326"

// CRSInfo says what a coordinate system is.
type CRSInfo struct {
	Name       string  // "WGS 84 / UTM zone 14N"
	Code       string  // "EPSG:32614", or "" if no authority lists it
	Geographic bool    // degrees of longitude and latitude
	Unit       float64 // metres in one unit of its coordinates; 0 if geographic
	UnitName   string  // "metre", "US survey foot", "degree"

	// ShiftGrid is empty, or a sentence that warns: this system's link to
	// longitude and latitude is a grid of shifts that may not be installed.
	ShiftGrid string
}

// Describe says what the system is that a text names. The error for a text
// that names none says what a right one looks like.
func Describe(crs string) (CRSInfo, error) {
	sr, err := parseCRS(crs)
	if err != nil {
		return CRSInfo{}, err
	}
	sr = identify(sr)
	defer sr.Close()
	return describe(sr), nil
}

// name is what a system is called.
func name(sr *godal.SpatialRef) string { return C.GoString(C.OSRGetName(srs(sr))) }

func describe(sr *godal.SpatialRef) CRSInfo {
	info := CRSInfo{
		Name:       name(sr),
		Code:       authority(sr),
		Geographic: sr.Geographic(),
		UnitName:   "degree",
		ShiftGrid:  shiftGrid(sr),
	}
	if !info.Geographic {
		info.Unit, info.UnitName = linearUnit(sr)
	}
	return info
}

// A code is an authority and its number, with the vertical system's after a
// plus if there is one.
var codeText = regexp.MustCompile(`^(?i:(EPSG|ESRI|OGC|IGNF|IAU_2015)):[0-9A-Za-z_.]+(\+[0-9]+)?$`)

// wktText is how a well-known text of a usable system begins.
var wktText = regexp.MustCompile(`^(?i:(PROJCS|GEOGCS|COMPD_CS|PROJCRS|PROJECTEDCRS|GEOGCRS|GEODCRS|GEODETICCRS|GEOGRAPHICCRS|COMPOUNDCRS|BOUNDCRS))\s*[\[(]`)

// longestCRS bounds the text handed to GDAL. The longest well-known texts of
// the EPSG register are near 10 kB.
const longestCRS = 64 << 10

// parseCRS reads an authority code, a well-known text or a +proj string.
// GDAL itself would also take file names and web addresses, so only these
// three reach it, and no +proj string that names a grid file.
func parseCRS(text string) (*godal.SpatialRef, error) {
	start()
	text = strings.TrimSpace(text)
	isProj := strings.HasPrefix(text, "+proj=") && !strings.ContainsAny(text, "/\\") &&
		!strings.Contains(text, "grids=") && !strings.Contains(text, "init=")
	if len(text) > longestCRS || !isProj && !codeText.MatchString(text) && !wktText.MatchString(text) {
		return nil, unknownCRS(text)
	}
	var l listener
	sr, err := godal.NewSpatialRef(text, godal.ErrLogger(l.hear))
	if err != nil {
		return nil, unknownCRS(text)
	}
	C.OSRStripVertical(srs(sr))
	C.OSRDemoteTo2D(srs(sr), nil)
	if !sr.Geographic() && !sr.Projected() {
		called := name(sr)
		sr.Close()
		return nil, bad("%q (%s) is neither a geographic nor a projected system; %s", clip(text), called, rightCRS)
	}
	return sr, nil
}

// rightCRS completes the sentences about a wrong coordinate system.
const rightCRS = `write an authority and a number, such as EPSG:32614 for UTM zone 14 north or EPSG:4326 for longitude and latitude, or the system's well-known text`

func unknownCRS(text string) error {
	if text == "" {
		return bad("no coordinate system is named; %s", rightCRS)
	}
	return bad("%q is not a coordinate system known here; %s", clip(text), rightCRS)
}

// clip shortens a text that is shown in an error.
func clip(text string) string {
	const most = 60
	if r := []rune(text); len(r) > most {
		return string(r[:most]) + "…"
	}
	return text
}

// authority is the code a system carries, "" for none.
func authority(sr *godal.SpatialRef) string {
	if by, code := sr.AuthorityName(""), sr.AuthorityCode(""); by != "" && code != "" {
		return by + ":" + code
	}
	return ""
}

// identify looks up a system that only lacks its number, as those of most
// .prj files do, and hands back the listed one in its place, or else the one
// it was given. It searches the whole register, which takes up to half a
// second, so it is done once where a system comes in.
func identify(sr *godal.SpatialRef) *godal.SpatialRef {
	if authority(sr) != "" {
		return sr
	}
	var n C.int
	var confidence *C.int
	found := C.OSRFindMatches(srs(sr), nil, &n, &confidence)
	if found == nil {
		return sr
	}
	defer C.OSRFreeSRSArray(found)
	defer C.VSIFree(unsafe.Pointer(confidence))
	// 90 of 100 is GDAL's mark for the same definition under another name.
	sure := unsafe.Slice(confidence, n)
	if n == 0 || sure[0] < 90 || n > 1 && sure[1] == sure[0] {
		return sr
	}
	by, code := C.OSRGetAuthorityName(*found, nil), C.OSRGetAuthorityCode(*found, nil)
	if by == nil || code == nil {
		return sr
	}
	listed, err := parseCRS(C.GoString(by) + ":" + C.GoString(code))
	if err != nil {
		return sr
	}
	sr.Close()
	return listed
}

// frameCRS is how a Frame names a system: its code, or else its text.
func frameCRS(sr *godal.SpatialRef) (string, error) {
	if code := authority(sr); code != "" {
		return code, nil
	}
	return wellKnown(sr)
}

// wellKnown is the well-known text of a system.
func wellKnown(sr *godal.SpatialRef) (string, error) {
	var l listener
	text, err := sr.WKT(godal.ErrLogger(l.hear))
	if err != nil || text == "" {
		return "", bad("the coordinate system %q cannot be written down", name(sr))
	}
	return text, nil
}

// WellKnown is the well-known text (OGC 01-009) of the system that a text
// names, for files of formats that want one.
func WellKnown(crs string) (string, error) {
	sr, err := parseCRS(crs)
	if err != nil {
		return "", err
	}
	defer sr.Close()
	return wellKnown(sr)
}

// linearUnit is the metres in one unit of a projected system's coordinates.
func linearUnit(sr *godal.SpatialRef) (metres float64, name string) {
	var c *C.char // belongs to the system
	u := float64(C.OSRGetLinearUnits(srs(sr), &c))
	return u, C.GoString(c)
}

// verticalUnit is the unit of heights that the system of a file states, as
// the vertical part of a compound system; ok is false if it states none.
func verticalUnit(wkt string) (metres float64, name string, ok bool) {
	var l listener
	sr, err := godal.NewSpatialRef(wkt, godal.ErrLogger(l.hear))
	if err != nil {
		return 0, "", false
	}
	defer sr.Close()
	if C.OSRIsCompound(srs(sr)) == 0 {
		return 0, "", false
	}
	key := C.CString("COMPD_CS|VERT_CS")
	defer C.free(unsafe.Pointer(key))
	var c *C.char
	u := float64(C.OSRGetTargetLinearUnits(srs(sr), key, &c))
	if !(u > 0) || math.IsInf(u, 0) {
		return 0, "", false
	}
	return u, C.GoString(c), true
}

// localUnit is the name of a local system and the metres in one unit of it.
func localUnit(wkt string) (called string, metres float64) {
	var l listener
	sr, err := godal.NewSpatialRef(wkt, godal.ErrLogger(l.hear))
	if err != nil {
		return clip(wkt), 1
	}
	defer sr.Close()
	if u, _ := linearUnit(sr); u > 0 && !math.IsInf(u, 0) {
		return name(sr), u
	}
	return name(sr), 1
}

// toMetres gives a projected system metres for whatever unit it has. The
// projection stays, so this scales coordinates and moves nothing.
func toMetres(sr *godal.SpatialRef) error {
	was := name(sr)
	metre, renamed := C.CString("metre"), C.CString(was+", in metres")
	defer C.free(unsafe.Pointer(metre))
	defer C.free(unsafe.Pointer(renamed))
	if C.OSRSetLinearUnitsAndUpdateParameters(srs(sr), metre, 1) != 0 || C.OSRSetProjCS(srs(sr), renamed) != 0 {
		return bad("the coordinate system %q cannot be brought to metres", was)
	}
	return nil
}

// UTM is the system of the UTM zone on WGS 84 that holds a longitude and a
// latitude, degrees: "EPSG:32601" to "EPSG:32660" in the north, 327xx in the
// south. Zone 32 is widened over south-west Norway, and Svalbard has the odd
// zones 31 to 37 (Snyder 1987; the exceptions as in the military grid
// reference system). It is "" for numbers that are no place on Earth.
func UTM(lon, lat float64) string {
	if !(math.Abs(lat) <= 90) || !(math.Abs(lon) <= 540) {
		return ""
	}
	lon = math.Mod(lon+540, 360) - 180 // -180 up to, not including, 180
	zone := int((lon+180)/6) + 1
	switch {
	case lat >= 56 && lat < 64 && lon >= 3 && lon < 12:
		zone = 32
	case lat >= 72 && lat < 84 && lon >= 0 && lon < 42:
		switch {
		case lon < 9:
			zone = 31
		case lon < 21:
			zone = 33
		case lon < 33:
			zone = 35
		default:
			zone = 37
		}
	}
	if lat < 0 {
		return fmt.Sprintf("EPSG:%d", 32700+zone)
	}
	return fmt.Sprintf("EPSG:%d", 32600+zone)
}

// shifted are geographic systems, by EPSG number, whose exact link to WGS 84
// is a published grid of shifts. The list is from memory of the EPSG
// register and holds the systems of national grids most often met.
var shifted = map[string]string{
	"4149": "CH1903",
	"4202": "AGD66",
	"4203": "AGD84",
	"4207": "Lisbon",
	"4230": "ED50",
	"4267": "NAD27",
	"4272": "NZGD49",
	"4275": "NTF",
	"4277": "OSGB36",
	"4289": "Amersfoort",
	"4301": "Tokyo",
	"4312": "MGI",
	"4313": "Belge 1972",
	"4314": "DHDN",
}

// shiftGrid warns of a system whose link to longitude and latitude is a grid.
// On the first test point of the United Kingdom's OSTN15 grid, without it,
// EPSG:27700 was found 4.7 m out, and nothing else says so.
func shiftGrid(sr *godal.SpatialRef) string {
	if sr.AuthorityName("GEOGCS") != "EPSG" {
		return ""
	}
	datum, ok := shifted[sr.AuthorityCode("GEOGCS")]
	if !ok {
		return ""
	}
	return fmt.Sprintf("coordinates on %s meet longitude and latitude exactly only through a published shift grid; where that is not installed, positions in GeoJSON and on web maps can be several metres out", datum)
}
