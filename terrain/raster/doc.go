// Package raster brings elevation rasters in from files, writes grids out to
// them, and moves coordinates from one system to another. It is the one place
// where GDAL is used.
//
// # Model
//
// Whatever the file holds, [Open] hands back one thing: elevations in metres
// at the middle of square cells of a north-up grid in a projected system of
// metres, with NaN where nobody measured. A raster that is so already is
// copied value for value. One that is not is brought there, and each step is
// said in a plain sentence of [Ground.Remarks]:
//
//   - longitude and latitude go to the UTM zone of their middle; so does a
//     projected system whose metres are more than 1 % out where the raster
//     lies, as on a web map;
//   - a projected system in feet keeps its projection and gets metres instead
//     of feet, which moves no cell and changes no value;
//   - rotated or oblong cells, and a cell size asked for, are resampled
//     bilinearly, and a coarser cell is the mean over it: a plane stays that
//     plane. Resampling hides the noise of a raster, which is measured before
//     ([Ground.Noise]);
//   - elevations in feet, and stored numbers with a scale and an offset, are
//     converted;
//   - cells outside a boundary are voids, and the grid is cut to it. A cell
//     lies inside if its middle does.
//
// # Units
//
// Coordinates and elevations are metres, geographic coordinates degrees in
// the order longitude, latitude, whatever order their authority prefers. The
// international foot is 0.3048 m, the US survey foot 1200/3937 m.
//
// # What is let in
//
// A file is untrusted. Only a regular file of this machine is opened, by its
// absolute name, by the drivers of [Formats]: those of one local file with at
// most its own sidecars beside it. Formats that may point at other files or
// at the network (virtual rasters, tile services, HDF5, detached labels) are
// refused whatever their file is called. Sizes that a header declares are
// checked against [Options.MemoryLimit] before memory is asked for. Text
// grids are read here and not by GDAL, which takes a misspelt number for 0.
//
// # Limits
//
// One band, or one band and its alpha. At least three cells a side. A single
// elevation beyond 12 000 m is taken for an undeclared void, as is -9999, and
// refused. A raster that reaches more than 6.5° from the middle of its UTM
// zone is refused. Bilinear resampling next to a void leans on the cells that
// are known. Coordinates of old national systems need shift grids that are
// often not installed; [CRSInfo.ShiftGrid] says so.
//
// # References
//
//   - GDAL/OGR contributors. GDAL raster data model, https://gdal.org.
//   - OGC 19-008r4 (2019). OGC GeoTIFF Standard, version 1.1.
//   - Snyder, J.P. (1987). Map projections: a working manual. U.S. Geological
//     Survey Professional Paper 1395 (UTM, p. 57–58).
package raster
