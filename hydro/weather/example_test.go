package weather_test

import (
	"fmt"
	"strings"
	"time"

	"wetfeet/hydro/weather"
)

// The worst hour of a violent day's rain.
func ExampleStorm() {
	storm := weather.Storm{Rain: 150, Duration: 24 * time.Hour, Shape: weather.TypeII}
	hourly, _ := storm.Hyetograph(time.Hour)
	fmt.Printf("%v: up to %.0f mm in an hour\n", storm, hourly.Peak())

	_, err := weather.Storm{Rain: 150 * 25.4, Duration: 24 * time.Hour}.Hyetograph(0)
	fmt.Println(err)
	// Output:
	// 150 mm in 24 h, type II: up to 64 mm in an hour
	// 3810 mm (150 in) of rain in 24 h is more than ever fell on earth, about 1825 mm; did you mean 150 mm?
}

// A missing day is told, and is not a dry one.
func ExampleReadRecord() {
	file := "date,rain_mm\n2004-02-28,12.5\n2004-03-01,0\n"
	_, err := weather.ReadRecord(strings.NewReader(file), "rain.csv", weather.RecordOptions{})
	fmt.Println(err)
	// Output:
	// rain.csv, line 3, date: missing before it: 1 day, 2004-02-29; add every step, with 0 where no rain fell
}
