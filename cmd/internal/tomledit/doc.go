// Package tomledit changes values in the text of a TOML file and leaves all
// else of it, comments and order too, as a person wrote it.
//
// # Model
//
// A file is a row of statements: headings, [a.b] and [[a.b]], and pairs, key =
// value. A table is a heading with the pairs below it, up to the next heading.
// A value is replaced where it stands; a new pair goes below the last one of
// its table; a new table goes below the last of its kind.
//
// # Limits
//
// It is no parser of values: the text must be TOML already, which the caller
// makes sure of before and after. A table that is written otherwise, as a
// dotted key or inside braces, is not found, and the error says so. Comments
// inside a value that is replaced go with it.
//
// # References
//
//   - TOML v1.1.0, https://toml.io
package tomledit
