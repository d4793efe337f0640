// Package quantity reads and writes the lengths, depths, areas and rates that
// people type: "15 ft", "4.5 m", "6 in", "150 mm", "0.3 in/h", "2 ac".
//
// Inside the program every length is metres, every area square metres, every
// rain millimetres and every rate millimetres an hour.
package quantity

// Units is the family of units a person reads and writes.
type Units int

const (
	Metric Units = iota
	Feet
)
