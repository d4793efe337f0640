package raster

// scanText looks for words that are no numbers in the text formats that GDAL
// reads, which takes such a word for 0.
func scanText(d *door, driver string) error { return nil }
