package fieldbook_test

import (
	"fmt"
	"os"
	"strings"

	"wetfeet/terrain/survey/fieldbook"
)

func Example() {
	// Out over one turning point and back to the slab, in feet and inches.
	const notes = `units: ft
point, bs,     is,        fs,     level, along, offset
base: row A, from A, bearing E
Slab,  4' 6",  ,          ,       100,   ,
G1,    ,       5' 1 1/4", ,       ,      0,     0
G2,    ,       5' 2 1/2", ,       ,      10,    0
Peg,   4' 9",  ,          5' 3",  ,      ,
G3,    ,       5' 0",     ,       ,      20,    3 R
Slab,  ,       ,          4' 0",  ,      ,
sheet: points
point, x_m, y_m
A,     0,   0
`
	book, err := fieldbook.Read(strings.NewReader(notes), "notes.csv")
	if err != nil {
		fmt.Println(err)
		return
	}
	r, err := book.Reduce(fieldbook.Options{})
	if err != nil {
		fmt.Println(err)
		return
	}
	r.WriteCSV(os.Stdout)
	// Output:
	// x,y,z,name,code,error_m
	// 0.0000,0.0000,30.2959,G1,,0.0040
	// 3.0480,0.0000,30.2641,G2,,0.0040
	// 6.0960,-0.9144,30.1752,G3,,0.0040
}
