// Package geopackage makes and opens GeoPackages: one SQLite file that holds
// layers of points, lines and areas with their coordinate systems, which any
// desktop GIS opens.
//
// # Model
//
// A file has a list of coordinate systems, a list of contents, and a table for
// each layer. A shape is kept as well-known binary behind a short header with
// its box ([Encode], [Decode]). Everything is written within [File.Update], one
// transaction that happens whole or not at all. Titles and descriptions of
// columns go into the tables of the schema extension.
//
// What a file says of when it changed comes from its maker and never from the
// clock: the same calls make the same bytes.
//
// # Units
//
// Coordinates are in the units of the layer's system, x before y and longitude
// before latitude, whatever the order of its authority.
//
// # Limits
//
// Two dimensions. No spatial index, no raster tiles. The standard has no place
// for colours and symbols, so none are kept.
//
// # References
//
//   - OGC 12-128r18 (2021). OGC GeoPackage Encoding Standard, version 1.3.1.
//     Table definitions, flags of the geometry header and the text of the rows
//     that every file must have are from memory, and checked with the validator
//     that comes with GDAL.
package geopackage
