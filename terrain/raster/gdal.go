package raster

/*
#cgo pkg-config: gdal
#include <stdlib.h>
#include <cpl_conv.h>
#include <cpl_error.h>
#include <gdal.h>
#include <ogr_srs_api.h>

// quieten keeps GDAL from printing and from the network, whatever the
// environment says. A handler given to a single call still hears everything.
static void quieten(void) {
	CPLSetErrorHandler(CPLQuietErrorHandler);
	CPLSetConfigOption("CPL_DEBUG", "OFF");
	CPLSetConfigOption("CPL_VSIL_CURL_ALLOWED_EXTENSIONS", ".none");
	CPLSetConfigOption("GDAL_HTTP_PROXY", "127.0.0.1:9");
	CPLSetConfigOption("GDAL_CACHEMAX", "128");
	OSRSetPROJEnableNetwork(0);
}
*/
import "C"

import (
	"errors"
	"slices"
	"strings"
	"sync"
	"unsafe"

	"github.com/airbusgeo/godal"
)

// A format is a GDAL driver that is let near a file.
type format struct {
	driver   string // as GDAL calls it when a file is opened
	register string // as its register function is called
	name     string // for a person: the name of its standard, or the ending of its files
}

// formats are the drivers of a single local file and its sidecars. Left out on
// purpose: virtual rasters and everything that speaks to a network; formats
// whose label may name any file as the place of its pixels (ERS, MAP, ISIS,
// PDS, VICAR, HDF5 and what is built on it); databases, which run views and
// triggers of their own (GeoPackage, MBTiles); folders (Arc binary grids,
// Zarr); lists of x y z, which GDAL completes with a void of its choosing and
// which are spot heights here; and pictures. netCDF is let in for its classic
// form only, which [door.sniff] sees to.
var formats = []format{
	{"GTiff", "GTiff", "GeoTIFF"},
	{"AAIGrid", "AAIGrid", "ASCII grid (.asc)"},
	{"HFA", "HFA", ".img"},
	{"EHdr", "EHdr", ".bil or .flt with .hdr"},
	{"ENVI", "ENVI", "flat binary with .hdr"},
	{"SRTMHGT", "SRTMHGT", ".hgt"},
	{"USGSDEM", "USGSDEM", "USGS DEM (.dem)"},
	{"DTED", "DTED", "DTED (.dt0 to .dt2)"},
	{"SAGA", "SAGA", ".sdat"},
	{"RST", "IDRISI", ".rst"},
	{"PCRaster", "PCRaster", ".map"},
	{"GSAG", "GSAG", ".grd"},
	{"GSBG", "GSBG", ".grd"},
	{"GS7BG", "GS7BG", ".grd"},
	{"JP2OpenJPEG", "JP2OpenJPEG", "JPEG 2000"},
	{"PNG", "PNG", "16-bit PNG"},
	{"netCDF", "netCDF", "netCDF classic"},
}

// Formats lists the raster formats that [Open] reads, by the names of their
// standards or the endings of their files, each once.
func Formats() []string {
	start()
	var names []string
	for _, f := range formats {
		if slices.Contains(drivers, f.driver) && !slices.Contains(names, f.name) {
			names = append(names, f.name)
		}
	}
	return names
}

// drivers are those of formats that this build of GDAL has.
var drivers []string

// start readies GDAL once, before the first call of it. It panics if GDAL
// comes without GeoTIFF, which no build does.
var start = sync.OnceFunc(func() {
	C.quieten()
	for _, f := range formats {
		if godal.RegisterRaster(godal.DriverName(f.register)) == nil {
			drivers = append(drivers, f.driver)
		}
	}
	if !slices.Contains(drivers, "GTiff") {
		panic("raster: this build of GDAL cannot read GeoTIFF")
	}
})

// A listener collects what GDAL says during a call. Warnings are kept, and
// only what is worse makes the call fail. It serves one goroutine.
type listener struct {
	warnings []string
	failures []string
}

// hear takes one message. It is handed to godal.ErrLogger.
func (l *listener) hear(ec godal.ErrorCategory, _ int, msg string) error {
	msg = strings.TrimSpace(msg)
	switch {
	case ec >= godal.CE_Failure:
		l.failures = append(l.failures, msg)
		return errors.New(msg)
	case ec == godal.CE_Warning && !slices.Contains(l.warnings, msg) && len(l.warnings) < 20:
		l.warnings = append(l.warnings, msg)
	}
	return nil
}

// handle is the C object inside one of godal's wrappers, whose first field it
// is. godal v0.0.18 binds neither the unit of a band nor the units of a
// coordinate system; a test holds it to this layout.
func handle[W godal.Band | godal.Dataset | godal.SpatialRef](w *W) unsafe.Pointer {
	return *(*unsafe.Pointer)(unsafe.Pointer(w))
}

// bandUnit is the unit of a band's values as the file writes it, "" for none.
func bandUnit(b godal.Band) string {
	return strings.TrimSpace(C.GoString(C.GDALGetRasterUnitType(C.GDALRasterBandH(handle(&b)))))
}

// srs is the C object of a coordinate system.
func srs(sr *godal.SpatialRef) C.OGRSpatialReferenceH {
	return C.OGRSpatialReferenceH(handle(sr))
}
